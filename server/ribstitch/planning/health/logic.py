"""Practice 2: links, dangling ends, dates that stand in for links."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ribstitch.planning.health.check import Found, Offender, in_days
from ribstitch.planning.health.look import Look
from ribstitch.planning.health.ties import work_links
from ribstitch.planning.model import Link, Relation, State
from ribstitch.planning.ticks import days_from_ticks


def look_at_logic(look: Look) -> Iterator[tuple[str, Found]]:
    """Yield what is found on the order of work, by check."""
    yield from _ends(look)
    yield from _links(look)
    tasks, of = look.open_tasks, len(look.open_tasks)
    dated = tuple(
        Offender(one.id, f"deadline {one.deadline}")
        for one in map(look.task, tasks)
        if one.deadline is not None
    )
    yield "hard_dates", Found(len(dated), of, dated)
    merges = _merges(look)
    yield "merge_points", Found(len(merges), of, merges)


def _ends(look: Look) -> Iterator[tuple[str, Found]]:
    """Yield tasks with nothing before or after them, and ends that dangle."""
    ties, of = look.ties, len(look.open_tasks)
    loose, starts, finishes = [], [], []
    for number in look.open_tasks:
        one = look.activities[number]
        has_before, has_after = bool(ties.before[number]), bool(ties.after[number])
        if not (has_before and has_after):
            loose.append(Offender(one.id, _what_is_missing(has_before, has_after)))
        if not ties.start[number] and not one.is_under_way:
            starts.append(Offender(one.id, "only its finish is tied" if has_before else ""))
        if not ties.from_finish[number]:
            note = "only its start is waited for" if has_after else ""
            finishes.append(Offender(one.id, note))
    yield "missing_links", Found(len(loose), of, tuple(loose))
    yield "dangling_starts", Found(len(starts), of, tuple(starts))
    yield "dangling_finishes", Found(len(finishes), of, tuple(finishes))


def _what_is_missing(has_before: bool, has_after: bool) -> str:
    """Say which side of a task is not linked."""
    if has_before:
        return "nothing waits for it"
    return "nothing comes before it" if has_after else "linked to nothing"


def _links(look: Look) -> Iterator[tuple[str, Found]]:
    """
    Yield what the links that still hold a date are like.

    These are the links entered between tasks, milestones included, whose waiting task is
    neither done nor dropped. Those that come with a send-out are finish-start without a
    lag by construction: counting them would only thin out the rest.
    """
    gone = {one.id for one in look.plan.tasks if one.status.state is State.DROPPED}
    over = gone | {one.id for one in look.plan.tasks if one.status.state is State.DONE}
    links = [one for one in look.plan.links if one.before not in gone and one.after not in over]

    def those(is_meant: Callable[[Link], bool]) -> tuple[Offender, ...]:
        return tuple(Offender(one.after, _words(look, one)) for one in links if is_meant(one))

    leads, lags = those(lambda one: one.lag < 0), those(lambda one: one.lag > 0)
    others = those(lambda one: one.relation is not Relation.FINISH_START)
    yield "leads", Found(len(leads), len(links), leads)
    yield "lags", Found(len(lags), len(links), lags)
    yield "finish_start", Found(len(links) - len(others), len(links), others)


def _words(look: Look, link: Link) -> str:
    """Say what a link ties, and how."""
    tie = _tie(link.relation, look.name(look.schedule.number(link.before)))
    if not link.lag:
        return tie
    days = in_days(abs(days_from_ticks(link.lag)))
    return f"{tie}, {days} sooner" if link.lag < 0 else f"{tie}, {days} later"


def _tie(relation: Relation, before: str) -> str:
    match relation:
        case Relation.FINISH_START:
            return f"after {before}"
        case Relation.START_START:
            return f"with the start of {before}"
        case Relation.FINISH_FINISH:
            return f"finishes with {before}"
        case Relation.START_FINISH:
            return f"finishes with the start of {before}"


def _merges(look: Look) -> tuple[Offender, ...]:
    """Return open tasks that wait for two or more, the most first."""
    before: dict[str, set[str]] = {}
    for link in work_links(look.schedule):
        if not look.activities[look.schedule.number(link.before)].dropped:
            before.setdefault(link.after, set()).add(link.before)
    ids = [look.activities[number].id for number in look.open_tasks]
    several = [one for one in ids if len(before.get(one, ())) > 1]
    several.sort(key=lambda one: -len(before[one]))
    return tuple(Offender(one, f"waits for {len(before[one])}") for one in several)
