"""The things of a plan that are listed and edited alike, by kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from ribstitch.planfile import convert
from ribstitch.planfile import document as doc
from ribstitch.planning import model
from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store.kinds import PLAN_KINDS


@dataclass(frozen=True, slots=True)
class Resource:
    """One kind of thing: its words, and how it stands in a plan file."""

    kind: str
    """As in the change log."""
    plural: str
    """As in the address."""
    one: str
    """In a sentence."""
    document: type[BaseModel]
    to_document: Callable[[Any], BaseModel]
    from_document: Callable[[Any], Any]
    fixed: str
    """The key that names the thing."""
    example: dict[str, Any]

    def thing(self, current: CurrentPlan, key: str) -> Any:
        """
        Return a thing.

        Raises
        ------
        UnknownThingError
            If it is not in the plan.
        """
        return thing_of(current.plan, current.versions, self.kind, key)

    def line(self, key: str, thing: Any, version: int) -> dict[str, Any]:
        """Return a thing as it stands in a plan file, with its key and version."""
        part = self.to_document(thing).model_dump(mode="json", by_alias=True)
        return {**part, "key": key, "version": version}

    def lines(self, current: CurrentPlan) -> list[dict[str, Any]]:
        """Return all things of this kind."""
        versions = current.versions[self.kind]
        things = PLAN_KINDS[self.kind].things(current.plan)
        return [
            self.line(key, thing, version)
            for (key, version), thing in zip(versions.items(), things, strict=True)
        ]


RESOURCES = (
    Resource(
        "calendar",
        "calendars",
        "a calendar",
        doc.CalendarDocument,
        convert.calendar_document,
        convert.calendar_from,
        "id",
        {"closed": [["2026-08-03", "2026-08-14"]]},
    ),
    Resource(
        "vendor",
        "vendors",
        "a vendor",
        doc.VendorDocument,
        convert.vendor_document,
        convert.vendor_from,
        "id",
        {"country": "GB", "calendar": "v1"},
    ),
    Resource(
        "crew",
        "crew",
        "a crew entry",
        doc.CrewDocument,
        convert.crew_document,
        convert.crew_from,
        "trade",
        {"people": 2},
    ),
    Resource(
        "zone",
        "zones",
        "a zone",
        doc.ZoneDocument,
        lambda zone: doc.ZoneDocument(id=zone.id, name=zone.name),
        lambda part: model.Zone(part.id, part.name),
        "id",
        {"name": "Centre section"},
    ),
    Resource(
        "place",
        "places",
        "a place",
        doc.PlaceDocument,
        lambda place: doc.PlaceDocument(id=place.id, name=place.name, capacity=place.capacity),
        lambda part: model.Place(part.id, part.capacity, part.name),
        "id",
        {"capacity": 2},
    ),
)
