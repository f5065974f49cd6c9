"""Refuse what a check does not allow yet, whichever way somebody comes to it."""

from __future__ import annotations

from typing import Any

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.holding import (
    Barred,
    Blocked,
    CheckState,
    Holding,
    Standing,
    newly_blocked,
)
from ribstitch.planning.model import CheckKind, Plan, SendOut, Task
from ribstitch.services.forecast import CurrentPlan

_WANTS = {
    CheckKind.HOLD: ("evidence", "attach it"),
    CheckKind.BUY_OFF: ("the inspector's buy-off", "sign it off"),
    CheckKind.WITNESS: ("a witness", "sign it off"),
}
"""What a kind of check wants, and what to do about it."""


class CheckHoldsError(Exception):
    """A check does not allow a step yet; `str()` is one sentence for a person."""

    def __init__(self, blocked: Blocked) -> None:
        self.kind = "task" if isinstance(blocked.thing, Task) else "send_out"
        """What kind of thing may not go on."""
        self.thing = blocked.thing.id
        self.check = blocked.by.task.id
        """The task whose check is not settled."""
        super().__init__(_refusal(blocked))


def refuse_blocked(before: Plan, after: Plan) -> None:
    """
    Refuse a change that a check does not allow.

    Raises
    ------
    CheckHoldsError
        If a task begins, becomes done or is dropped too early, an item leaves too early, or
        what settled a check goes.
    """
    blocked = newly_blocked(before, after)
    if blocked is not None:
        raise CheckHoldsError(blocked)


def keep_open_check(current: CurrentPlan, before: Any, after: Any) -> None:
    """
    Refuse to edit away a check that is not settled: it is passed over by name, or undone.

    Raises
    ------
    InvalidValueError
        If the task would have no check, or another kind of one.
    """
    if not (isinstance(before, Task) and isinstance(after, Task)) or before.check is None:
        return
    if after.check is not None and after.check.kind is before.check.kind:
        return
    standing = holding_of(current).standings.get(before.id)
    if standing is not None and standing.holds:
        raise InvalidValueError(
            "check",
            f'what "{before.id}" wants is not settled: sign it off, or pass over it by name '
            "and with a reason",
            None if after.check is None else after.check.kind.value,
        )


def holding_of(current: CurrentPlan) -> Holding:
    """Return the checks of a plan and what they hold back, found out once for each change."""
    return current.derived("holding", lambda: Holding(current.plan))


def told(standing: Standing) -> str:
    """Say which task's check wants what, such as ``T1 (Strip) wants a witness``."""
    return _in_words(standing, _called(standing.task))


def _in_words(standing: Standing, who: str) -> str:
    """Say what a check wants, such as ``it wants evidence (paint record)``."""
    wanted, _ = _WANTS[standing.check.kind]
    wants = f" ({standing.check.wants})" if standing.check.wants else ""
    again = "is open again and " if standing.state is CheckState.REOPENED else ""
    return f"{who} {again}wants {wanted}{wants}"


def _called(thing: Task | SendOut) -> str:
    """Return the id of a task or an item, and its name where it has one."""
    return f"{thing.id} ({thing.name})" if thing.name else thing.id


def _refusal(blocked: Blocked) -> str:
    """Say in one sentence what may not be done, and what to do about it."""
    by = blocked.by
    remedy = f"{_WANTS[by.check.kind][1]}, or pass over it by name and with a reason."
    match blocked.step:
        case Barred.START:
            return f"{blocked.thing.id} may not start: {told(by)}; {remedy}"
        case Barred.LEAVE:
            return f"{_called(blocked.thing)} may not leave the shop: {told(by)}; {remedy}"
        case Barred.DONE:
            return f"{_called(by.task)} cannot count as done: {_in_words(by, 'it')}; {remedy}"
        case Barred.DROP:
            return f"{_called(by.task)} cannot be dropped: {_in_words(by, 'it')}; {remedy}"
        case Barred.UNSETTLED_DONE:
            return (
                f"{_called(by.task)} counts as done because its check was settled: take that "
                "back first, or sign that the check is open again."
            )
        case Barred.UNSETTLED_DROPPED:
            return (
                f"{_called(by.task)} was dropped because its check was settled, or passed over: "
                "take that back first."
            )
        case Barred.UNSETTLED_BEGUN:
            did = "has begun" if isinstance(blocked.thing, Task) else "has left the shop"
            return (
                f"{_called(blocked.thing)} {did} behind the check of {_called(by.task)}: take "
                "that back first, or sign that the check is open again."
            )
