"""Say yes or no to work or a price that was found after the budget was agreed."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Decision, OverAndAbove
from ribstitch.services.change_plan import Author, Change, Recorded, change_plan, thing_of
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import OVER_AND_ABOVE

_SAID = {Decision.APPROVED: "approved", Decision.DECLINED: "declined"}


def decide_over_and_above(
    forecasts: Forecasts,
    project_id: int,
    key: str,
    decision: Decision,
    reason: str,
    expected_version: int,
    person: Person,
    at: datetime,
) -> Recorded:
    """
    Approve or decline an over-and-above item.

    It is decided on the as-of date, by whom and why is kept with it. Who has decided may
    decide otherwise; undo makes it wait again.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id, key
        Which item of which project.
    decision
        Approved or declined.
    reason
        Why; needed to decline.
    expected_version
        The item's version as it was read.
    person, at
        Who decides, and when.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError
        Nothing is stored; `InvalidValueError` if it is declined without a reason.
    """
    if decision is Decision.DECLINED and not reason.strip():
        raise InvalidValueError("reason", "who declines says why", reason)

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        before = thing_of(current.plan, current.versions, OVER_AND_ABOVE.name, key)
        after = replace(
            before,
            state=decision,
            decided_on=current.as_of,
            decided_by=person.name,
            reason=reason,
        )
        edit = Edit(OVER_AND_ABOVE.name, key, before, after)
        return Change("over_and_above.decide", [edit], f"{before.name} {_SAID[decision]}")

    return change_plan(
        forecasts,
        project_id,
        Author(person, at, reason),
        decide,
        expected=(OVER_AND_ABOVE.name, key, expected_version),
    )


def refuse_if_decided(item: OverAndAbove) -> None:
    """
    Refuse to edit, add or take out an item that is decided: the owner's word stands.

    Raises
    ------
    InvalidValueError
        If it does not wait.
    """
    if item.state is not Decision.WAITING:
        raise InvalidValueError(
            "state",
            f'"{item.id}" is {_SAID[item.state]}: that is said and taken back by who decides, '
            "not by an edit",
            item.state.value,
        )
