"""The things of a plan that are listed and edited alike, by kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store.kinds import (
    BUDGET_LINE,
    CALENDAR,
    COST,
    CREW,
    DRAWING,
    EVIDENCE,
    EXCHANGE_RATE,
    EXPEDITE,
    FINDING,
    FUNDING,
    HOURS_WORKED,
    METHOD_CARD,
    OVER_AND_ABOVE,
    PLACE,
    RISK,
    SEND_OUT_KIND,
    STANDING_JOB,
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
    Resource(
        VENDOR, "vendors", "a vendor", "id", {"country": "GB", "calendar": "v1"},
        {"id": "platers", "name": "A plating shop", "country": "IE", "currency": "EUR",
         "kinds": ["plating"]},
    ),
    Resource(
        CREW, "crew", "a crew entry", "trade", {"people": 2},
        {"trade": "metal", "label": "Metalworker 2", "calendar": "shop"},
    ),
    Resource(
        ZONE, "zones", "a zone", "id", {"name": "Centre section"},
        {"id": "engine-mount", "name": "Engine mount"},
    ),
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
    Resource(
        EXCHANGE_RATE, "exchange_rates", "an exchange rate", "currency", {"rate": "0.92"},
        {"currency": "GBP", "on": "2026-10-01", "rate": "1.15"},
    ),
    Resource(
        COST, "costs", "a cost line", "id",
        {"state": "invoiced", "amount": "4180.00", "on": "2026-10-02", "document": "INV 2291"},
        {"id": "C31", "name": "Engine overhaul", "kind": "vendor", "state": "ordered",
         "amount": "4000.00", "currency": "GBP", "on": "2026-09-01", "send_out": "S01",
         "document": "PO 118", "dues": [{"percent": "30", "at": "order"},
                                        {"percent": "70", "at": "accepted", "days": 30}]},
    ),
    Resource(
        BUDGET_LINE, "budget", "a budget line", "chapter", {"amount": "5200.00"},
        {"chapter": "55", "name": "Stabilisers", "kind": "material", "amount": "800.00",
         "currency": "EUR"},
    ),
    Resource(
        HOURS_WORKED, "hours", "an entry of hours", "id", {"hours": "6.5"},
        {"id": "H31", "task": "T010", "on": "2026-10-09", "hours": "7.5",
         "label": "Metalworker 1"},
    ),
    Resource(
        FUNDING, "funding", "a sum to come in", "id", {"amount": "2500.00"},
        {"id": "F1", "name": "Owner, monthly", "on": "2026-11-01", "amount": "2400.00",
         "every_months": 1},
    ),
    Resource(
        OVER_AND_ABOVE, "over_and_above", "an over-and-above item", "id", {"amount": "620.00"},
        {"id": "A7", "name": "Corroded rudder hinge", "asked_on": "2026-10-09",
         "amount": "580.00", "hours": "12", "chapter": "55", "task": "T010"},
    ),
    Resource(
        FINDING, "findings", "a finding", "id",
        {"treatment": "repair", "decided_by": "Lead 1", "decided_on": "2026-10-09"},
        {"id": "F63", "seen": "Fin spar pitted at the root, 40 mm", "zone": "tail",
         "chapter": "55", "grade": 3, "authenticity": "original"},
    ),
    Resource(
        METHOD_CARD, "cards", "a method card", "id", {"evidence": "photo before cover"},
        {"id": "X01", "name": "Mend a fairing", "driver": "fairing",
         "steps": [{"number": 1, "name": "Mend", "hours": ["2", "4", "9"], "trade": "metal"}]},
    ),
    Resource(
        STANDING_JOB, "standing_jobs", "a standing job", "id", {"quantity": "2"},
        {"id": "J1", "card": "M05", "title": "Tail bays", "zone": "tail", "quantity": "2"},
    ),
)  # fmt: skip

EVIDENCE_LINES = Resource(
    EVIDENCE, "evidence", "a photo or a document", "id",
    {"caption": "Glue line, opened at rib 4", "taken_on": "2026-10-06"},
)  # fmt: skip
"""Listed alike, and added as a file: the router of its own does the rest."""

DRAWING_LINES = Resource(
    DRAWING, "drawings", "a drawing", "id",
    {"name": "Side", "outlines": [
        {"zone": "tail", "corners": [[0.82, 0.2], [0.97, 0.22], [0.96, 0.55], [0.8, 0.5]]},
    ]},
)  # fmt: skip
"""Listed alike, and added as a picture: the router of its own does the rest."""
