"""A project that begins: what is told, and what it begins with."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated

from pydantic import Field

from ribstitch.api.schemas.base import Answer
from ribstitch.planfile.alike import thing_from
from ribstitch.planfile.document import (
    Currency,
    Document,
    Hours,
    Id,
    Money,
    Name,
    People,
    PlaceDocument,
)
from ribstitch.planning.model import Calendar, Project
from ribstitch.services.new_project import SHOP, Begun, CardHours
from ribstitch.services.project_told import CrewLine, NewProject, Share, Surface, ZoneToOpen


class ZoneTold(Document):
    """A zone of the airframe."""

    id: Id
    name: Name
    bays: Annotated[int, Field(description="How many of it are opened up and inspected")] = 0


class SurfaceTold(Document):
    """A control surface that is balanced."""

    id: Annotated[Id, Field(description="Of its standing job")]
    name: Name
    zone: Id


class CrewTold(Document):
    """People who do the same trades on the same days."""

    label: Name
    trades: list[Id]
    people: People = 1
    hours: Annotated[
        list[Hours],
        Field(description="Of each of them that reach this aircraft, Monday to Sunday"),
    ]
    rate: Annotated[Money | None, Field(description="Cost of an hour of one person")] = None


class ShareTold(Document):
    """What of the budget is agreed for a chapter."""

    chapter: Id
    amount: Money


class NewProjectTold(Document):
    """What is told of a project that begins."""

    name: Name
    aircraft: Name = ""
    serial: Name = ""
    restored_to: Annotated[Name, Field(description="The date that it will show")] = ""
    airframe: Annotated[Name, Field(description="Kind of aircraft, as offered")]
    rule_book: Annotated[Name, Field(description="Whose rules it will fly by, as offered")]
    start: Annotated[date | None, Field(description="Without it, today")] = None
    zones: list[ZoneTold]
    surfaces: list[SurfaceTold] = Field(default=[])
    week: Annotated[list[Hours], Field(description="Hours of the shop, Monday to Sunday")]
    holidays: Annotated[str | None, Field(max_length=20, description="Country code")] = None
    closed: list[tuple[date, date]] = Field(
        default=[], description="First and last day of each closure"
    )
    crew: list[CrewTold] = Field(default=[])
    places: list[PlaceDocument] = Field(default=[])
    currency: Currency = "EUR"
    standing_per_month: Money | None = None
    budget: Annotated[
        Money | None, Field(description="All together; without it, what the chapters come to")
    ] = None
    shares: list[ShareTold] = Field(
        default=[], description="Of the budget, by chapter; the rest is not shared out yet"
    )
    rates: dict[Id, Money] = Field(
        default={}, description="Cost of an hour by trade, of who has no rate of their own"
    )
    target_finish: date | None = None
    cards_of: Annotated[
        int | None, Field(ge=1, description="Project whose method cards are copied")
    ] = None

    def told(self, now: datetime) -> NewProject:
        """Return what is told; the status is true for today, or for a start that is to come."""
        start = self.start or now.date()
        project = Project(
            start,
            max(start, now.date()),
            self.name.strip(),
            self.aircraft.strip(),
            self.serial.strip(),
            self.currency,
            target_finish=self.target_finish,
            standing_per_month=self.standing_per_month,
            airframe=self.airframe,
            restored_to=self.restored_to.strip(),
            rule_book=self.rule_book,
        )
        return NewProject(
            project,
            tuple(ZoneToOpen(one.id, one.name.strip(), one.bays) for one in self.zones),
            tuple(Surface(one.id, one.name.strip(), one.zone) for one in self.surfaces),
            Calendar(
                SHOP,
                week_hours=tuple(self.week),
                holidays=self.holidays,
                closed=tuple(self.closed),
            ),
            tuple(
                CrewLine(
                    one.label.strip(), tuple(one.trades), one.people, tuple(one.hours), one.rate
                )
                for one in self.crew
            ),
            thing_from(self.places),
            self.budget,
            tuple(Share(one.chapter, one.amount) for one in self.shares),
            self.rates,
            self.cards_of,
        )


class ProjectBegun(Answer):
    """What a project begins with."""

    id: Annotated[int, Field(description="Number of the project")]
    finish: Annotated[date, Field(description="If everything goes as written")]
    tasks: int
    work: Annotated[list[CardHours], Field(description="Likely person-hours, card by card")]
    problems: Annotated[list[str], Field(description="What stands in the way of a whole draft")]


def begun_document(begun: Begun) -> dict[str, object]:
    """Return what a project begins with as an answer."""
    first = begun.first
    return {
        "id": begun.project_id,
        "finish": begun.finish_on,
        "tasks": sum(1 for task in first.plan.tasks if task.milestone is None),
        "work": first.work,
        "problems": first.problems,
    }
