"""What the shop signed for the checks of work that is done, out of its own summary."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ribstitch.seeding.csv_rows import rows

Entry = dict[str, Any]

LEAD = "Shop lead"
INSPECTOR = "Licensed inspector (visiting) 1"
LICENCE = "LI-0471, structures and engines"
"""Invented, as everything in the demo."""


def sign_offs(texts: Mapping[str, str], document: Mapping[str, Any]) -> list[Entry]:
    """
    Return a sign-off for each check of a task that is done, on the date on which it was done.

    The lead signs that the record of a hold point was seen, the visiting inspector buys off
    and witnesses. What was passed over says why.

    Raises
    ------
    ValueError
        If a check is said to be passed over whose task is not done.
    """
    reasons = {row["task"]: row["reason"] for row in rows(texts["passed_over"])}
    checked = [
        task
        for task in document["tasks"]
        if "check" in task and task.get("status", {}).get("state") == "done"
    ]
    checked.sort(key=lambda task: (task["status"]["finished"], task["id"]))
    lost = reasons.keys() - {task["id"] for task in checked}
    if lost:
        raise ValueError(f"passed_over.csv speaks of {min(lost)}, which is not done")
    return [
        {"id": f"SO{number}", **_signed(task, reasons.get(task["id"], ""))}
        for number, task in enumerate(checked, 1)
    ]


def _signed(task: Entry, reason: str) -> Entry:
    """Return what was signed for one task."""
    kind = task["check"]["kind"]
    entry: Entry = {"on": task["status"]["finished"], "by": LEAD, "task": task["id"], "kind": kind}
    if reason:
        return entry | {"override": reason}
    statement = f"Seen: {task['check'].get('wants') or task['name']}."
    if kind == "hold":
        return entry | {"statement": statement}
    return entry | {"by": INSPECTOR, "licence": LICENCE, "statement": statement}
