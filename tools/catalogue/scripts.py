"""The texts of the modules: what t`…` and many(…) mark, and what shows and is not marked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import tree_sitter_javascript
from tree_sitter import Language, Node, Parser, Query, QueryCursor

from tools.catalogue.text import Text

_JAVASCRIPT = Language(tree_sitter_javascript.language())
_CALLS = Query(_JAVASCRIPT, "(call_expression function: (identifier) @name) @call")
_STRINGS = Query(_JAVASCRIPT, "[(string) (template_string)] @text")

_WORDS = re.compile(r"[A-Za-z]{2,}[^A-Za-z]* [^A-Za-z]*[A-Za-z]{2,}|^[A-Z][a-z]+\b")
_LETTERS = re.compile(r"[A-Za-z]{2,}")
_KEYS = re.compile(r"Arrow\w+|Escape|Enter|Home|End|Page(Up|Down)|Tab|Delete|Backspace")
_CODE = re.compile(r"^[/#.]|^\w+\[ \]|^\([a-z-]+[:<> ]+\w+\)$|\[\w+=|^[A-Z]\w+(-[A-Z]\w+)+$|-u-")
"""Addresses, selectors, paths of fields, media queries, names of headers, tags of languages."""
_NO_TEXT = {
    "querySelector", "querySelectorAll", "closest", "matches", "warn", "error", "Error", "import",
    "term", "addEventListener", "setAttribute", "getItem", "setItem", "removeItem", "byId", "split",
    "unfoldOnPaper",
}  # fmt: skip
"""Functions whose arguments a reader does not see; ``term`` names an entry of the glossary."""
_DRAWING = {"el", "svg", "fill", "append", "prepend", "replaceChildren"}
"""Functions that put their arguments on the page."""
_SPOKEN = {"aria-label", "title", "placeholder", "alt"}
_CHOOSING = {"&&", "||", "??"}
_UNSPOKEN = {"class", "d", "role", "type", "for"}


def script_texts(module: Path) -> Iterator[Text]:
    """Return the texts that a module marks."""
    for call in _calls(module):
        name, arguments = _name(call), call.child_by_field_name("arguments")
        if name == "t" and arguments and arguments.type == "template_string":
            key, slots = _key(arguments)
            yield Text(key, module.name, slots)
        elif name == "many" and arguments:
            _, one, other, *given = arguments.named_children
            yield Text(f"{_plain(one)} | {_plain(other)}", module.name, tuple(map(_source, given)))


def unmarked(module: Path) -> Iterator[str]:
    """Return what looks like a text for the reader and is not marked, with its line."""
    for node in _captures(_STRINGS, module, "text"):
        plain = _key(node)[0] if node.type == "template_string" else _plain(node)
        text = re.sub(r"\{\d+\}", " ", plain)
        if _KEYS.fullmatch(text) or _CODE.search(text) or not _LETTERS.search(text):
            continue
        if (_is_drawn(node) or _WORDS.search(text)) and not _is_marked(node) and _is_seen(node):
            yield f"{module.name}:{node.start_point.row + 1}: {_source(node)}"


def _calls(module: Path) -> Iterator[Node]:
    return _captures(_CALLS, module, "call")


def _captures(query: Query, module: Path, name: str) -> Iterator[Node]:
    tree = Parser(_JAVASCRIPT).parse(module.read_bytes())
    found = QueryCursor(query).captures(tree.root_node).get(name, [])
    yield from sorted(found, key=lambda node: node.start_byte)


def _name(call: Node) -> str:
    """Return the name of what is called: ``fill`` of ``fill(…)``, ``say`` of ``this.say(…)``."""
    function = call.child_by_field_name("function") or call.child_by_field_name("constructor")
    return "" if function is None else _source(function).rsplit(".", 1)[-1]


def _key(template: Node) -> tuple[str, tuple[str, ...]]:
    """Return a template as the catalogue has it, and what stands in its slots."""
    raw, slots, at = template.text or b"", [], template.start_byte
    parts, begin = [], at + 1
    for child in template.named_children:
        if child.type != "template_substitution":
            continue
        parts.append(raw[begin - at : child.start_byte - at])
        slots.append(_source(child)[2:-1])
        begin = child.end_byte
    parts.append(raw[begin - at : template.end_byte - at - 1])
    texts = [_unescaped(part.decode()) for part in parts]
    key = texts[0] + "".join(f"{{{number}}}{text}" for number, text in enumerate(texts[1:]))
    return key, tuple(slots)


def _plain(string: Node) -> str:
    return _unescaped(_source(string)[1:-1])


def _unescaped(text: str) -> str:
    return re.sub(
        r"\\u([0-9a-fA-F]{4})|\\(.)",
        lambda found: chr(int(found[1], 16)) if found[1] else {"n": "\n"}.get(found[2], found[2]),
        text,
    )


def _source(node: Node) -> str:
    return (node.text or b"").decode()


def _is_marked(node: Node) -> bool:
    parent = node.parent
    if parent is None:
        return False
    if parent.type == "call_expression":
        return _name(parent) == "t"
    call = parent.parent if parent.type == "arguments" else None
    return call is not None and _name(call) == "many"


def _is_drawn(node: Node) -> bool:
    """Tell whether a string goes onto the page as it is: a child of ``el``, a spoken attribute."""
    inner, outer = node, node.parent
    while outer is not None:
        if outer.type == "pair":
            key = outer.child_by_field_name("key")
            return key is not None and _source(key).strip('"') in _SPOKEN
        if outer.type == "ternary_expression" and outer.child_by_field_name("condition") == inner:
            return False
        if outer.type == "binary_expression" and _source(outer.children[1]) not in _CHOOSING:
            return False
        if outer.type == "arguments":
            call = outer.parent
            name = "" if call is None else _name(call)
            first = {"el": 2, "svg": 2, "fill": 1}.get(name, 0)
            return name in _DRAWING and outer.named_children.index(inner) >= first
        if outer.type not in (
            "ternary_expression", "binary_expression", "array", "parenthesized_expression",
        ):  # fmt: skip
            return False
        inner, outer = outer, outer.parent
    return False


def _is_seen(node: Node) -> bool:
    """Leave out what only the program reads: selectors, keys, addresses, errors of programmers."""
    inner, outer = node, node.parent
    while outer is not None:
        if outer.type in ("import_statement", "subscript_expression", "switch_case"):
            return False
        if outer.type == "member_expression" and _source(outer).endswith(".split"):
            return False
        if outer.type == "pair":
            key = outer.child_by_field_name("key")
            if key == inner or (key is not None and _source(key) in _UNSPOKEN):
                return False
        if outer.type == "binary_expression" and "=" in _source(outer.children[1]):
            return False
        if outer.type in ("call_expression", "new_expression") and _name(outer) in _NO_TEXT:
            return False
        if outer.type == "arguments" and outer.parent is not None:
            is_tag = _name(outer.parent) in ("el", "svg") and outer.named_children[0] == inner
            if is_tag:
                return False
        if outer.type in ("statement_block", "program", "class_body"):
            return True
        inner, outer = outer, outer.parent
    return True
