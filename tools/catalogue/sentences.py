"""The sentences of the service: what its modules for people build out of texts and slots."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import chain, count, islice, product
from pathlib import Path

from tools.catalogue.text import Text

_WORDS = re.compile(r"[A-Za-z]{2,}[^A-Za-z]* [^A-Za-z]*[A-Za-z]{2,}|^[A-Z][a-z]+\b|^an? [a-z]{2}")
_LETTERED = {"text", "ticktext", "hovertext"}
"""Keys of a figure whose texts are read, be they a single word."""
_LETTERING = {"_letters", "_label", "Mark"}
"""Functions of the charts that letter what they are given."""
_BESIDE_A_SLOT = re.compile(r"(^| )[A-Za-z]{2,} \{\d|\} [a-z]{2,}( |$)")
_MOST_FORMS = 32
"""A text that can be put together in more ways is one that should be several."""

_Parts = list[str | ast.expr]
_Names = dict[str, list[ast.expr]]


def sentences(module: Path) -> Iterator[Text]:
    """Return the sentences of a module, in each form that its conditions can give them."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    nodes = list(ast.walk(tree))
    silent = set(_docstrings(nodes)) | set(_pieces(nodes))
    lettered, assigned = set(_lettered(nodes)), _assigned(nodes)
    for node in nodes:
        if isinstance(node, ast.Call) and _called(node) == "plural" and len(node.args) == 2:
            noun = node.args[1]
            if isinstance(noun, ast.Constant) and isinstance(noun.value, str):
                yield Text(f"{{n}} {noun.value} | {{n}} {noun.value}s", module.name)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            joint = node.func.value
            if node.func.attr == "join" and isinstance(joint, ast.Constant):
                yield from _listed(str(joint.value), module.name)
        if isinstance(node, ast.Constant | ast.JoinedStr) and node not in silent:
            for parts in _forms(node, assigned.get(node, {})):
                text = _text(parts, module.name)
                is_lettered = node in lettered and re.search("[a-z]", text.key)
                if is_lettered or _is_told(text.key):
                    yield text


def _listed(joint: str, where: str) -> Iterator[Text]:
    """Return how a list is told whose parts a word joins: ``" or ".join(names)``."""
    if re.fullmatch(" [a-z]+ ", joint):
        yield Text(f"{{0}}{joint}{{1}}", where)


def _is_told(key: str) -> bool:
    """Tell words for a reader from codes and patterns: several, a capital, or one with a slot."""
    return bool(_WORDS.search(re.sub(r"\{\d+\}", " ", key)) or _BESIDE_A_SLOT.search(key))


def _called(node: ast.Call) -> str:
    return ast.unparse(node.func).rsplit(".", 1)[-1]


def _docstrings(nodes: list[ast.AST]) -> Iterator[ast.expr]:
    for node in nodes:
        if isinstance(node, ast.Expr):
            yield node.value


def _pieces(nodes: list[ast.AST]) -> Iterator[ast.expr]:
    """Return what is part of a larger text, and keys and annotations, which no reader sees."""
    for node in nodes:
        if isinstance(node, ast.JoinedStr):
            yield from node.values
        elif isinstance(node, ast.Subscript):
            yield node.slice
        elif isinstance(node, ast.Dict):
            yield from (key for key in node.keys if key is not None)


def _lettered(nodes: list[ast.AST]) -> Iterator[ast.expr]:
    """Return what is lettered on a chart as it stands."""
    for node in nodes:
        if isinstance(node, ast.Dict):
            for key, value in zip(node.keys, node.values, strict=True):
                if isinstance(key, ast.Constant) and key.value in _LETTERED:
                    yield from value.elts if isinstance(value, ast.List) else [value]
        elif isinstance(node, ast.Call) and _called(node) in _LETTERING:
            yield from node.args[:2]


def _assigned(nodes: list[ast.AST]) -> dict[ast.expr, _Names]:
    """Return for each text the names of its function, with what is assigned to them."""
    found: dict[ast.expr, _Names] = {}
    for function in nodes:  # Outer ones come first.
        if not isinstance(function, ast.FunctionDef):
            continue
        inner = list(ast.walk(function))
        names: _Names = {}
        for node in inner:
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
                names.setdefault(node.targets[0].id, []).append(node.value)
        found |= {one: names for one in inner if isinstance(one, ast.expr) and _is_text(one)}
    return found


def _is_text(node: ast.AST) -> bool:
    """Tell whether an expression is a text, in one of its cases at least."""
    if isinstance(node, ast.IfExp):
        return _is_text(node.body) or _is_text(node.orelse)
    is_string = isinstance(node, ast.Constant) and isinstance(node.value, str)
    return is_string or isinstance(node, ast.JoinedStr)


def _forms(node: ast.expr, names: _Names) -> list[_Parts]:
    """Return a text with each of its conditions decided either way."""
    match node:
        case ast.Constant(value=str(text)):
            return [[text]]
        case ast.JoinedStr(values=values):
            choices = product(*(_forms(value, names) for value in values))
            return [list(chain(*choice)) for choice in islice(choices, _MOST_FORMS)]
        case ast.FormattedValue(value=value, format_spec=None):
            return _forms(value, names)
        case ast.FormattedValue(value=value):
            return [[value]]
        case ast.IfExp(body=body, orelse=other):
            return _forms(body, names) + _forms(other, names)
        case ast.Name(id=name) if name in names and all(map(_is_text, names[name])):
            others = {key: value for key, value in names.items() if key != name}
            return [way for value in names[name] for way in _forms(value, others)]
    return [[node]]


def _text(parts: _Parts, where: str) -> Text:
    slots = [part for part in parts if not isinstance(part, str)]
    numbers = count()
    key = "".join(part if isinstance(part, str) else f"{{{next(numbers)}}}" for part in parts)
    while "{}" in key:  # Of a template that is filled by `format`.
        key = key.replace("{}", f"{{{next(numbers)}}}", 1)
    return Text(key.strip(), where, tuple(ast.unparse(slot) for slot in slots))
