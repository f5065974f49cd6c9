"""The things of a plan that are listed and edited alike, by kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store.kinds import (
    CALENDAR,
    CREW,
    EXCHANGE_RATE,
    EXPEDITE,
    PLACE,
    RISK,
    SEND_OUT_KIND,
    VENDOR,
    ZONE,
    Kind,
)


@dataclass(frozen=True, slots=True)
class Resource:
    """One kind of thing and its words."""

    kind: Kind[Any]
    plural: str
    """As the plan file calls the list."""
    one: str
    """In a sentence."""
    fixed: str
    """The key that names the thing."""
    example: dict[str, Any]
    """An edit."""
    new: dict[str, Any] | None = None
    """A new one; None: it comes with the plan file, and is neither added nor taken out."""

    @property
    def name(self) -> str:
        """What the kind is called in the change log."""
        return self.kind.name

    @property
    def path(self) -> str:
        """The word in the address."""
        return self.plural.replace("_", "-")

    def thing(self, current: CurrentPlan, key: str) -> Any:
        """
        Return a thing.

        Raises
        ------
        UnknownThingError
            If it is not in the plan.
        """
        return thing_of(current.plan, current.versions, self.name, key)

    def line(self, key: str, thing: Any, version: int) -> dict[str, Any]:
        """Return a thing as it stands in a plan file, with its key and version."""
        part = self.kind.to_part(thing).model_dump(mode="json", by_alias=True)
        return {**part, "key": key, "version": version}

    def lines(self, current: CurrentPlan) -> list[dict[str, Any]]:
        """Return all things of this kind."""
        versions = current.versions[self.name]
        return [
            self.line(key, thing, version)
            for (key, version), thing in zip(
                versions.items(), self.kind.things(current.plan), strict=True
            )
        ]


RESOURCES = (
    Resource(
        CALENDAR, "calendars", "a calendar", "id", {"closed": [["2026-08-03", "2026-08-14"]]},
        {"id": "volunteers", "name": "Saturdays", "week": [0, 0, 0, 0, 0, 6, 0]},
    ),
    Resource(VENDOR, "vendors", "a vendor", "id", {"country": "GB", "calendar": "v1"}),
    Resource(
        CREW, "crew", "a crew entry", "trade", {"people": 2},
        {"trade": "metal", "label": "Metalworker 2", "calendar": "shop"},
    ),
    Resource(ZONE, "zones", "a zone", "id", {"name": "Centre section"}),
    Resource(
        PLACE, "places", "a place", "id", {"capacity": 2},
        {"id": "booth", "name": "Spray booth", "capacity": 1},
    ),
    Resource(
        EXPEDITE, "expedites", "an expedite", "id", {"gains_days": 5, "cost": "900.00"},
        {"id": "X1", "name": "Saturdays", "kind": "overtime", "task": "T010", "gains_days": 4,
         "cost": "120.00", "by_the_day": True},
    ),
    Resource(RISK, "risks", "a risk", "id", {"probability": 0.3, "impact_days_range": [2, 5, 15]}),
    Resource(SEND_OUT_KIND, "kinds", "a kind of send-out", "id", {"over_median": 1.2}),
    Resource(EXCHANGE_RATE, "exchange_rates", "an exchange rate", "currency", {"rate": "0.92"}),
)  # fmt: skip
