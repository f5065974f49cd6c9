"""Reading the store: plans, projects, the logs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zlib import decompress

from sqlalchemy import ColumnElement, Connection, Select, and_, bindparam, func, or_, select

from ribstitch.planning.model import Plan, Project
from ribstitch.store.change_record import ALWAYS, ActionRecord, ChangedKind, ChangeRecord, Span
from ribstitch.store.errors import StaleEditError, UnknownProjectError
from ribstitch.store.kinds import LINK, PLAN_KINDS, PROJECT, TASK, Kind
from ribstitch.store.tables import (
    ChangeRow,
    ForecastLogRow,
    ForecastSpreadRow,
    PlanSnapshotRow,
    table_of,
)

_CHANGE = table_of(ChangeRow)
_UNDO = _CHANGE.alias("undo")
_FORECAST_LOG = table_of(ForecastLogRow)
_SPREAD = table_of(ForecastSpreadRow)
_SNAPSHOT = table_of(PlanSnapshotRow)


def _select_things(kind: Kind[Any]) -> Select[Any]:
    """Return the statement that reads a project's things of one kind, in order of entry."""
    table = kind.table
    return (
        select(table.c.version, *kind.columns)
        .where(table.c.project_id == bindparam("project_id"), ~table.c.withdrawn)
        .order_by(table.c.position)
    )


_THINGS = {kind: _select_things(kind) for kind in PLAN_KINDS.values()}
_PROJECT = select(
    PROJECT.table.c.id,
    PROJECT.table.c.version,
    PROJECT.table.c.plan_version,
    *(PROJECT.table.c[name] for name in PROJECT.columns),
)
_ONE_PROJECT = _PROJECT.where(PROJECT.table.c.id == bindparam("project_id"))
_PLAN_VERSION = select(PROJECT.table.c.plan_version).where(
    PROJECT.table.c.id == bindparam("project_id")
)
_CHANGES = select(_CHANGE, _UNDO.c.number.label("undone_by")).outerjoin(
    _UNDO, _UNDO.c.undoes == _CHANGE.c.number
)


_MOST_NAMED = 5_000
"""How many keys one statement names at most."""

Versions = Mapping[str, Mapping[str, int]]
"""Row versions by kind and key, in order of entry."""


@dataclass(frozen=True, slots=True)
class StoredProject:
    """One project without its plan."""

    id: int
    version: int
    plan_version: int
    project: Project


@dataclass(frozen=True, slots=True)
class StoredPlan:
    """A plan as it was at one plan version."""

    project_id: int
    plan_version: int
    plan: Plan
    versions: Versions


@dataclass(frozen=True, slots=True)
class LoggedForecast:
    """The forecast finish after one change."""

    plan_version: int
    at: datetime
    as_of: date
    finish: date
    reason: str


@dataclass(frozen=True, slots=True)
class LoggedSpread:
    """How sure the forecast finish of a plan version was, as simulated on a date."""

    plan_version: int
    logged_on: date
    """In UTC."""
    finish: date
    """If everything goes as written."""
    p10: date
    p50: date
    p80: date
    p90: date
    chance_of_target: float | None
    """0 to 1; None without a wanted finish."""
    runs: int
    seed: int
    engine: int


@dataclass(frozen=True, slots=True)
class TouchedThing:
    """A thing that an action touched, and the forecast finish that the action led to."""

    plan_version: int
    at: datetime
    who: str
    role: str
    action: str
    kind: str
    key: str
    finish: date | None


