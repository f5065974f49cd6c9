"""Where each task stands at the as-of date, step by step, from the shop's summary rows.

A row says for one or several jobs when they were worked on and how many hours went in.
What it does not say is filled in by three rules:

- Finished rows are cut into their steps in proportion to the planned time; steps on
  either side of a send-out keep out of the time it was away.
- In unfinished rows the hours used are set against the steps in order, each at its likely
  hours, at the pace of its trade, to find the step in work.
- What remains of the step in work is its likely hours less those spent on it; once these
  are used up, half of what is left up to its high hours.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import ceil

from ribstitch.planning.drafting import Job, Work
from ribstitch.planning.drafting.hands import Hands
from ribstitch.seeding.crew import Crew
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.plan_text import number

Status = dict[str, object]

_STEPS = re.compile(r"^M\d\d\.(\d+)(?:-(\d+))?$")


@dataclass(frozen=True, slots=True)
class Away:
    """When a step's item was away: the step cannot be worked on in between."""

    finish_by: dict[str, date]
    """By task id: shipped then, so finished by then."""
    start_from: dict[str, date]
    """By task id: accepted then, so started then or later."""


@dataclass(frozen=True, slots=True)
class StatusRow:
    """One row of the shop's summary, with the work it speaks of, job by job."""

    groups: tuple[tuple[Work, ...], ...]
    state: str
    reason: str
    started: date
    finished: date | None
    hours_used: Fraction


def read_status(
    texts: Mapping[str, str],
    jobs: Sequence[Job],
    crew: Crew,
    hands: Hands,
    as_of: date,
    away: Away,
) -> dict[str, Status]:
    """Return the status of every task that is not simply still to come, by task id."""
    found: dict[str, Status] = {}
    for row in status_rows(texts, jobs):
        if row.finished is not None:
            for group in row.groups:
                found |= _finished(group, row.started, row.finished, crew, hands, away)
        else:
            found |= _unfinished(row, jobs, crew, hands, as_of)
    return found


def status_rows(texts: Mapping[str, str], jobs: Sequence[Job]) -> tuple[StatusRow, ...]:
    """Return what the shop wrote down, row by row."""
    return tuple(_read_row(raw, jobs) for raw in rows(texts["task_status"]))


def _read_row(raw: Mapping[str, str], jobs: Sequence[Job]) -> StatusRow:
    """
    Find the work that a row like ``F07 F08 M25.1`` or ``F59 batch 1`` speaks of.

    Jobs stand side by side, except those joined by ``and`` and the zones that were opened
    up one by one.
    """
    ref = raw["ref"].replace(" batch 1", "a")
    names = [word for word in ref.split() if word != "and"]
    picked = next((match for word in names if (match := _STEPS.match(word))), None)
    groups = []
    for name in names:
        if _STEPS.match(name):
            continue
        named = [job for job in jobs if job.id == name or job.id.startswith(f"{name}.")]
        if not named:
            raise KeyError(f"task_status.csv speaks of {name}, which is no job")
        groups += [_pick(job.works, picked) for job in named]
    if "and" in ref.split() or all(group[0].job.startswith("M05.") for group in groups):
        groups = [tuple(work for group in groups for work in group)]
    state, _, reason = raw["state"].partition(": ")
    return StatusRow(
        groups=tuple(groups),
        state=state,
        reason=reason,
        started=date.fromisoformat(raw["started"]),
        finished=date.fromisoformat(raw["finished"]) if raw["finished"] else None,
        hours_used=Fraction(raw["hours_used"]),
    )


def _pick(works: tuple[Work, ...], picked: re.Match[str] | None) -> tuple[Work, ...]:
    """Return the named steps of a job's work, or all of it."""
    if picked is None:
        return works
    first, last = int(picked[1]), int(picked[2] or picked[1])
    return tuple(one for one in works if one.step and first <= one.step.number <= last)


