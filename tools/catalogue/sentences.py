"""The sentences of the service: what its modules for people build out of texts and slots."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import islice, product
from pathlib import Path

from tools.catalogue.text import Text

_WORDS = re.compile(r"[A-Za-z]{2,}[^A-Za-z]* [^A-Za-z]*[A-Za-z]{2,}|^[A-Z][a-z]+\b")
_LETTERED = {"text", "ticktext", "hovertext"}
"""Keys of a figure whose texts are read, be they a single word."""
_LETTERING = {"_letters", "_label", "Mark"}
"""Functions of the charts that letter what they are given."""
_BESIDE_A_SLOT = re.compile(r"(^| )[A-Za-z]{2,} \{\d|\} [a-z]{2,}( |$)")
_MOST_FORMS = 32
"""A text that can be put together in more ways is one that should be several."""

_Parts = list[str | ast.expr]


def sentences(module: Path) -> Iterator[Text]:
    """Return the sentences of a module, in each form that its conditions can give them."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    silent = set(_docstrings(tree)) | set(_pieces(tree))
    lettered = set(_lettered(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _called(node) == "plural" and len(node.args) == 2:
            noun = node.args[1]
            if isinstance(noun, ast.Constant) and isinstance(noun.value, str):
                yield Text(f"{{n}} {noun.value} | {{n}} {noun.value}s", module.name)
        if isinstance(node, ast.Constant | ast.JoinedStr) and node not in silent:
            for parts in _forms(node):
                text = _text(parts, module.name)
                if node in lettered and re.search("[a-z]", text.key):
                    yield text._replace(key=text.key.strip())
                elif _is_told(text.key):
                    yield text


def _is_told(key: str) -> bool:
    """Tell words for a reader from codes and patterns: several, a capital, or one with a slot."""
    return bool(_WORDS.search(re.sub(r"\{\d+\}", " ", key)) or _BESIDE_A_SLOT.search(key))


def _called(node: ast.Call) -> str:
    return ast.unparse(node.func).rsplit(".", 1)[-1]


def _docstrings(tree: ast.AST) -> Iterator[ast.expr]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr):
            yield node.value


def _pieces(tree: ast.AST) -> Iterator[ast.expr]:
    """Return what is part of a larger text, and keys and annotations, which no reader sees."""
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield from node.values
        elif isinstance(node, ast.Subscript):
            yield node.slice
        elif isinstance(node, ast.Dict):
            yield from (key for key in node.keys if key is not None)


def _lettered(tree: ast.AST) -> Iterator[ast.expr]:
    """Return what is lettered on a chart as it stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Dict):
            for key, value in zip(node.keys, node.values, strict=True):
                if isinstance(key, ast.Constant) and key.value in _LETTERED:
                    yield from value.elts if isinstance(value, ast.List) else [value]
        elif isinstance(node, ast.Call) and _called(node) in _LETTERING:
            yield from node.args[:2]


def _forms(node: ast.expr) -> Iterator[_Parts]:
    """Return a text with each of its conditions decided either way."""
    values = node.values if isinstance(node, ast.JoinedStr) else [node]
    yield from islice((list(choice) for choice in product(*map(_ways, values))), _MOST_FORMS)


def _ways(value: ast.expr) -> list[str | ast.expr]:
    if isinstance(value, ast.Constant) and isinstance(value.value, str):
        return [value.value]
    if isinstance(value, ast.FormattedValue):
        inner = value.value
        if isinstance(inner, ast.IfExp):
            return [*_branch(inner.body), *_branch(inner.orelse)]
        return [inner]
    return [value]


def _branch(node: ast.expr) -> list[str | ast.expr]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    return [node]


def _text(parts: _Parts, where: str) -> Text:
    slots = [part for part in parts if not isinstance(part, str)]
    numbers = iter(range(len(slots)))
    key = "".join(part if isinstance(part, str) else f"{{{next(numbers)}}}" for part in parts)
    return Text(key, where, tuple(ast.unparse(slot) for slot in slots))