class Reading:
    """One consistent look at the store."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def projects(self) -> list[StoredProject]:
        """Return all projects, oldest first."""
        rows = self._connection.execute(_PROJECT.order_by(PROJECT.table.c.id))
        return [_stored_project(row) for row in rows]

    def plan_version(self, project_id: int) -> int:
        """
        Return the plan version of a project.

        Raises
        ------
        UnknownProjectError
            If there is no such project.
        """
        found = self._connection.scalar(_PLAN_VERSION, {"project_id": project_id})
        if found is None:
            raise UnknownProjectError(project_id)
        return int(found)

    def plan(self, project_id: int) -> StoredPlan:
        """
        Return the plan of a project with the versions of its rows.

        Raises
        ------
        UnknownProjectError
            If there is no such project.
        """
        row = self._connection.execute(_ONE_PROJECT, {"project_id": project_id}).first()
        if row is None:
            raise UnknownProjectError(project_id)
        stored = _stored_project(row)
        versions: dict[str, dict[str, int]] = {PROJECT.name: {PROJECT.key: stored.version}}
        parts: dict[str, tuple[Any, ...]] = {}
        for kind, statement in _THINGS.items():
            rows = self._connection.execute(statement, {"project_id": project_id}).all()
            build = kind.build
            versions[kind.name] = {row[1]: row[0] for row in rows}
            parts[kind.plan_field] = tuple([build(*row[1:]) for row in rows])
        plan = Plan(stored.project, **parts)
        return StoredPlan(project_id, stored.plan_version, plan, versions)

    def entry_order(self, project_id: int, kind: str) -> list[str]:
        """Return the keys of all things of a kind, withdrawn ones too, in order of entry."""
        table = PLAN_KINDS[kind].table
        mine = select(table.c.key).where(table.c.project_id == project_id)
        return list(self._connection.scalars(mine.order_by(table.c.position)))

    def refuse_stale(
        self, project_id: int, kind: str, key: str, expected: int, version: int
    ) -> None:
        """
        Refuse to go on if a thing has another version than it had when it was read.

        Raises
        ------
        StaleEditError
            With what changed since.
        """
        if version != expected:
            since = self.changes(project_id, kind=kind, key=key, since_version=expected)
            raise StaleEditError(kind, key, expected, version, since[::-1])

    def changes(
        self,
        project_id: int,
        *,
        kind: str | None = None,
        key: str | None = None,
        before: int | None = None,
        since_version: int | None = None,
        after_plan_version: int | None = None,
        plan_version: int | None = None,
        when: Span = ALWAYS,
        limit: int | None = None,
        task: str | None = None,
    ) -> list[ChangeRecord]:
        """
        Return changes of a project, newest first.

        Parameters
        ----------
        project_id
            Whose changes.
        kind, key
            Only those of one kind, or of one thing.
        before
            Only those with a smaller number.
        since_version
            Only those that led to a greater version of the thing.
        after_plan_version
            Only those that led to a greater plan version.
        plan_version
            Only those made together in the change to this plan version.
        when
            Only those made then.
        limit
            At most so many.
        task
            Only those of a task and of links whose key may name it; capitals may not count.
        """
        statement = _CHANGES.where(_CHANGE.c.project_id == project_id)
        if kind is not None:
            statement = statement.where(_CHANGE.c.kind == kind)
        if key is not None:
            statement = statement.where(_CHANGE.c.key == key)
        if before is not None:
            statement = statement.where(_CHANGE.c.number < before)
        if since_version is not None:
            statement = statement.where(_CHANGE.c.version > since_version)
        if after_plan_version is not None:
            statement = statement.where(_CHANGE.c.plan_version > after_plan_version)
        if plan_version is not None:
            statement = statement.where(_CHANGE.c.plan_version == plan_version)
        if task is not None:
            statement = statement.where(_of_task(task))
        statement = statement.where(*_made_in(when))
        rows = self._connection.execute(statement.order_by(_CHANGE.c.number.desc()).limit(limit))
        return [ChangeRecord(*row) for row in rows]

    def touched_since(
        self, project_id: int, plan_version: int, most_actions: int
    ) -> list[TouchedThing]:
        """
        Return what was touched after a plan version, oldest first.

        Parameters
        ----------
        project_id
            Whose plan.
        plan_version
            That was seen last.
        most_actions
            Only by the first actions after it, at most so many.
        """
        change, log = _CHANGE.c, _FORECAST_LOG.c
        same = (log.project_id == change.project_id) & (log.plan_version == change.plan_version)
        rows = self._connection.execute(
            select(
                change.plan_version, change.at, change.who, change.role, change.action,
                change.kind, change.key, log.finish,
            )
            .join_from(_CHANGE, _FORECAST_LOG, same, isouter=True)
            .where(
                change.project_id == project_id,
                change.plan_version > plan_version,
                change.plan_version <= plan_version + most_actions,
            )
            .order_by(change.number)
        )  # fmt: skip
        return [TouchedThing(*row) for row in rows]

    def actions(
        self,
        project_id: int,
        *,
        before: int | None = None,
        when: Span = ALWAYS,
        limit: int,
        most_listed: int,
    ) -> list[ActionRecord]:
        """
        Return what was done to a project, action by action, newest first.

        Parameters
        ----------
        project_id
            Whose plan.
        before
            Only actions that led to an earlier plan version.
        when
            Only those made then.
        limit
            At most so many actions.
        most_listed
            Actions of more changes come with the first of these alone.
        """
        change = _CHANGE.c
        page = select(change.plan_version).where(change.project_id == project_id, *_made_in(when))
        if before is not None:
            page = page.where(change.plan_version < before)
        versions = self._connection.scalars(
            page.distinct().order_by(change.plan_version.desc()).limit(limit)
        ).all()
        kinds: dict[int, list[ChangedKind]] = {version: [] for version in versions}
        firsts: dict[int, int] = {}
        for version, kind, first, count, added, taken_out in self._connection.execute(
            select(
                change.plan_version, change.kind, func.min(change.number), func.count(),
                func.count().filter(change.before.is_(None)),
                func.count().filter(change.after.is_(None)),
            )
            .where(change.project_id == project_id, change.plan_version.in_(versions))
            .group_by(change.plan_version, change.kind)
            .order_by(func.min(change.number))
        ):  # fmt: skip
            kinds[version].append(ChangedKind(kind, added, count - added - taken_out, taken_out))
            firsts.setdefault(version, first)
        counts = {version: sum(one.count for one in each) for version, each in kinds.items()}
        small = [version for version, count in counts.items() if count <= most_listed]
        listed: dict[int, list[ChangeRecord]] = {version: [] for version in versions}
        rows = self._connection.execute(
            _CHANGES.where(
                change.project_id == project_id,
                or_(change.plan_version.in_(small), change.number.in_(firsts.values())),
            ).order_by(change.number.desc())
        )
        for row in rows:
            record = ChangeRecord(*row)
            listed[record.plan_version].append(record)
        return [
            ActionRecord(version, tuple(kinds[version]), tuple(listed[version]))
            for version in versions
        ]

    def histories(
        self, project_id: int, kind: str, keys: Sequence[str]
    ) -> dict[str, list[ChangeRecord]]:
        """
        Return all changes of some things of one kind, newest first, by key.

        Parameters
        ----------
        project_id
            Whose changes.
        kind, keys
            Which things.
        """
        found: dict[str, list[ChangeRecord]] = {key: [] for key in keys}
        for some in in_portions(keys):
            statement = _CHANGES.where(
                _CHANGE.c.project_id == project_id, _CHANGE.c.kind == kind, _CHANGE.c.key.in_(some)
            )
            for row in self._connection.execute(statement.order_by(_CHANGE.c.number.desc())):
                change = ChangeRecord(*row)
                found[change.key].append(change)
        return found

    def forecasts(self, project_id: int) -> list[LoggedForecast]:
        """Return the forecast log of a project, oldest first."""
        log = _FORECAST_LOG.c
        rows = self._connection.execute(
            select(log.plan_version, log.at, log.as_of, log.finish, log.reason)
            .where(log.project_id == project_id)
            .order_by(log.plan_version)
        )
        return [LoggedForecast(*row) for row in rows]

    def last_changed_at(self, project_id: int) -> datetime:
        """Return when the last forecast of a project was logged, in UTC; its making logs one."""
        log = _FORECAST_LOG.c
        latest = (
            select(log.at)
            .where(log.project_id == project_id)
            .order_by(log.plan_version.desc())
            .limit(1)
        )
        at: datetime = self._connection.execute(latest).scalar_one()
        return at

    def spreads(
        self, project_id: int, *, plan_version: int | None = None, last: bool = False
    ) -> list[LoggedSpread]:
        """
        Return how sure the forecasts of a project were, in the order they were logged.

        Parameters
        ----------
        project_id
            Whose forecasts.
        plan_version
            Only those of this plan version.
        last
            Only the one that was logged last.
        """
        spread, log = _SPREAD.c, _FORECAST_LOG.c
        statement = (
            select(
                spread.plan_version, spread.logged_on, log.finish,
                spread.p10, spread.p50, spread.p80, spread.p90, spread.chance_of_target,
                spread.runs, spread.seed, spread.engine,
            )
            .join_from(_SPREAD, _FORECAST_LOG)
            .where(spread.project_id == project_id)
        )  # fmt: skip
        if plan_version is not None:
            statement = statement.where(spread.plan_version == plan_version)
        order = spread.number.desc() if last else spread.number
        rows = self._connection.execute(statement.order_by(order).limit(1 if last else None))
        return [LoggedSpread(*row) for row in rows]

    def last_spread_number(self, project_id: int) -> int:
        """Return a number that grows whenever a spread of a project is logged."""
        number = select(func.max(_SPREAD.c.number)).where(_SPREAD.c.project_id == project_id)
        return self._connection.scalar(number) or 0

    def snapshot(self, project_id: int, plan_version: int) -> bytes | None:
        """Return the plan file of a logged plan version; None if none was kept."""
        kept = self._connection.scalar(
            select(_SNAPSHOT.c.plan_file).where(
                _SNAPSHOT.c.project_id == project_id, _SNAPSHOT.c.plan_version == plan_version
            )
        )
        return None if kept is None else decompress(kept)


def in_portions(keys: Sequence[str]) -> Iterator[Sequence[str]]:
    """Yield keys in portions that one statement can name."""
    for first in range(0, len(keys), _MOST_NAMED):
        yield keys[first : first + _MOST_NAMED]


def _stored_project(row: tuple[Any, ...]) -> StoredProject:
    """Build a project from its row."""
    return StoredProject(row[0], row[1], row[2], PROJECT.build(*row[3:]))


def rows_of(kind: Kind[Any], things: tuple[Any, ...]) -> Iterator[dict[str, Any]]:
    """Yield the rows of a plan's things of one kind."""
    for position, (key, thing) in enumerate(zip(kind.keys(things), things, strict=True)):
        yield {"key": key, "position": position, **kind.values(thing)}


def _of_task(task: str) -> ColumnElement[bool]:
    """Return what holds for changes of a task, and of links with its id in their key."""
    key = _CHANGE.c.key
    named = or_(
        key.startswith(f"{task} > ", autoescape=True),
        key.contains(f" > {task} ", autoescape=True),
    )
    return or_(
        and_(_CHANGE.c.kind == TASK.name, key == task), and_(_CHANGE.c.kind == LINK.name, named)
    )


def _made_in(when: Span) -> list[ColumnElement[bool]]:
    """Return the conditions that a change was made in a span of time."""
    since = [] if when.since is None else [_CHANGE.c.at >= when.since]
    until = [] if when.until is None else [_CHANGE.c.at < when.until]
    return [*since, *until]
