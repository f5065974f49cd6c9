"""Write the catalogue of all texts, for translation: ``python -m tools.write_catalogue``.

A test compares the file with what this would write.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from ribstitch.assets import seed_folder
from tools.catalogue import (
    Text,
    glossary_texts,
    page_texts,
    plan_words,
    script_texts,
    sentences,
    table_texts,
)

ROOT = Path(__file__).resolve().parents[1]
WEB = ROOT / "web"
SERVICE = ROOT / "server" / "ribstitch"
CATALOGUE = WEB / "words" / "texts.json"
GLOSSARY = WEB / "words" / "glossary.json"
SPEAKING = (
    "planning", "money", "planfile", "spreadsheets", "charts", "services", "store/errors.py",
)  # fmt: skip
"""Packages and modules of the service whose sentences reach a reader of the sheets."""


def main() -> None:
    """Write the file."""
    CATALOGUE.write_text(text(), encoding="utf-8")


def text() -> str:
    """Return the file: each text, where it stands, and what is put into its slots."""
    return json.dumps(catalogue(), ensure_ascii=False, indent=1, sort_keys=True) + "\n"


@cache
def catalogue() -> dict[str, dict[str, list[str]]]:
    """Return every text of pages, modules, service and tables, once each; the code is read once."""
    found: dict[str, dict[str, list[str]]] = {}
    for one in _texts():
        entry = found.setdefault(one.key, {"where": []})
        if one.where not in entry["where"]:
            entry["where"].append(one.where)
        if one.slots:
            entry.setdefault("slots", list(one.slots))
    return found


def _texts() -> Iterator[Text]:
    for page in sorted(WEB.glob("*.html")):
        yield from page_texts(page)
    for module in sorted((WEB / "js").rglob("*.js")):
        yield from script_texts(module)
    for place in SPEAKING:
        path = SERVICE / place
        for module in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            yield from sentences(module)
    yield from glossary_texts(GLOSSARY)
    yield from plan_words()
    yield from table_texts(seed_folder())


if __name__ == "__main__":
    main()
