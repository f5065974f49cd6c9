"""Record what happened to a send-out: its dates, the vendor's promise, a word with them."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, datetime

from ribstitch.planning.model import Contact, SendOut, SendOutStatus
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    thing_of,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, Person, UnitOfWork


def record_send_out_status(
    forecasts: Forecasts,
    project_id: int,
    send_out_id: str,
    status: SendOutStatus,
    expected_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Record the dates of a send-out, and reckon the plan anew.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError
        Nothing is stored.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        item: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
        edit = Edit("send_out", send_out_id, item, replace(item, status=status))
        summary = f"{item.name or item.id}: {_news(item.status, status)}"
        return Change("send_out.status", [edit], summary)

    return change_plan(
        forecasts,
        project_id,
        Author(person, at, reason),
        decide,
        expected=("send_out", send_out_id, expected_version),
    )


def log_contact(
    forecasts: Forecasts,
    project_id: int,
    send_out_id: str,
    on: date,
    note: str,
    person: Person,
    at: datetime,
) -> Recorded:
    """
    Note a word with the vendor about a send-out; notes of others are never overwritten.

    Raises
    ------
    UnknownProjectError, UnknownThingError, PlanError
        Nothing is stored.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        item: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
        contacts = (*item.contacts, Contact(on, note))
        edit = Edit("send_out", send_out_id, item, replace(item, contacts=contacts))
        return Change("send_out.contact", [edit], f"{item.name or item.id}: vendor asked")

    return change_plan(forecasts, project_id, Author(person, at), decide)


def _news(before: SendOutStatus, after: SendOutStatus) -> str:
    """Say which dates are new, in a few words."""
    news = []
    for one in fields(SendOutStatus):
        old, new = getattr(before, one.name), getattr(after, one.name)
        if old != new:
            news.append(f"{one.name.replace('_', ' ')} {new or 'open again'}")
    return ", ".join(news) or "nothing new"
