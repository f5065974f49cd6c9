"""What can be taken, and how much shorter each activity becomes by it.

An option is what is left of an expedite, in steps: whole days, or all of it at once. The
options of one activity together make one cut: less work, or for a leg that ends on a
promise an earlier date.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import prod

from ribstitch.planning.activities import Activity, floor_of
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.expediting import (
    activity_of,
    earlier_promise,
    is_promised,
    reduction,
    why_not,
)
from ribstitch.planning.model import Expedite
from ribstitch.planning.network import Values
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of

_MOST_WAYS = 100_000
"""A promise can be moved in no more ways than these."""


@dataclass(frozen=True, slots=True)
class Option:
    """What is left of one expedite."""

    expedite: Expedite
    step: int
    """What one step takes off. [ticks]"""
    most: int
    """How many steps there are."""


@dataclass(frozen=True, slots=True)
class Cut:
    """
    How much shorter one activity becomes by the steps taken of its options.

    Attributes
    ----------
    rank
        Of the activity.
    options
        Its options, by number.
    most
        No more can be taken off. [ticks]
    promises
        By the steps taken of each option, how much earlier the promised end becomes; None
        where work becomes shorter. [elapsed ticks]
    """

    rank: int
    options: tuple[int, ...]
    most: int
    promises: dict[tuple[int, ...], int] | None = None


def options_of(prepared: Prepared) -> tuple[Option, ...]:
    """Return what can still be taken, in order of entry."""
    found = []
    for one in prepared.plan.expedites:
        left = one.gains - one.taken
        if left and why_not(prepared, one) is None:
            steps = left // TICKS_PER_DAY if one.by_the_day else 1
            found.append(Option(one, left // steps, steps))
    return tuple(found)


def cuts_of(prepared: Prepared, options: Sequence[Option]) -> tuple[Cut, ...]:
    """Return a cut for each activity that has options."""
    by_activity: dict[str, list[int]] = {}
    for number, option in enumerate(options):
        by_activity.setdefault(activity_of(option.expedite), []).append(number)
    return tuple(_cut(prepared, name, numbers, options) for name, numbers in by_activity.items())


def _cut(prepared: Prepared, name: str, numbers: Sequence[int], options: Sequence[Option]) -> Cut:
    """Return the cut of one activity."""
    rank = prepared.rank(name)
    activity = prepared.expansion.activities[prepared.number[name]]
    if is_promised(prepared.plan, activity):
        promises = _promises(prepared, activity, [options[number] for number in numbers])
        return Cut(rank, tuple(numbers), max(promises.values()), promises)
    gains = sum(options[number].step * options[number].most for number in numbers)
    return Cut(rank, tuple(numbers), reduction(int(prepared.values.work[rank]), gains))


def _promises(
    prepared: Prepared, activity: Activity, options: Sequence[Option]
) -> dict[tuple[int, ...], int]:
    """Return how much earlier a promised leg may end, by steps taken. [elapsed ticks]"""
    if prod(option.most + 1 for option in options) > _MOST_WAYS:
        raise InvalidValueError(
            "expedites", f'"{activity.id}" has too many expedites by the day', activity.id
        )
    item = next(item for item in prepared.plan.send_outs if item.id == activity.send_out)
    floor = floor_of(prepared.plan)
    if activity.started is not None:
        floor = max(floor, activity.started)
    found = {}
    for steps in product(*(range(option.most + 1) for option in options)):
        moved = item
        for option, taken in zip(options, steps, strict=True):
            if taken:
                moved = earlier_promise(prepared, moved, taken * option.step)
        promised = moved.status.promised
        ends = floor if promised is None else max(floor, end_of(promised))
        found[steps] = activity.floor - ends
    return found


def taken_off(cut: Cut, options: Sequence[Option], steps: Sequence[int]) -> int:
    """Return how much a cut takes off, given the steps taken of every option. [ticks]"""
    if cut.promises is not None:
        return cut.promises[tuple(steps[number] for number in cut.options)]
    return min(cut.most, sum(options[number].step * steps[number] for number in cut.options))


def values_with(values: Values, cuts: Sequence[Cut], amounts: Sequence[int]) -> Values:
    """Return the network's values with so much taken off by each cut."""
    work, floor = values.work.copy(), values.floor.copy()
    for cut, amount in zip(cuts, amounts, strict=True):
        changed = work if cut.promises is None else floor
        changed[cut.rank] -= amount
    return replace(values, work=work, floor=floor)
