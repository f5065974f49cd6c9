"""The legs of a send-out as they were quoted, for comparison with what became of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ribstitch.planning.activities import UNAWAITED_LEGS
from ribstitch.planning.model import Plan, SendOut, SendOutStatus
from ribstitch.planning.schedule import Schedule, schedule


@dataclass(frozen=True, slots=True)
class QuotedLeg:
    """One leg had it gone as quoted. Instants in ticks."""

    leg: str
    start: int
    finish: int


def legs_as_quoted(current: Schedule, item: SendOut) -> tuple[QuotedLeg, ...]:
    """
    Return the legs of a send-out one after the other, each as long as it was quoted.

    They begin when the first leg did, or will.
    """
    unawaited = UNAWAITED_LEGS[item.source]
    numbers = [
        number
        for number, one in enumerate(current.activities)
        if one.send_out == item.id and one.leg not in unawaited
    ]
    if not numbers:
        return ()
    alone = schedule(_alone(current.prepared.plan, item, current, numbers[0]))
    return tuple(
        QuotedLeg(one.leg or "", int(alone.start[number]), int(alone.finish[number]))
        for number, one in enumerate(alone.activities)
        if one.leg not in unawaited
    )


def _alone(plan: Plan, item: SendOut, current: Schedule, first: int) -> Plan:
    """Return a plan of nothing but the item, begun when its first leg was, with no facts."""
    begun = current.start_on(first)
    return Plan(
        project=replace(plan.project, start=begun, as_of=begun),
        calendars=plan.calendars,
        vendors=tuple(replace(vendor, kinds=()) for vendor in plan.vendors),
        send_outs=(
            replace(item, after=(), before=(), trip_of=None, status=SendOutStatus(), contacts=()),
        ),
    )
