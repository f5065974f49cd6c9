"""What one row of a table makes of one thing of the plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from pydantic import ValidationError

from ribstitch.planfile.reading import key_path, sentence
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Cost, HoursWorked, Plan, Task
from ribstitch.services.cost_steps import with_earlier_states
from ribstitch.services.edit_thing import with_range_in_step
from ribstitch.services.known_slot import refuse_unknown_slot
from ribstitch.spreadsheets.columns import Column, Holds, Table
from ribstitch.store.kinds import PLAN_KINDS

Values = Mapping[str, Any]
"""What a row says, by the name of the column."""
_RANGE = "days_range"


class RowError(Exception):
    """A row that makes no thing of the plan; `str()` is one sentence."""

    def __init__(self, path: str, reason: str) -> None:
        self.path = path
        """Key path in the plan file."""
        super().__init__(reason)


class RowReader:
    """
    Makes things of rows.

    A cell that says what the plan says already, or what its table shows there, changes
    nothing; so a table that was exported changes nothing when it comes back.
    """

    def __init__(self, plan: Plan, table: Table) -> None:
        self._plan = plan
        self._table = table
        self._kind = PLAN_KINDS[table.kind]
        self._columns = {one.name: one for one in table.columns}
        self._tasks = {task.id: task for task in plan.tasks}

    def key_of(self, values: Values) -> str:
        """Return the key of the thing that a row is about."""
        return " ".join(str(values[one.name]) for one in self._table.columns if one.key)

    def thing(self, before: Any, values: Values) -> Any:
        """
        Return the thing as a row says it; `before` itself where the row says nothing new.

        Parameters
        ----------
        before
            The thing as it stands; None: it is new.
        values
            What the row says.

        Raises
        ------
        RowError
            If that makes no sense.
        """
        said = self._news(before, values)
        if before is not None and not said:
            return before
        document: dict[str, Any] = dict(self._kind.document(before) or {})
        for name, value in said.items():
            _put(document, self._columns[name], value)
        self._fill_ranges(before, said, values, document)
        try:
            after = self._kind.from_document(document)
            refuse_unknown_slot(self._plan, before, after)
        except ValidationError as refused:
            first = refused.errors(include_url=False)[0]
            raise RowError(key_path(first["loc"]), sentence(first)) from None
        except PlanError as refused:
            raise RowError(refused.where, refused.reason) from None
        return self._in_step(before, after, values)

    def _news(self, before: Any, values: Values) -> dict[str, Any]:
        """Return what a row says that is not so yet."""
        if before is None:
            return dict(values)
        part = self._kind.to_part(before).model_dump(by_alias=True)
        return {
            name: value
            for name, value in values.items()
            if not self._says(before, part, self._columns[name], value)
        }

    def _says(self, before: Any, part: dict[str, Any], column: Column, value: Any) -> bool:
        """Return whether a value is what the plan says, or what its table shows."""
        if _same(_get(part, column.path), value):
            return True
        effective = _SHOWN.get((self._table.name, column.name))
        return effective is not None and _same(effective(self._plan, self._tasks, before), value)

    def _fill_ranges(
        self, before: Any, said: Values, values: Values, document: dict[str, Any]
    ) -> None:
        """Complete low, likely and high: those of days have the days between them."""
        ends = {"low_days", "high_days"}
        if (span := document.get(_RANGE)) and ({"days"} | ends) & said.keys():
            is_new = before is None or before.duration_range is None
            if is_new or ends <= values.keys():
                span[1] = document.get("days", 0)
        for field in (_RANGE, "own_hours"):
            if None in (document.get(field) or ()):
                raise RowError(field, "low, likely and high belong together: one is missing")

    def _in_step(self, before: Any, after: Any, values: Values) -> Any:
        """Return a thing with what follows from an edit, as on the pages."""
        if isinstance(before, Cost):
            return with_earlier_states(before, after)
        if isinstance(before, Task) and not {"low_days", "high_days"} & values.keys():
            return with_range_in_step(before, after)
        return after


def _put(document: dict[str, Any], column: Column, value: Any) -> None:
    """Put a value into a part of a plan file; a range is begun where there is none."""
    place: Any = document
    *steps, last = column.path.split(".")
    if last.isdecimal():
        span = list(place.get(steps[0]) or (None, None, None))
        span[int(last)] = _plain(value, column)
        place[steps[0]] = span
        return
    for step in steps:
        place = place.setdefault(step, {})
    place[last] = _plain(value, column)


def _plain(value: Any, column: Column) -> Any:
    """Return a value as plan files write it."""
    if column.holds is Holds.DAYS:
        return float(value)
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if isinstance(value, date) else value


def _get(part: Any, path: str) -> Any:
    """Return what stands at a path; None where there is nothing."""
    for step in path.split("."):
        if part is None:
            return None
        part = part[int(step)] if step.isdecimal() else part.get(step)
    return part


def _same(known: Any, value: Any) -> bool:
    """Return whether two values are the same: as numbers, as words, as texts without their ends."""
    match known:
        case None:
            return False
        case bool():
            return known is value
        case float() | int() | Decimal():
            exact = Decimal(str(known))
            return exact == value or float(exact) == float(value)
        case list():
            return ", ".join(known) == ", ".join(value)
        case str():
            return _lines(known) == _lines(str(value))
        case _:
            return bool(known == value)


def _lines(text: str) -> str:
    """Return a text as a workbook keeps it."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


_Shown = Callable[[Plan, Mapping[str, Task], Any], Any]
_SHOWN: dict[tuple[str, str], _Shown] = {
    ("tasks", "calendar"): lambda plan, _, task: plan.calendar_of_task(task),
    ("tasks", "days"): lambda _plan, _, task: 0 if task.milestone is not None else None,
    ("vendors", "calendar"): lambda plan, _, vendor: vendor.calendar or plan.project.calendar,
    ("costs", "chapter"): lambda _, tasks, cost: _of_task(tasks, cost, "chapter"),
    ("hours", "trade"): lambda _, tasks, hours: _of_task(tasks, hours, "trade"),
}
"""What exported tables show where the plan says nothing of its own."""


def _of_task(tasks: Mapping[str, Task], thing: Cost | HoursWorked, field: str) -> str | None:
    """Return what the task of a thing says, if the thing does not."""
    if getattr(thing, field) is not None or thing.task is None:
        return None
    found: str | None = getattr(tasks[thing.task], field)
    return found
