"""The words that the sheets explain, and what they mean."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from tools.catalogue.text import Text


def glossary_texts(glossary: Path) -> Iterator[Text]:
    """Return each word as it stands within a sentence and at its beginning, and its meaning."""
    for word, entry in json.loads(glossary.read_text(encoding="utf-8")).items():
        for text in (word, entry["word"], entry["meaning"]):
            yield Text(text, glossary.name)
