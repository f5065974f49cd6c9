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
Take = Callable[[int, Ints32, Ints32], None]

_REPORT_EVERY = 64
"""Steps between two reports of progress."""


class BeyondTablesError(Exception):
    """Some run goes on after the last date of the calendars: take a longer range."""


@dataclass(slots=True)
class Rows:
    """
    The events of a block of R runs, by step, and what set them.

    Attributes
    ----------
    room
        Where they are kept.
    finish, start
        Starts only of the steps whose start bounds another one. Those that nothing asks
        for any more are let go of, unless everything is kept.
    starting, finishing
        For each link to a step's start or finish, the runs in which it drives; None for
        an only link, which always does.
    pushed
        Runs in which a link to the finish moved the step.
    work
        Drawn work, if it is kept. [grains]
    """

    room: Room
    finish: dict[int, Event] = field(default_factory=dict)
    start: dict[int, Event] = field(default_factory=dict)
    starting: dict[int, list[Flags] | None] = field(default_factory=dict)
    finishing: dict[int, list[Flags]] = field(default_factory=dict)
    pushed: dict[int, Flags] = field(default_factory=dict)
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
        self._done_with = self._last_uses()

    def _last_uses(self) -> list[list[int]]:
        """Return for each step those whose events nothing asks for after it."""
        found: list[list[int]] = [[] for _ in self.steps]
        last = list(range(len(self.steps)))
        for number, step in enumerate(self.steps):
            for tie in (*step.starts, *step.finishes):
                last[tie.step] = number
        needed_at_the_end = set(self.last)
        for number, use in enumerate(last):
            if number not in needed_at_the_end:
                found[use].append(number)
        return found

    def forward(
        self, luck: Luck, on_finish: Take, on_step: Progress, *, keep: bool = False
    ) -> Rows:
        """
        Compute the finish of every step in every run.

        Parameters
        ----------
        luck
            What is drawn.
        on_finish
            Given the number, the finish and the drawn work of each step, in the terms that
            `instants` reads; nobody else reads these arrays afterwards.
        on_step
            Told the share of the steps that are done, now and then.
        keep
            Whether all events and works are kept.

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
            finish = self.run(number, step, work, luck, rows)
            if step.counts and int(finish.max()) > self.tables.limit:
                raise BeyondTablesError
            on_finish(number, finish, work)
            if keep:
                rows.work[number] = work
            else:
                self._let_go(number, rows)
        return rows

    def _let_go(self, number: int, rows: Rows) -> None:
        """Let go of the events that nothing asks for after a step."""
        for done in self._done_with[number]:
            rows.finish.pop(done).release()
            start = rows.start.pop(done, None)
            if start is not None:
                start.release()

    def instants(self, number: int, finish: Ints32) -> Ints32:
        """Read finishes of a step as `run` returns them: return instants. [grains]"""
        step = self.steps[number]
        if keeps_instants(step):
            return finish
        return self.tables.first_instant(step.calendar, finish)

    def run(self, number: int, step: Step, work: Ints32, luck: Luck, rows: Rows) -> Ints32:
        """Run one step; return its finish, in the terms that `instants` reads."""
        if step.is_idle:
            return self._pass_by(number, step, rows)
        tables, calendar = self.tables, step.calendar
        asked = [self._asked(step, tie, rows) for tie in step.starts]
        bound, rows.starting[number] = self._bound(step, asked, rows)
        row = rows.room.row()
        done = np.add(bound, work, out=row)
        if step.finishes or step.end_floor is not None:
            done[:] = self._push(number, step, done, rows)
        start = finish = None
        if number in self.gives_start:
            start = Event(tables, rows.room, calendar, done=done - work, begins=True)
        if step.least_work == 0:
            start, finish = self._skip_idle(number, step, work, done, start, rows)
        if step.second_trip is not None:
            finish = self._go_again(step, step.second_trip, luck, done, finish, rows)
        if finish is None:
            finish = Event(tables, rows.room, calendar, done=done)
        finish.owns(row)
        rows.finish[number] = finish
        if start is not None:
            rows.start[number] = start
        return finish.instant if keeps_instants(step) else done

    def _bound(
        self, step: Step, asked: list[Ints32], rows: Rows
    ) -> tuple[Ints32, list[Flags] | None]:
        """
        Return the work done before the start of a step can be, and which links drive it.

        The work is of shape (R,) or (1,); `asked` is what the links ask for.
        """
        if len(asked) == 1 and not step.may_stand_on_floor:
            return asked[0], None
        bound = reduce(np.maximum, asked) if asked else None
        if bound is None or step.may_stand_on_floor:
            floor = self.tables.done_before(step.calendar, np.array([step.begin_floor]))
            bound = floor if bound is None else np.maximum(bound, floor)
        return bound, [rows.room.reaches(one, bound) for one in asked]

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

    def _push(self, number: int, step: Step, done: Ints32, rows: Rows) -> Ints32:
        """Return the work done at the end of a step that ends no earlier than its links ask."""
        asked = [self._asked_of_end(step, tie, rows) for tie in step.finishes]
        end = reduce(np.maximum, asked) if asked else np.array([0], dtype=np.int32)
        if step.end_floor is not None:
            floor = np.array([step.end_floor], dtype=np.int32)
            end = np.maximum(end, self._end_at_or_after(step.calendar, floor))
        rows.pushed[number] = end > done
        end = np.maximum(end, done)
        rows.finishing[number] = [one >= end for one in asked]
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

    def _pass_by(self, number: int, step: Step, rows: Rows) -> Ints32:
        """Run a step without work: it is over when all that bounds it is."""
        out = rows.room.row()
        out[:], rows.starting[number] = self._bound_instant(step, rows)
        if step.finishes or step.end_floor is not None:
            end, asked = self._asked_end_instant(step, rows)
            rows.pushed[number] = end > out
            np.maximum(out, end, out=out)
            rows.finishing[number] = [one >= out for one in asked]
        event = Event(self.tables, rows.room, step.calendar, instant=out)
        event.owns(out)
        rows.finish[number] = event
        if number in self.gives_start:
            rows.start[number] = event
        return out

    def _bound_instant(self, step: Step, rows: Rows) -> tuple[Ints32, list[Flags]]:
        """Return the instant before which no step without work can be, and what drives it."""
        asked = [self._asked_instant(step, tie, rows) for tie in step.starts]
        bound = reduce(np.maximum, [*asked, np.array([step.begin_floor])])
        return bound, [one >= bound for one in asked]

    def _asked_end_instant(self, step: Step, rows: Rows) -> tuple[Ints32, list[Ints32]]:
        """Return the instant before which its links let no idle step end, and all of them."""
        asked = [self._asked_instant(step, tie, rows) for tie in step.finishes]
        floor = -1 if step.end_floor is None else step.end_floor
        return reduce(np.maximum, [*asked, np.array([floor], dtype=np.int32)]), asked

    def _skip_idle(
        self,
        number: int,
        step: Step,
        work: Ints32,
        done: Ints32,
        start: Event | None,
        rows: Rows,
    ) -> tuple[Event | None, Event]:
        """Return start and finish of a step that has no work in some runs."""
        tables, calendar = self.tables, step.calendar
        idle = np.broadcast_to(work == 0, done.shape)
        bound, driving = self._bound_instant(step, rows)
        working = rows.starting[number]
        rows.starting[number] = [
            np.where(idle, one, True if working is None else working[place])
            for place, one in enumerate(driving)
        ]
        if number in rows.pushed:
            end, asked = self._asked_end_instant(step, rows)
            rows.pushed[number] = np.where(idle, end > bound, rows.pushed[number])
            bound = np.maximum(bound, end)
            rows.finishing[number] = [
                np.where(idle, one >= bound, other)
                for one, other in zip(asked, rows.finishing[number], strict=True)
            ]
        finish = np.where(idle, bound, tables.first_instant(calendar, done))
        if start is not None:
            begin = np.where(idle, bound, start.instant)
            start = Event(tables, rows.room, calendar, instant=begin)
        return start, Event(tables, rows.room, calendar, instant=finish)

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
        each = list(marks)
        for number in self.last:
            np.equal(rows.finish[number].instant, project_finish, out=each[number])
        for number in range(len(self.steps) - 1, -1, -1):
            step = self.steps[number]
            if step.starts or step.finishes:
                self._mark_drivers(number, step, rows, each)
        return marks

    def _mark_drivers(self, number: int, step: Step, rows: Rows, marks: list[Flags]) -> None:
        """Pass the mark of a step on to what drives it."""
        mark = marks[number]
        free = mark & ~rows.pushed[number] if number in rows.pushed else mark
        driving = rows.starting[number]
        if driving is None:
            marks[step.starts[0].step] |= free
        else:
            for tie, drives in zip(step.starts, driving, strict=True):
                marks[tie.step] |= free & drives
        for tie, drives in zip(step.finishes, rows.finishing.get(number, ()), strict=True):
            marks[tie.step] |= mark & drives


def keeps_instants(step: Step) -> bool:
    """Return whether a step's finish is kept as an instant, not as work done."""
    return step.least_work == 0 or step.second_trip is not None


def nothing_to_take(_number: int, _finish: Ints32, _work: Ints32) -> None:
    """Be given a step's finish and work and do nothing with them."""


def nothing_to_report(_share: float) -> None:
    """Take a report of progress and do nothing about it."""
