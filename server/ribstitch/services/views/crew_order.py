"""The crew links of a plan as they are listed: who waits for whom, and whether it still holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ribstitch.planning.crew_order import crew_links_in_force
from ribstitch.planning.model import CrewLink
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store.kinds import CREW_LINK

Holds = Literal["as_set", "turned_round", "no_more"]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One crew link."""

    key: str
    version: int
    before: str
    before_name: str
    after: str
    after_name: str
    kind: Literal["trade", "place"]
    names: list[str]
    units: int
    holds: Holds


def order_lines(current: CurrentPlan) -> list[OrderLine]:
    """Return the crew links of a plan, in order of entry."""
    plan = current.plan
    names = {task.id: task.name or task.id for task in plan.tasks}
    in_force = {(link.before, link.after) for link in crew_links_in_force(plan)}
    versions = current.versions[CREW_LINK.name]
    return [
        OrderLine(
            key=key,
            version=version,
            before=link.before,
            before_name=names[link.before],
            after=link.after,
            after_name=names[link.after],
            kind=link.kind.value,
            names=list(link.names),
            units=link.units,
            holds=_holds(link, in_force),
        )
        for (key, version), link in zip(versions.items(), plan.crew_links, strict=True)
    ]


def _holds(link: CrewLink, in_force: set[tuple[str, str]]) -> Holds:
    """Say whether the shop still keeps to a crew link."""
    if (link.before, link.after) in in_force:
        return "as_set"
    return "turned_round" if (link.after, link.before) in in_force else "no_more"
