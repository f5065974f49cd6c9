"""Add and drop links between tasks."""

from __future__ import annotations

from datetime import datetime

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Link, Relation
from ribstitch.services.change_plan import Author, Change, Recorded, change_plan
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, Person, UnitOfWork, UnknownThingError
from ribstitch.store.kinds import LINK


def add_link(
    forecasts: Forecasts,
    project_id: int,
    link: Link,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Add a link.

    Raises
    ------
    UnknownProjectError, PlanError
        Nothing is stored; the tasks may be linked like that already, or close a loop.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        key = LINK.key_of(link)
        if key in current.versions["link"]:
            raise InvalidValueError(
                "to",
                f'"{link.before}" and "{link.after}" are linked {link.relation.value} already',
                link.after,
            )
        return Change("link.add", [Edit("link", key, None, link)], f"Link {key} added")

    return change_plan(forecasts, project_id, Author(person, at, reason), decide)


def drop_link(
    forecasts: Forecasts,
    project_id: int,
    before: str,
    after: str,
    relation: Relation,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Take a link out of the plan; it stays in the change log.

    Raises
    ------
    UnknownProjectError, UnknownThingError, PlanError
        Nothing is changed.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        links = zip(current.versions["link"], current.plan.links, strict=True)
        for key, link in links:
            if (link.before, link.after, link.relation) == (before, after, relation):
                return Change("link.drop", [Edit("link", key, link, None)], f"Link {key} dropped")
        raise UnknownThingError("link", LINK.key_of(Link(before, after, relation)))

    return change_plan(forecasts, project_id, Author(person, at, reason), decide)
