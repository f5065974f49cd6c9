"""Turn down an item that came back: it goes out on a further trip."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace
from datetime import date, datetime
from itertools import count

from ribstitch.planning.check_values import LONGEST_ID
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import SendOut, SendOutStatus, Source
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    thing_of,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, Person, UnitOfWork


def reject_item(
    forecasts: Forecasts,
    project_id: int,
    send_out_id: str,
    on: date,
    expected_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Record that an item was turned down, and add its further trip.

    The further trip (``S03/2``) has the legs of the first one and follows it; the tasks
    that waited for the first wait for it.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError
        Nothing is stored.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        item: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
        _check_came_back(item)
        rejected = replace(item, status=replace(item.status, rejected=on))
        trip = further_trip(item, current.versions["send_out"])
        if len(trip.id) > LONGEST_ID:
            reason = f'"{trip.id}", its further trip, is longer than {LONGEST_ID} characters'
            raise InvalidValueError("id", reason, trip.id)
        edits = [
            Edit("send_out", item.id, item, rejected),
            Edit("send_out", trip.id, None, trip),
        ]
        return Change("send_out.reject", edits, f"{item.name or item.id}: rejected {on}")

    return change_plan(
        forecasts,
        project_id,
        Author(person, at, reason),
        decide,
        expected=("send_out", send_out_id, expected_version),
    )


def _check_came_back(item: SendOut) -> None:
    """Refuse to turn down what is not there to be looked at."""
    status = item.status
    if item.dropped:
        raise InvalidValueError("dropped", f'"{item.id}" is dropped', True)
    if status.rejected is not None:
        reason = f'"{item.id}" was rejected on {status.rejected} already'
        raise InvalidValueError("on", reason, status.rejected)
    if item.source is Source.IN_HAND:
        return
    known = {"quoted", "approved", "left_vendor", "received", "accepted"}
    if item.source is not Source.EXCHANGE:
        known |= {"shipped", "arrived"}
    if not any(getattr(status, event) for event in known):
        never = "came" if item.source is Source.EXCHANGE else "left the shop"
        raise InvalidValueError("on", f'"{item.id}" never {never}: record that first', None)


def further_trip(item: SendOut, taken: Container[str]) -> SendOut:
    """Return the trip on which a rejected item goes out again, under an id not taken."""
    first, _, number = item.id.rpartition("/")
    if not (first and number.isdigit()):
        first = item.id
    numbered = (f"{first}/{number}" for number in count(2))
    return replace(
        item,
        id=next(name for name in numbered if name not in taken),
        after=(),
        before=(),
        trip_of=item.id,
        status=SendOutStatus(),
        contacts=(),
        notes="",
    )
