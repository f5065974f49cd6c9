"""Write the words that the sheets explain, out of the glossary: ``python -m tools.write_words``.

A test compares the file with what this would write.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
GLOSSARY = ROOT / "docs" / "reference" / "glossary.md"
WORDS = ROOT / "web" / "words" / "glossary.json"
_ENTRY = re.compile(
    r"^- \*\*(?P<word>[^*]+)\*\*(?: \([^)]*\))?: (?P<meaning>.+?)(?=^- |^$|\Z)",
    re.MULTILINE | re.DOTALL,
)
_REFERENCE = re.compile(r"\s*\((?:\[(?:how|why)\]\([^)]*\)|`[^)]*`)\)")
_LINK = re.compile(r"\[([^\]]+)\]\([^)]*\)")


def main() -> None:
    """Write the file."""
    WORDS.parent.mkdir(exist_ok=True)
    WORDS.write_text(text(), encoding="utf-8")


def text() -> str:
    """Return the file: each word in small letters, with how it is written and what it means."""
    return json.dumps(words(), ensure_ascii=False, indent=1) + "\n"


def words() -> dict[str, dict[str, str]]:
    """Return what the glossary says, without the marks of its page."""
    entries = _ENTRY.finditer(GLOSSARY.read_text(encoding="utf-8"))
    return {
        one["word"].lower(): {"word": one["word"], "meaning": _plain(one["meaning"])}
        for one in entries
    }


def _plain(entry: str) -> str:
    """Return a sentence of the page as it is read aloud: no links, no marks, one line."""
    read = _LINK.sub(r"\1", _REFERENCE.sub("", entry)).replace("`", "").replace("*", "")
    whole = " ".join(read.split())
    return whole[0].upper() + whole[1:]


if __name__ == "__main__":
    main()
