"""Which risks are over: their step is done, their item is back, or they have happened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ribstitch.planning.drafting import Job
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.status import Status

Entry = dict[str, Any]


def with_closed(
    texts: Mapping[str, str],
    risks: Sequence[Entry],
    jobs: Sequence[Job],
    status: Mapping[str, Status],
    items: Sequence[Entry],
) -> list[Entry]:
    """
    Return the risks of the plan document, those that are over closed.

    Raises
    ------
    KeyError
        If one is said to have happened to what is no job.
    """
    over = {
        f"R-{row['ref']}": f"{row['date']}: {row['what_happened']}"
        for row in rows(texts["risks_over"])
    }
    unknown = set(over) - {f"R-{job.id}" for job in jobs}
    if unknown:
        raise KeyError(f"risks_over.csv speaks of {min(unknown)[2:]}, which is no job")
    done = {task for task, one in status.items() if one["state"] == "done"}
    accepted = {item["id"] for item in items if "accepted" in item.get("status", {})}
    found = []
    for risk in risks:
        happened = over.get(risk["id"])
        one = dict(risk)
        if happened:
            one["impact_note"] = f"{risk['impact_note']} {happened}."
        if happened or risk.get("task") in done or risk.get("send_out") in accepted:
            one["closed"] = True
        found.append(one)
    return found
