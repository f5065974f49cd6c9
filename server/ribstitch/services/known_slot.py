"""Hours are entered for somebody of the crew."""

from __future__ import annotations

from typing import Any

from ribstitch.money.labour import is_slot
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import HoursWorked, Plan


def refuse_unknown_slot(plan: Plan, before: Any, after: Any) -> None:
    """
    Refuse hours of somebody who is not in the crew.

    Who has left it since may stay on entries that are there already.

    Raises
    ------
    InvalidValueError
        If the label is new here, and of no person-slot.
    """
    if not isinstance(after, HoursWorked) or not after.label:
        return
    if isinstance(before, HoursWorked) and before.label == after.label:
        return
    if not any(is_slot(row, after.label) for row in plan.crew):
        raise InvalidValueError(
            "label", f'nobody of the crew is called "{after.label}"', after.label
        )
