"""How much work each zone may still hide, out of the grades of its findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from ribstitch.seeding.jobs import OPENING_CARD, Job, Work
from ribstitch.seeding.links import EVERYWHERE
from ribstitch.seeding.method_cards import rows
from ribstitch.seeding.status import Status

Entry = dict[str, object]


def zones(
    texts: Mapping[str, str], jobs: Sequence[Job], status: Mapping[str, Status]
) -> list[Entry]:
    """
    Return the zones, each with its allowance for work not yet found.

    The allowance is the one of the findings' grades, weighted by their likely hours. A
    zone with bays is given what it hid before it was opened up, and the step that shows
    what is there. Any other zone is given what its findings not yet looked into may hide,
    set against all of its work not yet begun. What reaches into every zone hides nothing
    of its own.
    """
    entries: list[Entry] = []
    for row in rows(texts["zones"]):
        zone = row["zone"]
        entry: Entry = {"id": zone, "name": row["name"]}
        entries.append(entry)
        if zone in EVERYWHERE:
            continue
        opening = next((job for job in jobs if job.id == f"{OPENING_CARD}.{zone}"), None)
        own = [job for job in jobs if job.zone == zone and job is not opening and not job.extra]
        if opening is None:
            percent = _percent(texts, own, _looked_into(texts, own, status), status)
        else:
            percent = _percent(texts, own, set(), {})
            entry["opened_by"] = opening.works[-1].id
        if percent:
            entry["hidden_work_percent"] = percent
    return entries


def _percent(
    texts: Mapping[str, str], jobs: Sequence[Job], seen: set[str], begun: Mapping[str, Status]
) -> int:
    """Return the allowance of findings not seen in whole % of all work not begun."""
    allowances = {
        row["grade"]: Fraction(row["hidden_work_allowance_pct"])
        for row in rows(texts["condition_grades"])
    }
    grades = {row["finding"]: row["grade"] for row in rows(texts["findings"])}
    hidden = total = Fraction(0)
    for job in jobs:
        hours = sum((work.hours.likely for work in job.works if _counts(work, begun)), Fraction(0))
        total += hours
        if job.finding is not None and job.finding not in seen:
            hidden += hours * allowances[grades[job.finding]]
    return round(hidden / total) if total else 0


def _counts(work: Work, begun: Mapping[str, Status]) -> bool:
    """Whether a piece of work is somebody's, and still to be begun."""
    return work.trade is not None and work.id not in begun


def _looked_into(
    texts: Mapping[str, str], jobs: Sequence[Job], status: Mapping[str, Status]
) -> set[str]:
    """Return the findings whose work has begun, or whose item is back and accepted."""
    back = {
        row["send_out"]
        for row in rows(texts["send_out_status"])
        if row["accepted"] and not row["accepted"].startswith("rejected")
    }
    seen = {row["finding"] for row in rows(texts["findings"]) if row["send_out"] in back}
    for job in jobs:
        if job.finding is not None and any(work.id in status for work in job.works):
            seen.add(job.finding)
    return seen
