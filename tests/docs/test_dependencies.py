"""What is imported is declared, and what is declared is used."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path
from typing import Any

from tests.docs.pages import ROOT

PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))[
    "project"
]
UNSEEN = {"psycopg"}
"""Needed though nothing imports it: SQLAlchemy's driver."""
OUR_OWN = {"ribstitch", "tests", "tools"}


def test_the_service_declares_what_it_imports_and_nothing_else() -> None:
    imported = _distributions(_imports(ROOT / "server"))
    assert imported | UNSEEN == _declared(PROJECT["dependencies"])


def test_the_tests_declare_what_they_import() -> None:
    declared = _declared(PROJECT["dependencies"])
    declared |= _declared(PROJECT["optional-dependencies"]["test"])
    assert _distributions(_imports(ROOT / "tests") | _imports(ROOT / "tools")) <= declared


def _imports(folder: Path) -> set[str]:
    """Return the packages that the modules below a folder import."""
    found = set()
    for file in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {name.name.split(".")[0] for name in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
    return found - sys.stdlib_module_names - OUR_OWN


def _distributions(packages: set[str]) -> set[str]:
    """Return which distributions packages come from (a part of pydantic is pydantic)."""
    known = packages_distributions()
    names = {_plain(known[package][0]) for package in packages}
    return {"pydantic" if name == "pydantic-core" else name for name in names}


def _declared(requirements: list[str]) -> set[str]:
    return {_plain(re.split(r"[\[<>=!~ ]", requirement)[0]) for requirement in requirements}


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()
