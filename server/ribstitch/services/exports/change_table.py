"""The table of what was changed: the change log, to keep or to look through elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import orjson

from ribstitch.services.exports.table import Cell
from ribstitch.store import ChangeRecord

CHANGES = (
    "number", "at", "who", "role", "action", "kind", "key", "version", "plan_version", "fields",
    "before", "after", "reason", "undoes", "undone_by",
)  # fmt: skip
"""In order; none is ever taken away or given another meaning."""


def change_lines(records: Sequence[ChangeRecord]) -> list[list[Cell]]:
    """Return the cells of changes, in the order of the columns; instants are in UTC."""
    return [
        [
            Decimal(one.number), one.at.isoformat(), one.who, one.role, one.action, one.kind,
            one.key, Decimal(one.version), Decimal(one.plan_version),
            ", ".join(one.changed_fields()), _as_json(one.before), _as_json(one.after),
            one.reason, _number(one.undoes), _number(one.undone_by),
        ]
        for one in records
    ]  # fmt: skip


def _as_json(part: dict[str, Any] | None) -> str | None:
    """Return what stood in the plan as JSON; None where nothing stood."""
    return None if part is None else orjson.dumps(part).decode()


def _number(value: int | None) -> Decimal | None:
    return None if value is None else Decimal(value)