def _finished(
    works: Sequence[Work], started: date, finished: date, crew: Crew, hands: Hands, away: Away
) -> dict[str, Status]:
    """Cut the time from started to finished into the steps."""
    weights = [_real_days(work, crew, hands) for work in works]
    total, gone = sum(weights), Fraction(0)
    span = (finished - started).days + 1
    latest = _latest_finishes(works, finished, away)
    cursor = started
    found: dict[str, Status] = {}
    for work, weight in zip(works, weights, strict=True):
        begin = max(cursor, started + timedelta(days=int(gone / total * span)))
        gone += weight
        end = started + timedelta(days=max(0, int(gone / total * span) - 1))
        begin = max(min(begin, latest[work.id]), away.start_from.get(work.id, started))
        end = max(begin, min(end, latest[work.id]))
        days = list(crew.dates(work.trade, begin, latest[work.id])) or [begin]
        cursor = max([day for day in days if day <= end] or days[:1])
        found[work.id] = _done(days[0], cursor)
    return found


def _latest_finishes(works: Sequence[Work], finished: date, away: Away) -> dict[str, date]:
    """Return the last date of each step: a step ends before the next one's item leaves."""
    latest: dict[str, date] = {}
    bound = finished
    for work in reversed(works):
        bound = min(bound, away.finish_by.get(work.id, bound))
        latest[work.id] = bound
    return latest


def _unfinished(
    row: StatusRow, jobs: Sequence[Job], crew: Crew, hands: Hands, as_of: date
) -> dict[str, Status]:
    """
    Walk the hours used through the steps.

    A step of a job in work counts as done once its high hours are used up; of a held job,
    which stopped at the end of a step, once its likely hours are.
    """
    held = row.state == "held"
    left, cursor = row.hours_used, row.started
    found: dict[str, Status] = {}
    for work in (work for group in row.groups for work in group):
        if left <= 0:
            break
        likely = work.hours.likely
        if left < (likely if held else work.hours.high):
            found[work.id] = _in_work(work, left, cursor, crew, hands, as_of)
            break
        begun, cursor = _at_pace(work, likely, cursor, crew, hands, as_of)
        found[work.id] = _done(begun, cursor)
        left -= likely
    if held:
        found[_next_step(list(found)[-1], jobs)] = {"state": "held", "held_reason": row.reason}
    return found


def _in_work(
    work: Work, spent: Fraction, since: date, crew: Crew, hands: Hands, as_of: date
) -> Status:
    """Return the status of the step in work, with an estimate of what remains."""
    left = work.hours.likely - spent
    if left <= 0:
        left = (work.hours.high - spent) / 2
    begun = next(iter(crew.dates(work.trade, since, as_of)), since)
    return {
        "state": "in_work",
        "started": begun.isoformat(),
        "remaining_days": number(hands.days(work.trade, work.people, left)),
    }


def _at_pace(
    work: Work, hours: Fraction, since: date, crew: Crew, hands: Hands, as_of: date
) -> tuple[date, date]:
    """Return the dates on which a step was begun and over, worked at the pace of its trade."""
    days = ceil(hands.days(work.trade, work.people, hours))
    dates = list(crew.dates(work.trade, since, as_of))
    return dates[0], dates[min(days, len(dates)) - 1]


def _next_step(task: str, jobs: Sequence[Job]) -> str:
    """Return the task that follows a task in its job."""
    ids = [work.id for job in jobs for work in job.works]
    return ids[ids.index(task) + 1]


def _done(started: date, finished: date) -> Status:
    return {
        "state": "done",
        "started": started.isoformat(),
        "finished": finished.isoformat(),
    }


def _real_days(work: Work, crew: Crew, hands: Hands) -> Fraction:
    """Return roughly how many dates a step's likely hours take up."""
    days = hands.days(work.trade, work.people, work.hours.likely)
    if work.trade is None:
        return days
    week = crew.main(work.trade).week
    return days * Fraction(7, sum(1 for hours in week if hours) or 5)
