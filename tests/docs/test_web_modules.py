"""The modules of pages name what they call: a browser tells only whoever presses that button."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ribstitch.assets import web_folder

SCRIPTS = web_folder() / "js"
MODULES = sorted(SCRIPTS.rglob("*.js"))
_COMMENT = re.compile(r"/\*.*?\*/|(?<![:\"'`])//[^\n]*", re.DOTALL)
_TEXT = re.compile(r'"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'')
_EXPORT = re.compile(r"export (?:async )?(?:function\*?|const|let|class) (\w+)")
_IMPORT = re.compile(r"import\s*\{([^}]*)\}\s*from")
_CALL = re.compile(r"(?<![.\w#])(\w+)\(")
_DECLARED = re.compile(
    r"(?:function\*?|const|let|class)\s+(\w+)"
    r"|\n\s+(?:async |static )*(\w+)\([^\n]*\)\s*\{\n"
)
_GIVEN = re.compile(r"[{,(\[]\s*(?:\.\.\.)?(\w+)\s*(?=[,})\]=])")


def code(module: Path) -> str:
    """Return a module without its comments and its texts."""
    return _TEXT.sub('""', _COMMENT.sub("", module.read_text(encoding="utf-8")))


EXPORTED = {name for module in MODULES for name in _EXPORT.findall(code(module))}


def missing(text: str) -> set[str]:
    """Return what some module exports, and this one calls without having it from anywhere."""
    imported = {
        part.split(" as ")[-1].strip() for line in _IMPORT.findall(text) for part in line.split(",")
    }
    rest = _IMPORT.sub("", text)
    own = {name for pair in _DECLARED.findall(rest) for name in pair} | set(_GIVEN.findall(rest))
    return (set(_CALL.findall(rest)) & EXPORTED) - imported - own


@pytest.mark.parametrize("module", MODULES, ids=lambda one: one.relative_to(SCRIPTS).as_posix())
def test_a_module_imports_what_it_calls(module: Path) -> None:
    assert missing(code(module)) == set()


def test_a_call_of_what_is_not_imported_is_seen() -> None:
    assert missing('import { el } from "../lib/dom.js";\nel("p", {}, fill(node));') == {"fill"}
