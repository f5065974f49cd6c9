"""The documents as data: files, code blocks, links, table cells."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"


def documents() -> list[Path]:
    """Return every page for people."""
    top = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")]
    return [*top, *sorted(DOCS.rglob("*.md"))]


def code_blocks(text: str, language: str) -> list[str]:
    """Return the contents of the fenced blocks of one language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", text, flags=re.DOTALL | re.MULTILINE)


def links(text: str) -> list[str]:
    """Return the targets of all links and images outside code."""
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.DOTALL | re.MULTILINE)
    return re.findall(r"\]\(([^)\s]+)\)", prose)


def sections(text: str) -> set[str]:
    """Return the names by which a link reaches the headings of a page, as its host makes them."""
    headings = re.findall(r"^#+ (.+)$", text, flags=re.MULTILINE)
    return {re.sub(r"[^\w -]", "", one.lower()).replace(" ", "-") for one in headings}


def code_words(text: str) -> set[str]:
    """Return everything between single backticks."""
    return set(re.findall(r"`([^`\n]+)`", text))


def readme_commands() -> tuple[str, str]:
    """Return README's two commands: the one that runs the demo, the one that tests."""
    run, test = code_blocks((ROOT / "README.md").read_text(encoding="utf-8"), "sh")[:2]
    return run.strip(), test.strip()
