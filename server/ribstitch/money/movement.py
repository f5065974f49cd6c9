"""What moved the finish and the cost from one plan to another, cause by cause.

Each cause gets its Shapley value (see `ribstitch.planning.attribution`), so that no order is
preferred and the days and amounts add up to the whole, to the day and to the minor unit. The
passing of time frames the others: the records are told as of the later date first, and what
nobody had begun by then is pushed last.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

from ribstitch.money.half_way import HalfWay, State, state_of
from ribstitch.money.moved_causes import TIME, Cause, Differences, differences
from ribstitch.planning.attribution import (
    MOST_ASKED,
    MOST_EXACT,
    Share,
    attribute,
    whole_parts,
)
from ribstitch.planning.model import Baseline, SendOut, Task, TaskStatus
from ribstitch.planning.model import State as WorkState
from ribstitch.planning.schedule import Schedule, schedule

MOST_TOLD = 7
"""So many causes are told; what is left of them is told together."""


@dataclass(frozen=True, slots=True)
class Step:
    """
    What one cause moved.

    Attributes
    ----------
    causes
        Mostly one; several where none can stand without the others, or where they are the
        small ones together.
    days
        By which the finish as written got later. [calendar days]
    cost
        By which the forecast at completion rose. [minor units of the later plan's currency]
    """

    causes: tuple[Cause, ...]
    days: int
    cost: int


@dataclass(frozen=True)
class Movement:
    """
    What moved, and why.

    Attributes
    ----------
    steps
        What moved most comes first; they add up to the whole.
    others
        The small ones together; None where all are told.
    differ
        What differs between the plans, with its causes.
    is_exact
        Whether all orders were counted, not some that were drawn.
    """

    steps: tuple[Step, ...]
    others: Step | None
    differ: Differences
    is_exact: bool


def movement(
    then: Schedule,
    now: Schedule,
    *,
    seed: int = 0,
    on_progress: Callable[[float], None] = lambda _: None,
) -> Movement:
    """
    Return what moved from an earlier plan to a later one in the same currency.

    Parameters
    ----------
    then, now
        Both plans, scheduled.
    seed
        Of the orders that are drawn where there are more causes than can be told exactly.
    on_progress
        Told the share that is done, 0 to 1.
    """
    differ = differences(then, now)
    ends = state_of(then), state_of(now)
    half_way, causes = HalfWay(then, now, differ), differ.causes
    if len(causes) > MOST_EXACT:
        causes = half_way.without_idle(causes)
    shares = _shares(half_way, ends, causes, seed, on_progress)
    steps = _rounded(shares)
    told = [one for one in steps if one.days or one.cost]
    told.sort(key=lambda one: (-abs(one.days), -abs(one.cost), one.causes))
    small = told[MOST_TOLD:] if len(told) > MOST_TOLD + 1 else []
    others = None
    if small:
        told = told[:MOST_TOLD]
        others = Step(
            tuple(cause for one in small for cause in one.causes),
            sum(one.days for one in small),
            sum(one.cost for one in small),
        )
    return Movement(tuple(told), others, differ, len(causes) <= MOST_EXACT)


@dataclass(frozen=True, slots=True)
class _Part:
    """What some causes moved, not rounded yet."""

    causes: tuple[Cause, ...]
    parts: tuple[Fraction, ...]


def _shares(
    half_way: HalfWay,
    ends: tuple[State, State],
    causes: frozenset[Cause],
    seed: int,
    on_progress: Callable[[float], None],
) -> list[_Part]:
    """Return what each cause moved; all together where a plan half way cannot stand at all."""
    by_name = {one.name: one for one in causes}
    count = len(by_name)
    expected = min(2**count, MOST_ASKED)

    def state(names: frozenset[str]) -> State | None:
        return half_way.state(frozenset(by_name[one] for one in names))

    begin, end = state(frozenset()), state(frozenset(by_name))
    if begin is None or end is None:
        return [_Part((TIME, *sorted(causes)), _between(*ends))]
    found: tuple[Share, ...] = attribute(
        by_name,
        lambda names: begin if not names else end if len(names) == count else state(names),
        seed=seed,
        on_progress=lambda asked: on_progress(min(asked / expected, 1.0)),
    )
    framing = zip(_between(ends[0], begin), _between(end, ends[1]), strict=True)
    time = _Part((TIME,), tuple(first + last for first, last in framing))
    return [
        time,
        *(_Part(tuple(by_name[name] for name in one.causes), one.parts) for one in found),
    ]


def _between(first: State, last: State) -> tuple[Fraction, ...]:
    """Return by how much finish and cost rose from one state to another."""
    return tuple(Fraction(new - old) for old, new in zip(first, last, strict=True))


def _rounded(shares: list[_Part]) -> list[Step]:
    """Round to whole days and minor units that still add up."""
    days, cost = (whole_parts([one.parts[thing] for one in shares]) for thing in (0, 1))
    return [Step(one.causes, by, units) for one, by, units in zip(shares, days, cost, strict=True)]


@dataclass(frozen=True, slots=True)
class SinceApproval:
    """
    How the finish as written moved since a baseline; both parts are the whole. [calendar days]

    Attributes
    ----------
    came_later
        Pieces of work and items away that the baseline does not know, and that are not over.
    for_later
        What they add to the finish: the days that it would be sooner without them.
    for_others
        All else: work that takes longer, items that come later, waiting.
    """

    came_later: int
    for_later: int
    for_others: int


def since_approval(now: Schedule, baseline: Baseline) -> SinceApproval:
    """Return how the finish moved since a baseline, and how much of it is work that came later."""
    plan, known = now.prepared.plan, {one.id for one in baseline.packages}

    def is_later(one: Task | SendOut) -> bool:
        if isinstance(one, SendOut):
            is_open = not one.dropped and one.status.accepted is None
            return is_open and one.trip_of is None and one.id not in known
        is_open = one.status.state.is_open
        return is_open and one.milestone is None and one.id not in known

    tasks = {one.id for one in plan.tasks if is_later(one)}
    items = {one.id for one in plan.send_outs if is_later(one)}
    without = schedule(
        replace(
            plan,
            tasks=tuple(
                replace(one, status=TaskStatus(WorkState.DROPPED)) if one.id in tasks else one
                for one in plan.tasks
            ),
            send_outs=tuple(
                replace(one, dropped=True) if one.id in items else one for one in plan.send_outs
            ),
        )
    )
    whole = (now.finish_on - baseline.finish).days
    later = (now.finish_on - without.finish_on).days
    return SinceApproval(len(tasks) + len(items), later, whole - later)
