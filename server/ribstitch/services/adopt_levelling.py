"""Take a levelled order into the plan: its crew links in place of those that stand there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ribstitch.planning.model import CrewLink
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    refuse_stale_plan,
    things_of,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.levellings import Levellings
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import CREW_LINK


class NoOrderError(Exception):
    """There is no levelled order to adopt; `str()` is one sentence for a person."""


@dataclass(frozen=True, slots=True)
class AdoptedOrder:
    """What adopting a levelled order led to."""

    recorded: Recorded
    added: int
    """How many crew links are new or say something else."""
    taken_away: int
    kept: int


def adopt_levelling(
    forecasts: Forecasts,
    levellings: Levellings,
    project_id: int,
    plan_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> AdoptedOrder:
    """
    Replace the crew links of a plan by those that levelling found, in one action.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    levellings
        Where the levelled order is.
    project_id
        Whose plan.
    plan_version
        The version of the plan that was levelled.
    person, at, reason
        Who adopts it, when, and why.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    StaleEditError
        If the plan was changed since.
    NoOrderError
        If levelling has found nothing yet, or was not begun.
    PlanError
        If the plan with these links cannot be scheduled.
    """
    edits: list[Edit] = []

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        refuse_stale_plan(current, plan_version, work)
        found = levellings.ready(current)
        if found is None or found.order is None:
            raise NoOrderError(_why_not(levellings, current))
        edits.extend(_edits(current, found.order.links))
        return Change("crew.level", edits, _summary(edits))

    done = change_plan(forecasts, project_id, Author(person, at, reason), decide)
    levellings.work.forget(project_id)
    taken_away = sum(edit.after is None for edit in edits)
    added = len(edits) - taken_away
    total = len(forecasts.current(project_id).plan.crew_links)
    return AdoptedOrder(done, added, taken_away, total - added)


def _edits(current: CurrentPlan, links: tuple[CrewLink, ...]) -> list[Edit]:
    """Return what differs between the stored links and others: first what is set."""
    kind = CREW_LINK.name
    now = things_of(current.plan, current.versions, kind)
    wanted = {CREW_LINK.key_of(link): link for link in links}
    return [
        *(
            Edit(kind, key, now.get(key), link)
            for key, link in wanted.items()
            if now.get(key) != link
        ),
        *(Edit(kind, key, link, None) for key, link in now.items() if key not in wanted),
    ]


def _summary(edits: list[Edit]) -> str:
    """Say what was changed, for the forecast log."""
    taken_away = sum(edit.after is None for edit in edits)
    links = len(edits) - taken_away
    return (
        f"Levelled: {links} crew {'link' if links == 1 else 'links'} set, {taken_away} taken away"
    )


def _why_not(levellings: Levellings, current: CurrentPlan) -> str:
    """Say why there is no order to adopt."""
    if levellings.standing(current).state == "running":
        return "Levelling still looks for a better order: stop it first, or wait."
    return "There is no levelled order of this plan: level it first."
