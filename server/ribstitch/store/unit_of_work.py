"""One transaction that changes a project: rows, versions and logs together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any
from zlib import compress

from sqlalchemy import Connection, func, insert, select, update

from ribstitch.planning.model import ELAPSED, Plan, Project
from ribstitch.store.change_record import Person
from ribstitch.store.errors import StaleEditError, UnknownProjectError, UnknownThingError
from ribstitch.store.kinds import CALENDAR, PLAN_KINDS, PROJECT, Kind
from ribstitch.store.reading import LoggedSpread, Reading, rows_of
from ribstitch.store.tables import (
    ChangeRow,
    ForecastLogRow,
    ForecastSpreadRow,
    PlanSnapshotRow,
    table_of,
)

_CHANGE = table_of(ChangeRow)
_FORECAST_LOG = table_of(ForecastLogRow)
_SPREAD = table_of(ForecastSpreadRow)
_SNAPSHOT = table_of(PlanSnapshotRow)


@dataclass(frozen=True, slots=True)
class Edit:
    """One thing as it was and as it shall be; None: not in the plan."""

    kind: str
    key: str
    before: Any
    after: Any
    undoes: int | None = None
    """The number of the change that this edit takes back."""


@dataclass(frozen=True, slots=True)
class Written:
    """What became of one edit."""

    kind: str
    key: str
    version: int
    change_number: int
    came_back: bool
    """The thing had been withdrawn and stands in its old place again."""


class UnitOfWork(Reading):
    """
    What one person does at one instant: all of it, or nothing.

    A project is locked first (`lock`), so that two writers never see the same version.
    """

    def __init__(self, connection: Connection, who: Person, at: datetime) -> None:
        super().__init__(connection)
        self._who = who
        self._at = at

    def add_plan(self, plan: Plan) -> int:
        """Store a new project with all its things; return its number."""
        values = {"version": 1, "plan_version": 1, "created_at": self._at}
        project_id: int = self._connection.execute(
            insert(PROJECT.table)
            .values(**values, **PROJECT.values(plan.project))
            .returning(PROJECT.table.c.id)
        ).scalar_one()
        common = {"project_id": project_id, "version": 1, "withdrawn": False}
        for kind in PLAN_KINDS.values():
            rows = [{**common, **row} for row in rows_of(kind, kind.things(plan))]
            if kind is CALENDAR and not any(row["key"] == ELAPSED.id for row in rows):
                undeclared = {**common, "withdrawn": True}
                rows += [{**undeclared, **row} for row in rows_of(kind, (ELAPSED,))]
            if rows:
                self._connection.execute(insert(kind.table), rows)
        self._log_change(
            project_id, 1, "project.import", 1, Edit("project", "", None, plan.project)
        )
        return project_id

    def lock(self, project_id: int) -> int:
        """
        Keep other writers out of a project; return its plan version.

        Raises
        ------
        UnknownProjectError
            If there is no such project.
        """
        found = self._connection.scalar(
            select(PROJECT.table.c.plan_version)
            .where(PROJECT.table.c.id == project_id)
            .with_for_update()
        )
        if found is None:
            raise UnknownProjectError(project_id)
        return int(found)

    def check_version(self, project_id: int, kind: str, key: str, expected: int) -> None:
        """
        Refuse to go on if a thing is no longer as it was read.

        Raises
        ------
        UnknownThingError
            If it is not in the plan.
        StaleEditError
            With what changed since.
        """
        version, withdrawn = self._standing(project_id, kind, key)
        if version is None or withdrawn:
            raise UnknownThingError(kind, key)
        if version != expected:
            since = self.changes(project_id, kind=kind, key=key, since_version=expected)
            raise StaleEditError(kind, key, expected, version, since[::-1])

    def write(
        self, project_id: int, plan_version: int, edits: Sequence[Edit], action: str, reason: str
    ) -> list[Written]:
        """Write edits and log each; the project goes on to `plan_version`."""
        written = []
        for edit in edits:
            version, withdrawn = self._standing(project_id, edit.kind, edit.key)
            if edit.kind == PROJECT.name:
                self._update_project(project_id, edit.after)
            elif version is None:
                self._insert(PLAN_KINDS[edit.kind], project_id, edit)
            else:
                self._update(PLAN_KINDS[edit.kind], project_id, edit)
            version = (version or 0) + 1
            number = self._log_change(project_id, plan_version, action, version, edit, reason)
            came_back = withdrawn and edit.after is not None
            written.append(Written(edit.kind, edit.key, version, number, came_back))
        self._connection.execute(
            update(PROJECT.table)
            .where(PROJECT.table.c.id == project_id)
            .values(plan_version=plan_version)
        )
        return written

    def log_forecast(
        self, project_id: int, plan_version: int, as_of: date, finish: date, reason: str
    ) -> None:
        """Keep the forecast finish that a change led to."""
        self._connection.execute(
            insert(_FORECAST_LOG),
            {
                "project_id": project_id,
                "plan_version": plan_version,
                "at": self._at,
                "as_of": as_of,
                "finish": finish,
                "reason": reason,
            },
        )

    def log_spread(self, project_id: int, spread: LoggedSpread, plan_file: bytes) -> None:
        """
        Keep how sure a forecast was, and once for each plan version the plan behind it.

        The plan version must be in the forecast log, and its spread not be logged on that
        date yet.
        """
        values = asdict(spread)
        del values["finish"]
        common = {"project_id": project_id, "plan_version": spread.plan_version}
        self._connection.execute(insert(_SPREAD), {**values, **common, "at": self._at})
        if self.snapshot(project_id, spread.plan_version) is None:
            self._connection.execute(
                insert(_SNAPSHOT), {**common, "plan_file": compress(plan_file)}
            )

    def _standing(self, project_id: int, kind: str, key: str) -> tuple[int | None, bool]:
        """Return the version of a thing's row, and whether it is withdrawn."""
        if kind == PROJECT.name:
            table = PROJECT.table
            version = self._connection.scalar(
                select(table.c.version).where(table.c.id == project_id)
            )
            return version, False
        table = PLAN_KINDS[kind].table
        row = self._connection.execute(
            select(table.c.version, table.c.withdrawn).where(
                table.c.project_id == project_id, table.c.key == key
            )
        ).first()
        return (None, False) if row is None else (row[0], row[1])

    def _update_project(self, project_id: int, project: Project) -> None:
        table = PROJECT.table
        self._connection.execute(
            update(table)
            .where(table.c.id == project_id)
            .values(version=table.c.version + 1, **PROJECT.values(project))
        )

    def _insert(self, kind: Kind[Any], project_id: int, edit: Edit) -> None:
        table = kind.table
        last = self._connection.scalar(
            select(func.max(table.c.position)).where(table.c.project_id == project_id)
        )
        position = 0 if last is None else last + 1
        self._connection.execute(
            insert(table),
            {
                "project_id": project_id,
                "key": edit.key,
                "position": position,
                "version": 1,
                "withdrawn": False,
                **kind.values(edit.after),
            },
        )

    def _update(self, kind: Kind[Any], project_id: int, edit: Edit) -> None:
        table = kind.table
        values = {} if edit.after is None else kind.values(edit.after)
        self._connection.execute(
            update(table)
            .where(table.c.project_id == project_id, table.c.key == edit.key)
            .values(version=table.c.version + 1, withdrawn=edit.after is None, **values)
        )

    def _log_change(
        self,
        project_id: int,
        plan_version: int,
        action: str,
        version: int,
        edit: Edit,
        reason: str = "",
    ) -> int:
        """Append to the change log; return the number of the change."""
        document = PROJECT.document if edit.kind == PROJECT.name else PLAN_KINDS[edit.kind].document
        number: int = self._connection.execute(
            insert(_CHANGE)
            .values(
                project_id=project_id,
                plan_version=plan_version,
                at=self._at,
                who=self._who.name,
                role=self._who.role,
                action=action,
                kind=edit.kind,
                key=edit.key,
                version=version,
                before=document(edit.before),
                after=document(edit.after),
                reason=reason,
                undoes=edit.undoes,
            )
            .returning(_CHANGE.c.number)
        ).scalar_one()
        return number
