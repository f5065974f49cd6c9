"""The project itself: the one thing of a plan that has no key."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from inspect import signature
from typing import Any

import orjson
from sqlalchemy import Table

from ribstitch.planfile.convert import project_document, project_from
from ribstitch.planfile.document import ProjectDocument
from ribstitch.planning.model import OutOfSequence, Project, WorkShape
from ribstitch.store.kinds.kind import document_of
from ribstitch.store.tables import ProjectRow, table_of


@dataclass(frozen=True)
class ProjectKind:
    """How the project stands in its table and in the change log."""

    name: str = "project"
    key: str = ""

    @property
    def table(self) -> Table:
        """The table of projects."""
        return table_of(ProjectRow)

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of the columns that `build` takes."""
        return tuple(signature(self.build).parameters)

    def build(
        self,
        start: date,
        as_of: date,
        name: str,
        aircraft: str,
        serial: str,
        currency: str,
        calendar: str,
        target_finish: date | None,
        out_of_sequence: str,
        work_shape: str,
        zone_spread: float,
        trade_spread: float,
        standing_per_month: Decimal | None,
        balance: Decimal | None,
        balance_on: date | None,
        health_limits: dict[str, float],
        airframe: str,
        restored_to: str,
        rule_book: str,
    ) -> Project:
        """Build the project from its columns."""
        return Project(
            start, as_of, name, aircraft, serial, currency, calendar, target_finish,
            OutOfSequence(out_of_sequence), WorkShape(work_shape), zone_spread, trade_spread,
            standing_per_month, balance, balance_on, tuple(sorted(health_limits.items())),
            airframe, restored_to, rule_book,
        )  # fmt: skip

    def values(self, project: Project) -> dict[str, Any]:
        """Return the columns and what stands in them."""
        return {
            "start": project.start,
            "as_of": project.as_of,
            "name": project.name,
            "aircraft": project.aircraft,
            "serial": project.serial,
            "currency": project.currency,
            "calendar": project.calendar,
            "target_finish": project.target_finish,
            "out_of_sequence": project.out_of_sequence.value,
            "work_shape": project.work_shape.value,
            "zone_spread": project.zone_spread,
            "trade_spread": project.trade_spread,
            "standing_per_month": project.standing_per_month,
            "balance": project.balance,
            "balance_on": project.balance_on,
            "health_limits": dict(project.health_limits),
            "airframe": project.airframe,
            "restored_to": project.restored_to,
            "rule_book": project.rule_book,
        }

    def document(self, project: Project | None) -> dict[str, Any] | None:
        """Return the project as a part of a plan file."""
        return None if project is None else document_of(project_document(project))

    def from_document(self, document: dict[str, Any]) -> Project:
        """Return the project that a part of a plan file describes."""
        return project_from(ProjectDocument.model_validate_json(orjson.dumps(document)))


PROJECT = ProjectKind()
