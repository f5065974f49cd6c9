"""Take a table in: try it on the plan, say what would come of it, then do it in one action."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from ribstitch.planning.errors import InvalidValueError, PlanError
from ribstitch.planning.holding import newly_blocked
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    refuse_stale_plan,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.holds import CheckHoldsError
from ribstitch.services.import_alone import AloneChecker
from ribstitch.services.import_rows import RowError, RowReader
from ribstitch.spreadsheets.columns import Table
from ribstitch.spreadsheets.matching import shown
from ribstitch.spreadsheets.telling import Problem, Question, Telling, ToldRow
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import PLAN_KINDS

Existing = Literal["keep", "update"]
"""What becomes of things that are in the plan already."""
WhichRows = Literal["all", "good"]


@dataclass(frozen=True, slots=True)
class Trial:
    """What taking a table in would do."""

    added: int
    changed: int
    unchanged: int
    kept: int
    """Rows that say something else of a thing that is in the plan, and are left aside."""
    problems: tuple[Problem, ...]
    """By row; a row with a problem is not taken in."""
    questions: tuple[Question, ...]
    finish_before: date
    finish_after: date | None
    """With the good rows; None: while something has to be asked, or the plan cannot be."""
    edits: tuple[Edit, ...] = field(repr=False)
    """The good rows."""

    @property
    def refused(self) -> int:
        """How many rows cannot be taken in."""
        return len({one.row for one in self.problems})


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What taking a table in led to."""

    recorded: Recorded
    trial: Trial


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A thing as a row wants it."""

    row: ToldRow
    edit: Edit


def try_table(current: CurrentPlan, table: Table, told: Telling, existing: Existing) -> Trial:
    """
    Say what taking a table in would do; nothing is stored.

    Each row is checked by itself, and the whole plan with all good rows in it.

    Parameters
    ----------
    current
        The plan.
    table, told
        What is taken in, and what the file says.
    existing
        Whether rows about things that are in the plan already change them, or are left aside.
    """
    if told.questions:
        return Trial(0, 0, 0, 0, (), told.questions, current.finish_on, None, ())
    rows = _Rows(current, table, told)
    wanted, kept, unchanged = rows.wanted(existing)
    good, finish = rows.that_fit(wanted)
    added = sum(one.edit.before is None for one in good)
    problems = sorted(rows.problems, key=lambda one: (one.row is None, one.row))
    return Trial(
        added, len(good) - added, unchanged, kept, tuple(problems), (), current.finish_on, finish,
        tuple(one.edit for one in good),
    )  # fmt: skip


def take_table(
    forecasts: Forecasts,
    project_id: int,
    table: Table,
    told: Telling,
    existing: Existing,
    which: WhichRows,
    plan_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> TakenIn:
    """
    Take a table in, in one action that one undo takes back.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    table, told
        What is taken in, and what the file says.
    existing
        Whether rows about things that are in the plan already change them, or are left aside.
    which
        All rows, which is refused where one has a problem; or the good ones.
    plan_version
        The version of the plan that the table was tried on.
    person, at, reason
        Who takes it in, when, and why.

    Raises
    ------
    UnknownProjectError, StaleEditError, PlanError
        Nothing is stored.
    """
    trials: list[Trial] = []

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        refuse_stale_plan(current, plan_version, work)
        trial = try_table(current, table, told, existing)
        _refuse(trial, which)
        trials.append(trial)
        what = f"Table {table.name}: {trial.added} added, {trial.changed} changed"
        return Change("table.import", trial.edits, what)

    recorded = change_plan(forecasts, project_id, Author(person, at, reason), decide)
    return TakenIn(recorded, trials[0])


def _refuse(trial: Trial, which: WhichRows) -> None:
    """Refuse a table that leaves something open, or has problems where all rows are wanted."""
    if trial.questions:
        names = " and ".join(one.about for one in trial.questions)
        raise InvalidValueError(names, "say first how they are written in this file", None)
    if trial.finish_after is None:
        raise InvalidValueError("", trial.problems[-1].sentence, None)
    if which == "all" and trial.problems:
        first = trial.problems[0]
        where = "" if first.row is None else f"row {first.row}: "
        raise InvalidValueError(
            "rows",
            f"{trial.refused} of them cannot be taken in, the first because of "
            f"{where}{first.sentence}",
            "all",
        )


class _Rows:
    """The rows of one table on their way into one plan."""

    def __init__(self, current: CurrentPlan, table: Table, told: Telling) -> None:
        self._current = current
        self._table = table
        self._told = told
        self._kind = PLAN_KINDS[table.kind]
        keys = current.versions[table.kind]
        self._standing = dict(zip(keys, self._kind.things(current.plan), strict=True))
        self.problems = list(told.problems)

    def wanted(self, existing: Existing) -> tuple[list[_Wanted], int, int]:
        """Return what rows want, how many are left aside, and how many say nothing new."""
        reader = RowReader(self._current.plan, self._table)
        found: list[_Wanted] = []
        seen: dict[str, int] = {}
        kept = unchanged = 0
        for row in self._told.rows:
            key = reader.key_of(row.values)
            if key in seen:
                self._wrong(row, "", f'"{key}" stands in row {seen[key]} already')
                continue
            seen[key] = row.number
            before = self._standing.get(key)
            try:
                after = reader.thing(before, row.values)
            except RowError as refused:
                self._wrong(row, refused.path, str(refused))
                continue
            if after == before:
                unchanged += 1
            elif before is not None and existing == "keep":
                kept += 1
            else:
                found.append(_Wanted(row, Edit(self._table.kind, key, before, after)))
        return self._sound(found), kept, unchanged

    def _sound(self, wanted: list[_Wanted]) -> list[_Wanted]:
        """Return those with which nothing is wrong; note what is wrong with the others."""
        alone = AloneChecker(self._current.plan, self._kind.plan_field)
        faults = alone.faults([one.edit.after for one in wanted])
        for one, fault in zip(wanted, faults, strict=True):
            if fault is not None:
                self._wrong(one.row, _inside(fault.where), fault.reason)
        return [one for one, fault in zip(wanted, faults, strict=True) if fault is None]

    def that_fit(self, wanted: list[_Wanted]) -> tuple[list[_Wanted], date | None]:
        """
        Return what fits into the plan all together, and the finish that comes of it.

        What is wrong with the plan as a whole, and with a row of the table, takes that row
        out; then the rest is checked again.
        """
        if not wanted:
            return wanted, self._current.finish_on
        while True:
            plan = self._with(wanted)
            try:
                finish = schedule(plan).finish_on
            except PlanError as refused:
                place = self._place(plan, refused, wanted)
                if place is None:
                    self.problems.append(Problem(None, "", "", str(refused)))
                    return wanted, None
                self._wrong(wanted[place].row, _inside(refused.where), refused.reason)
                wanted = [*wanted[:place], *wanted[place + 1 :]]
            else:
                free = self._unbarred(wanted)
                if len(free) == len(wanted):
                    return wanted, finish
                wanted = free

    def _unbarred(self, wanted: list[_Wanted]) -> list[_Wanted]:
        """Return those that no check bars; note what bars the others."""
        free = wanted
        while (blocked := newly_blocked(self._current.plan, self._with(free))) is not None:
            ends = {blocked.thing.id, blocked.by.task.id}
            barred = next(one for one in free if one.edit.key in ends)
            self._wrong(barred.row, "status.state", str(CheckHoldsError(blocked)))
            free = [one for one in free if one is not barred]
        return free

    def _with(self, wanted: Sequence[_Wanted]) -> Plan:
        """Return the plan with what rows want."""
        things = {**self._standing, **{one.edit.key: one.edit.after for one in wanted}}
        return self._kind.with_things(self._current.plan, tuple(things.values()))

    def _place(self, plan: Plan, refused: PlanError, wanted: Sequence[_Wanted]) -> int | None:
        """Return which of the rows a fault of a plan is about; None: of none."""
        found = re.match(rf"{self._kind.plan_field}\[(\d+)\]", refused.where)
        if found is None:
            return None
        thing = self._kind.things(plan)[int(found[1])]
        return next((n for n, one in enumerate(wanted) if one.edit.after is thing), None)

    def _wrong(self, row: ToldRow, path: str, sentence: str) -> None:
        """Note what is wrong with a row; `path` is where it stands in the plan file."""
        column = self._table.at(path.replace("[", ".").replace("]", "")) if path else None
        name = column.name if column else ""
        value = row.values.get(name)
        text = ", ".join(value) if isinstance(value, list) else shown(value)
        heading = self._told.headings.get(name, name)
        self.problems.append(Problem(row.number, heading, text, sentence))


def _inside(where: str) -> str:
    """Return a key path from the thing on: ``tasks[3].days`` is ``days``."""
    return where.partition("].")[2]
