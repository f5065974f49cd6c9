"""One transaction that changes a project: rows, versions and logs together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any, NamedTuple
from zlib import compress

from sqlalchemy import Connection, bindparam, func, insert, select, update

from ribstitch.planning.model import ELAPSED, Plan, Project
from ribstitch.store.change_record import Person
from ribstitch.store.errors import UnknownProjectError, UnknownThingError
from ribstitch.store.kinds import CALENDAR, PLAN_KINDS, PROJECT, Kind
from ribstitch.store.listening import notify
from ribstitch.store.reading import LoggedSpread, Reading, in_portions, rows_of
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
    came_back: bool
    """The thing had been withdrawn and stands in its old place again."""
    change_number: int


class _Standing(NamedTuple):
    """How the row of a thing stands."""

    version: int
    withdrawn: bool


_NEW = _Standing(0, withdrawn=False)
"""Of what has no row yet."""


class UnitOfWork(Reading):
    """
    What one person does at one instant: all of it, or nothing.

    A project is locked first (`lock`), so that two writers never see the same version.
    """

    def __init__(self, connection: Connection, who: Person, at: datetime) -> None:
        super().__init__(connection)
        self._who = who
        self._at = at
        self.has_changed = False
        """Something was written to the change log."""

    def add_plan(self, plan: Plan, action: str = "project.import") -> int:
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
        imported = Edit(PROJECT.name, PROJECT.key, None, plan.project)
        self._log_changes(project_id, 1, [imported], [1], action)
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

    def check_version(
        self, project_id: int, kind: str, key: str, expected: int, *, even_withdrawn: bool = False
    ) -> None:
        """
        Refuse to go on if a thing is no longer as it was read.

        Parameters
        ----------
        project_id
            Whose thing.
        kind, key
            Which thing.
        expected
            Its version as it was read.
        even_withdrawn
            A thing that was taken out of the plan has a version too.

        Raises
        ------
        UnknownThingError
            If it is not in the plan.
        StaleEditError
            With what changed since.
        """
        found = self._standings(project_id, kind, (key,)).get(key)
        if found is None or (found.withdrawn and not even_withdrawn):
            raise UnknownThingError(kind, key)
        self.refuse_stale(project_id, kind, key, expected, found.version)

    def write(
        self, project_id: int, plan_version: int, edits: Sequence[Edit], action: str, reason: str
    ) -> list[Written]:
        """
        Write edits, at most one of a thing, and log each; the project goes on to `plan_version`.

        However many there are, it takes a few statements for each kind of thing.
        """
        outcomes: dict[int, tuple[int, bool]] = {}
        for kind in dict.fromkeys(edit.kind for edit in edits):
            of_kind = {number: edit for number, edit in enumerate(edits) if edit.kind == kind}
            keys = [edit.key for edit in of_kind.values()]
            known = self._standings(project_id, kind, keys)
            if kind == PROJECT.name:
                (edit,) = of_kind.values()
                self._update_project(project_id, edit.after)
            else:
                self._write_things(PLAN_KINDS[kind], project_id, list(of_kind.values()), known)
            for number, edit in of_kind.items():
                standing = known.get(edit.key, _NEW)
                came_back = standing.withdrawn and edit.after is not None
                outcomes[number] = standing.version + 1, came_back
        versions = [outcomes[number][0] for number in range(len(edits))]
        numbers = self._log_changes(project_id, plan_version, edits, versions, action, reason)
        self._connection.execute(
            update(PROJECT.table)
            .where(PROJECT.table.c.id == project_id)
            .values(plan_version=plan_version)
        )
        return [
            Written(edit.kind, edit.key, *outcomes[place], change_number=number)
            for place, (edit, number) in enumerate(zip(edits, numbers, strict=True))
        ]

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

    def _standings(self, project_id: int, kind: str, keys: Sequence[str]) -> dict[str, _Standing]:
        """Return how the rows of some things stand, by key; those without a row are left out."""
        if kind == PROJECT.name:
            row = PROJECT.table.c
            version = self._connection.scalar(select(row.version).where(row.id == project_id))
            return {} if version is None else {PROJECT.key: _Standing(version, withdrawn=False)}
        row = PLAN_KINDS[kind].table.c
        found: dict[str, _Standing] = {}
        for some in in_portions(keys):
            for key, version, withdrawn in self._connection.execute(
                select(row.key, row.version, row.withdrawn).where(
                    row.project_id == project_id, row.key.in_(some)
                )
            ):
                found[key] = _Standing(version, withdrawn)
        return found

    def _update_project(self, project_id: int, project: Project) -> None:
        table = PROJECT.table
        self._connection.execute(
            update(table)
            .where(table.c.id == project_id)
            .values(version=table.c.version + 1, **PROJECT.values(project))
        )

    def _write_things(
        self,
        kind: Kind[Any],
        project_id: int,
        edits: Sequence[Edit],
        known: Mapping[str, _Standing],
    ) -> None:
        """Add what has no row yet, change and withdraw the others."""
        added = [edit for edit in edits if edit.key not in known]
        changed = [edit for edit in edits if edit.key in known and edit.after is not None]
        withdrawn = [edit for edit in edits if edit.key in known and edit.after is None]
        if added:
            first = self._next_position(kind, project_id)
            common = {"project_id": project_id, "version": 1, "withdrawn": False}
            rows = [
                {**common, "key": edit.key, "position": position, **kind.values(edit.after)}
                for position, edit in enumerate(added, first)
            ]
            self._connection.execute(insert(kind.table), rows)
        for some, is_withdrawn in ((changed, False), (withdrawn, True)):
            if some:
                self._update(kind, project_id, some, known, withdrawn=is_withdrawn)

    def _next_position(self, kind: Kind[Any], project_id: int) -> int:
        """Return the position of the next thing of a kind."""
        row = kind.table.c
        last = self._connection.scalar(
            select(func.max(row.position)).where(row.project_id == project_id)
        )
        return 0 if last is None else last + 1

    def _update(
        self,
        kind: Kind[Any],
        project_id: int,
        edits: Sequence[Edit],
        known: Mapping[str, _Standing],
        *,
        withdrawn: bool,
    ) -> None:
        """Change rows, or withdraw them as they stand."""
        row = kind.table.c
        self._connection.execute(
            update(kind.table).where(
                row.project_id == project_id, row.key == bindparam("changed_key")
            ),
            [
                {
                    "changed_key": edit.key,
                    "version": known[edit.key].version + 1,
                    "withdrawn": withdrawn,
                    **({} if withdrawn else kind.values(edit.after)),
                }
                for edit in edits
            ],
        )

    def _log_changes(
        self,
        project_id: int,
        plan_version: int,
        edits: Sequence[Edit],
        versions: Sequence[int],
        action: str,
        reason: str = "",
    ) -> list[int]:
        """Append to the change log, in the order of the edits; return the numbers."""
        common = {
            "project_id": project_id,
            "plan_version": plan_version,
            "at": self._at,
            "who": self._who.name,
            "role": self._who.role,
            "action": action,
            "reason": reason,
        }
        rows = [
            {
                **common,
                "kind": edit.kind,
                "key": edit.key,
                "version": version,
                "before": _document(edit.kind, edit.before),
                "after": _document(edit.kind, edit.after),
                "undoes": edit.undoes,
            }
            for edit, version in zip(edits, versions, strict=True)
        ]
        self.has_changed = True
        notify(self._connection)
        logged = insert(_CHANGE).returning(_CHANGE.c.number, sort_by_parameter_order=True)
        return list(self._connection.scalars(logged, rows))


def _document(kind: str, thing: Any) -> dict[str, Any] | None:
    """Return a thing as it stands in the change log."""
    document = PROJECT.document if kind == PROJECT.name else PLAN_KINDS[kind].document
    return document(thing)
