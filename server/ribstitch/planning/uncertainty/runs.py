"""Runs: many courses of a plan computed together, step by step.

Each step is one row of R runs, counted as work done on its own calendar: what bounds it
is the largest of what its links ask for, and its end is that plus its work. Backward, a
run marks what set its finish by walking the links that drive.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.courses import CourseModel, SecondTrip, Step, Tie
from ribstitch.planning.uncertainty.events import Event, Room
from ribstitch.planning.uncertainty.grains import GrainTables, Ints32
from ribstitch.planning.uncertainty.luck import Luck

Flags = NDArray[np.bool_]
Progress = Callable[[float], None]

_REPORT_EVERY = 64
"""Steps between two reports of progress."""


class BeyondTablesError(Exception):
    """Some run goes on after the last date of the calendars: take a longer range."""


@dataclass(slots=True)
class Rows:
    """
    All events of a block of R runs, by step.

    Attributes
    ----------
    room
        Where they are kept.
    finish, start
        Starts only of the steps whose start bounds another one.
    pushed
        Runs in which a link to the finish moved the step.
    end
        Work done at the end of steps with such links, before any second trip. [grains]
    idle
        Runs in which a step that may have no work has none.
    work
        Drawn work, if it is kept. [grains]
    """

    room: Room
    finish: dict[int, Event] = field(default_factory=dict)
    start: dict[int, Event] = field(default_factory=dict)
    pushed: dict[int, Flags] = field(default_factory=dict)
    end: dict[int, Ints32] = field(default_factory=dict)
    idle: dict[int, Flags] = field(default_factory=dict)
    work: dict[int, Ints32] = field(default_factory=dict)


class Walk:
    """
    The way through a model's steps, for any number of blocks of runs.

    Parameters
    ----------
    model
        What is walked through.
    tables
        Its calendars.
    """

    def __init__(self, model: CourseModel, tables: GrainTables) -> None:
        self.steps = model.steps
        self.tables = tables
        self.settled = model.settled
        self.gives_start = frozenset(
            tie.step
            for step in self.steps
            for tie in (*step.starts, *step.finishes)
            if tie.from_start
        )
        followed = {
            tie.step for step in self.steps if step.counts for tie in step.starts if tie.is_plain
        }
        self.last = tuple(
            number
            for number, step in enumerate(self.steps)
            if step.counts and number not in followed
        )
        """Steps that nothing plainly follows: one of them sets the project finish."""

    def forward(self, luck: Luck, finish: Ints32, on_step: Progress, *, keep_work: bool) -> Rows:
        """
        Compute the finish of every step in every run.

        Parameters
        ----------
        luck
            What is drawn.
        finish
            Filled in, shape (k, R), in the terms that `instants` reads.
        on_step
            Told the share of the steps that are done, now and then.
        keep_work
            Whether the drawn work is kept.

        Raises
        ------
        BeyondTablesError
            If the calendars are too short for some run: at once, before counts overflow.
        """
        rows = Rows(Room(luck.runs))
        for number, step in enumerate(self.steps):
            if number % _REPORT_EVERY == 0:
                on_step(number / len(self.steps))
            work = luck.work(step)
            if keep_work:
                rows.work[number] = work
            self.run(number, step, work, luck, rows, finish[number])
            if step.counts and int(finish[number].max()) > self.tables.limit:
                raise BeyondTablesError
        return rows

    def instants(self, number: int, finish: Ints32) -> Ints32:
        """Read finishes of a step that `forward` filled in: return instants. [grains]"""
        step = self.steps[number]
        if _keeps_instants(step):
            return finish
        return self.tables.first_instant(step.calendar, finish)

    def run(
        self, number: int, step: Step, work: Ints32, luck: Luck, rows: Rows, out: Ints32
    ) -> None:
        """Run one step; `out` is filled in with its finish."""
        if step.is_idle:
            self._pass_by(number, step, rows, out)
            return
        tables, calendar = self.tables, step.calendar
        bound = self._bound(step, rows)
        done = np.add(bound, work, out=out)
        if step.finishes or step.end_floor is not None:
            asked = self._asked_end(step, rows, out.shape)
            rows.pushed[number] = asked > done
            done = rows.end[number] = np.maximum(done, asked)
            out[:] = done
        start = finish = None
        if number in self.gives_start:
            start = Event(tables, rows.room, calendar, done=done - work, begins=True)
        if step.least_work == 0:
            start, finish = self._skip_idle(number, work, done, start, rows)
        if step.second_trip is not None:
            finish = self._go_again(step, step.second_trip, luck, done, finish, rows)
        if finish is None:
            finish = Event(tables, rows.room, calendar, done=done)
        else:
            out[:] = finish.instant
        rows.finish[number] = finish
        if start is not None:
            rows.start[number] = start

    def _bound(self, step: Step, rows: Rows) -> Ints32:
        """Return the work done before the start of a step can be, shape (R,) or (1,)."""
        asked = [self._asked(step, tie, rows) for tie in step.starts]
        if not asked or step.may_stand_on_floor:
            floor = np.array([step.begin_floor])
            asked.append(self.tables.done_before(step.calendar, floor))
        return reduce(np.maximum, asked)

    def _asked(self, step: Step, tie: Tie, rows: Rows) -> Ints32:
        """Return what a link asks for, as work done on the bounded step's calendar."""
        event = rows.start[tie.step] if tie.from_start else rows.finish[tie.step]
        if tie.elapsed_lag:
            instant = event.instant + np.int32(tie.elapsed_lag)
            return self.tables.done_before(step.calendar, instant)
        done = event.on(step.calendar)
        return done + np.int32(tie.work_lag) if tie.work_lag else done

    def _asked_instant(self, step: Step, tie: Tie, rows: Rows) -> Ints32:
        """Return what a link asks for, as an instant."""
        event = rows.start[tie.step] if tie.from_start else rows.finish[tie.step]
        if tie.work_lag:
            done = event.on(step.calendar) + np.int32(tie.work_lag)
            return self.tables.first_instant(step.calendar, done)
        return event.instant + np.int32(tie.elapsed_lag) if tie.elapsed_lag else event.instant

    def _asked_end(self, step: Step, rows: Rows, shape: tuple[int, ...]) -> Ints32:
        """Return the work done before a step's links to the finish let it end."""
        end = np.full(shape, np.iinfo(np.int32).min, dtype=np.int32)
        if step.end_floor is not None:
            floor = np.array([step.end_floor], dtype=np.int32)
            np.maximum(end, self._end_at_or_after(step.calendar, floor), out=end)
        for tie in step.finishes:
            np.maximum(end, self._asked_of_end(step, tie, rows), out=end)
        return end

    def _asked_of_end(self, step: Step, tie: Tie, rows: Rows) -> Ints32:
        """Return the work done before one link to the finish lets a step end."""
        event = rows.start[tie.step] if tie.from_start else rows.finish[tie.step]
        if tie.work_lag or (not tie.elapsed_lag and event.ends_work_of(step.calendar)):
            return self._asked(step, tie, rows)
        return self._end_at_or_after(step.calendar, self._asked_instant(step, tie, rows))

    def _end_at_or_after(self, calendar: int, instant: Ints32) -> Ints32:
        """Return the work done at the first end of worked time not before an instant."""
        done = self.tables.done_before(calendar, instant)
        return done + (self.tables.first_instant(calendar, done) < instant)

    def _bound_instant(self, step: Step, rows: Rows) -> Ints32:
        """Return the instant before which a step without work cannot be."""
        asked = [self._asked_instant(step, tie, rows) for tie in step.starts]
        if not asked or step.may_stand_on_floor:
            asked.append(np.array([step.begin_floor]))
        return reduce(np.maximum, asked)

    def _asked_end_instant(self, step: Step, rows: Rows) -> Ints32:
        """Return the instant before which the links to its finish let no idle step end."""
        asked = [self._asked_instant(step, tie, rows) for tie in step.finishes]
        if step.end_floor is not None:
            asked.append(np.array([step.end_floor], dtype=np.int32))
        return reduce(np.maximum, asked)

    def _pass_by(self, number: int, step: Step, rows: Rows, out: Ints32) -> None:
        """Run a step without work: it is over when all that bounds it is."""
        out[:] = self._bound_instant(step, rows)
        if step.finishes or step.end_floor is not None:
            end = self._asked_end_instant(step, rows)
            rows.pushed[number] = end > out
            np.maximum(out, end, out=out)
        event = Event(self.tables, rows.room, step.calendar, instant=out)
        rows.finish[number] = event
        if number in self.gives_start:
            rows.start[number] = event

    def _skip_idle(
        self, number: int, work: Ints32, done: Ints32, start: Event | None, rows: Rows
    ) -> tuple[Event | None, Event]:
        """Return start and finish of a step that has no work in some runs."""
        step = self.steps[number]
        tables, calendar = self.tables, step.calendar
        idle = rows.idle[number] = np.broadcast_to(work == 0, done.shape)
        bound = np.broadcast_to(self._bound_instant(step, rows), done.shape)
        if number in rows.pushed:
            asked = self._asked_end_instant(step, rows)
            rows.pushed[number] = np.where(idle, asked > bound, rows.pushed[number])
            bound = np.maximum(bound, asked)
        end = np.where(idle, bound, tables.first_instant(calendar, done))
        if start is not None:
            begin = np.where(idle, bound, start.instant)
            start = Event(tables, rows.room, calendar, instant=begin)
        return start, Event(tables, rows.room, calendar, instant=end)

    def _go_again(
        self,
        step: Step,
        trip: SecondTrip,
        luck: Luck,
        done: Ints32,
        finish: Event | None,
        rows: Rows,
    ) -> Event:
        """Let the items that are turned down go round once more."""
        tables = self.tables
        instant = tables.first_instant(step.calendar, done) if finish is None else finish.instant
        struck = luck.struck(trip.name, trip.probability)
        if struck.size:
            instant = instant.copy()
            again = instant[struck]
            for place, (calendar, table) in enumerate(trip.legs):
                drawn = luck.take(f"{trip.name}/{place}", table)[struck]
                again = tables.first_instant(calendar, tables.done_before(calendar, again) + drawn)
            instant[struck] = again
        return Event(tables, rows.room, step.calendar, instant=instant)

    def project_finish(self, rows: Rows, runs: int) -> Ints32:
        """
        Return the project finish of each run, shape (runs,). [grains]

        Raises
        ------
        BeyondTablesError
            If the calendars are too short for some run.
        """
        latest = np.full(runs, self.settled, dtype=np.int32)
        for number in self.last:
            np.maximum(latest, rows.finish[number].instant, out=latest)
        if latest.size and int(latest.max()) > self.tables.limit:
            raise BeyondTablesError
        return latest

    def critical(self, rows: Rows, project_finish: Ints32) -> Flags:
        """
        Return which steps are on a chain of driving links that ends at the finish.

        Ties drive together. Shape (k, R).
        """
        marks = np.zeros((len(self.steps), project_finish.size), dtype=bool)
        for number in self.last:
            marks[number] = rows.finish[number].instant == project_finish
        for number in range(len(self.steps) - 1, -1, -1):
            step = self.steps[number]
            if step.starts or step.finishes:
                self._mark_drivers(number, step, rows, marks)
        return marks

    def _mark_drivers(self, number: int, step: Step, rows: Rows, marks: Flags) -> None:
        """Pass the mark of a step on to what drives it."""
        mark = marks[number]
        free = mark & ~rows.pushed[number] if number in rows.pushed else mark
        if len(step.starts) == 1 and not step.may_stand_on_floor:
            marks[step.starts[0].step] |= free
        elif step.starts:
            for tie, drives in zip(step.starts, self._drive_start(number, step, rows), strict=True):
                marks[tie.step] |= free & drives
        for tie in step.finishes:
            marks[tie.step] |= mark & self._drives_finish(number, tie, rows)

    def _drive_start(self, number: int, step: Step, rows: Rows) -> list[Flags]:
        """Return for each link to a step's start in which runs it asks for all that bounds it."""
        if step.is_idle:
            return self._drive_instant(step, rows)
        bound = self._bound(step, rows)
        drives: list[Flags] = [self._asked(step, tie, rows) >= bound for tie in step.starts]
        idle = rows.idle.get(number)
        if idle is None:
            return drives
        exactly = self._drive_instant(step, rows)
        return [np.where(idle, one, other) for one, other in zip(exactly, drives, strict=True)]

    def _drive_instant(self, step: Step, rows: Rows) -> list[Flags]:
        """Return the same for a step without work, which waits for instants."""
        bound = self._bound_instant(step, rows)
        return [self._asked_instant(step, tie, rows) >= bound for tie in step.starts]

    def _drives_finish(self, number: int, tie: Tie, rows: Rows) -> Flags:
        """Return in which runs a link asks for the finish that a step has."""
        step = self.steps[number]
        if step.is_idle:
            return self._asked_instant(step, tie, rows) >= rows.finish[number].instant
        drives: Flags = self._asked_of_end(step, tie, rows) >= rows.end[number]
        idle = rows.idle.get(number)
        if idle is None:
            return drives
        exactly = self._asked_instant(step, tie, rows) >= rows.finish[number].instant
        return np.where(idle, exactly, drives)


def _keeps_instants(step: Step) -> bool:
    """Return whether a step's finish is kept as an instant, not as work done."""
    return step.least_work == 0 or step.second_trip is not None


def nothing_to_report(_share: float) -> None:
    """Take a report of progress and do nothing about it."""
