"""Ways to have something done in fewer days for a price, in the plan document's terms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ribstitch.planning.drafting import Job
from ribstitch.seeding.csv_rows import rows

Entry = dict[str, object]


def expedites(texts: Mapping[str, str], jobs: Sequence[Job]) -> list[Entry]:
    """
    Return the expedites of the plan document.

    Raises
    ------
    KeyError
        If one is for what is neither a task nor a send-out.
    """
    tasks = {work.id for job in jobs for work in job.works}
    send_outs = {row["send_out"] for row in rows(texts["send_outs"])}
    return [_expedite(row, tasks, send_outs) for row in rows(texts["expedites"])]


def _expedite(row: Mapping[str, str], tasks: set[str], send_outs: set[str]) -> Entry:
    ref = row["for"]
    if ref not in tasks | send_outs:
        raise KeyError(f"expedites.csv speaks of {ref}, which is no task and no send-out")
    entry: Entry = {
        "id": row["expedite"],
        "name": row["name"],
        "kind": row["kind"],
        "task" if ref in tasks else "send_out": ref,
        "gains_days": int(row["gains_days"]),
        "cost": row["cost"],
        "currency": row["currency"],
    }
    if row["leg"]:
        entry["leg"] = row["leg"]
    if row["by_the_day"] == "yes":
        entry["by_the_day"] = True
    return entry
