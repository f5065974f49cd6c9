"""The plan document as text: one line for each entry, so that changes read line by line."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction


def plan_text(document: Mapping[str, object]) -> str:
    """Return a plan document as JSON text, the same for the same document."""
    parts = [f"{json.dumps(key)}: {_value_text(value)}" for key, value in document.items()]
    return "{\n" + ",\n".join(parts) + "\n}\n"


def number(value: Fraction) -> int | float:
    """Return a count of days as a plan file writes it: whole, or to an eighth."""
    return int(value) if value.denominator == 1 else float(value)


def _value_text(value: object) -> str:
    if not isinstance(value, list):
        return json.dumps(value, ensure_ascii=False)
    lines = ",\n".join(f"  {json.dumps(one, ensure_ascii=False)}" for one in value)
    return f"[\n{lines}\n]" if value else "[]"
