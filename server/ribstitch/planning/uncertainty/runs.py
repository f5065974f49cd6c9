"""Runs: many courses of a plan computed together, step by step.

Each step is one row of R instants. A forward step takes the latest of what bounds it,
looks up how much work its calendar has done by then, adds the work, and looks up when
that is done. Backward, a run marks what set its finish by walking the links that drive.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.courses import CourseModel, SecondTrip, Step, Tie
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
    All instants of a block of R runs. [grains]

    Attributes
    ----------
    finish
        Of each step, shape (R,).
    start
        Of the steps whose start bounds another one, by step.
    bound
        What the start of each step waited for: shape (R,), or (1,) where it is certain.
    pushed
        Runs in which a link to the finish moved the step, by step.
    work
        Drawn work, by step, for those that keep it.
    """

    finish: list[Ints32]
    start: dict[int, Ints32] = field(default_factory=dict)
    bound: dict[int, Ints32] = field(default_factory=dict)
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
        ties = [tie for step in self.steps for tie in (*step.starts, *step.finishes)]
        self.gives_start = frozenset(tie.step for tie in ties if tie.from_start)
        followed = {
            tie.step for step in self.steps if step.counts for tie in step.starts if tie.is_plain
        }
        self.last = tuple(
            number
            for number, step in enumerate(self.steps)
            if step.counts and number not in followed
        )
        """Steps that nothing plainly follows: one of them sets the project finish."""
        self._tight = tuple(self._is_tight(step) for step in self.steps)

    def forward(self, luck: Luck, finish: Ints32, on_step: Progress, *, keep_work: bool) -> Rows:
        """
        Compute the finish of every step in every run.

        Parameters
        ----------
        luck
            What is drawn.
        finish
            Filled in, shape (k, R).
        on_step
            Told the share of the steps that are done, now and then.
        keep_work
            Whether the drawn work is kept.
        """
        rows = Rows(list(finish))
        for number, step in enumerate(self.steps):
            if number % _REPORT_EVERY == 0:
                on_step(number / len(self.steps))
            work = luck.work(step)
            if keep_work:
                rows.work[number] = work
            self.run(number, step, work, luck, rows)
        return rows

    def run(self, number: int, step: Step, work: Ints32, luck: Luck, rows: Rows) -> None:
        """Run one step: fill in its finish, and its start if that bounds another one."""
        bound = rows.bound[number] = self._bound(step, rows)
        out = rows.finish[number]
        self._work_on(step, bound, work, out)
        start = None
        if number in self.gives_start:
            start = np.broadcast_to(self._begin(step, bound, work), out.shape)
        if step.finishes or step.end_floor is not None:
            rows.pushed[number], start = self._push(step, work, start, rows, out)
        if start is not None:
            rows.start[number] = start
        if step.second_trip is not None:
            self._go_again(step.second_trip, luck, out)

    def _bound(self, step: Step, rows: Rows) -> Ints32:
        """Return what the start of a step waits for."""
        floor = step.floor
        if step.draw is not None and step.draw.floor is not None:
            floor = step.draw.floor
        bound: Ints32 | None = None
        for tie in step.starts:
            required = self.required(step, tie, rows)
            bound = required if bound is None else np.maximum(bound, required)
        if bound is None:
            return np.array([floor], dtype=np.int32)
        return np.maximum(bound, np.int32(floor)) if step.may_stand_on_floor else bound

    def required(self, step: Step, tie: Tie, rows: Rows) -> Ints32:
        """Return the instant that one link asks for."""
        asked: Ints32 = rows.start[tie.step] if tie.from_start else rows.finish[tie.step]
        if tie.elapsed_lag:
            asked = asked + np.int32(tie.elapsed_lag)
        if tie.work_lag:
            done = self.done_before(step.calendar, asked)
            asked = self.earliest(step.calendar, done + np.int32(tie.work_lag))
        return asked

    def _work_on(self, step: Step, bound: Ints32, work: Ints32, out: Ints32) -> None:
        """Fill in when work that waits for `bound` is over; without work it is over at once."""
        before = self.tables.work_before[step.calendar]
        earliest = self.tables.earliest[step.calendar]
        if before is None or earliest is None:
            np.add(bound, work, out=out)
            return
        done = before.take(bound, mode="clip") + work
        if done.size == out.size:
            earliest.take(done, out=out, mode="clip")
        else:
            out[:] = earliest.take(done, mode="clip")
        if step.least_work == 0:
            np.copyto(out, bound, where=work == 0)

    def done_before(self, calendar: int, instant: Ints32) -> Ints32:
        """Return the work done before instants."""
        table = self.tables.work_before[calendar]
        return instant if table is None else table.take(instant, mode="clip")

    def earliest(self, calendar: int, work: Ints32) -> Ints32:
        """Return the smallest instants before which so much work is done."""
        table = self.tables.earliest[calendar]
        return work if table is None else table.take(work, mode="clip")

    def latest(self, calendar: int, work: Ints32) -> Ints32:
        """Return the largest such instants, where the next grain is worked."""
        if self.tables.earliest[calendar] is None:
            return work
        return self.earliest(calendar, work + np.int32(1)) - np.int32(1)

    def end_at_or_after(self, calendar: int, required: Ints32) -> Ints32:
        """Return the first instants not before `required` that end worked time."""
        done = self.done_before(calendar, required)
        exact = self.earliest(calendar, done)
        late = self.earliest(calendar, done + np.int32(1))
        return np.where(exact < required, late, exact)

    def _begin(self, step: Step, bound: Ints32, work: Ints32) -> Ints32:
        """Return where work that waits for `bound` begins; without work it waits for nothing."""
        begin = self.latest(step.calendar, self.done_before(step.calendar, bound))
        return np.where(work == 0, bound, begin)

    def _push(
        self, step: Step, work: Ints32, start: Ints32 | None, rows: Rows, out: Ints32
    ) -> tuple[Flags, Ints32 | None]:
        """
        Move a step as a whole so that it ends no earlier than its links ask for.

        Returns in which runs it was moved, and its start if that is asked for.
        """
        calendar = step.calendar
        required = np.full(out.shape, -1 if step.end_floor is None else step.end_floor, np.int32)
        for tie in step.finishes:
            np.maximum(required, self.required(step, tie, rows), out=required)
        valid = np.where(work == 0, required, self.end_at_or_after(calendar, required))
        pushed = valid > out
        np.copyto(out, valid, where=pushed)
        if start is None:
            return pushed, None
        begun = self.latest(calendar, self.done_before(calendar, valid) - work)
        return pushed, np.where(pushed, np.where(work == 0, valid, begun), start)

    def _go_again(self, trip: SecondTrip, luck: Luck, out: Ints32) -> None:
        """Let the items that are turned down go round once more."""
        struck = luck.struck(trip.name, trip.probability)
        if struck.size == 0:
            return
        instant = out[struck]
        for place, (calendar, table) in enumerate(trip.legs):
            drawn = luck.take(f"{trip.name}/{place}", table)[struck]
            instant = self.earliest(calendar, self.done_before(calendar, instant) + drawn)
        out[struck] = instant

    def project_finish(self, rows: Rows, runs: int) -> Ints32:
        """
        Return the project finish of each run, shape (runs,).

        Raises
        ------
        BeyondTablesError
            If the calendars are too short for some run.
        """
        latest = np.full(runs, self.settled, dtype=np.int32)
        for number in self.last:
            np.maximum(latest, rows.finish[number], out=latest)
        if latest.size and int(latest.max()) > self.tables.limit:
            raise BeyondTablesError
        return latest

    def critical(self, rows: Rows, project_finish: Ints32) -> Flags:
        """
        Return which steps are on a chain of driving links that ends at the finish.

        Ties drive together. Shape (k, R).
        """
        marks = np.zeros((len(self.steps), project_finish.size), dtype=bool)
        for number in range(len(self.steps) - 1, -1, -1):
            step, mark = self.steps[number], marks[number]
            if step.counts:
                mark |= rows.finish[number] == project_finish
            if step.starts or step.finishes:
                self._mark_drivers(number, step, mark, rows, marks)
        return marks

    def _mark_drivers(self, number: int, step: Step, mark: Flags, rows: Rows, marks: Flags) -> None:
        """Pass the mark of a step on to what drives it."""
        free = mark & ~rows.pushed[number] if number in rows.pushed else mark
        if len(step.starts) == 1 and not step.may_stand_on_floor:
            marks[step.starts[0].step] |= free
        elif step.starts:
            reached = self._reached(number, step, rows)
            for tie in step.starts:
                marks[tie.step] |= free & (self.required(step, tie, rows) >= reached)
        for tie in step.finishes:
            asked = self.required(step, tie, rows)
            if step.least_work > 0:
                asked = self.end_at_or_after(step.calendar, asked)
            marks[tie.step] |= mark & (asked >= rows.finish[number])

    def _reached(self, number: int, step: Step, rows: Rows) -> Ints32:
        """Return the instant from which on a link to a step's start drives it."""
        bound = rows.bound[number]
        if self._tight[number] or step.least_work == 0:
            return bound
        return self.earliest(step.calendar, self.done_before(step.calendar, bound))

    def _is_tight(self, step: Step) -> bool:
        """Return whether all that bounds a step's start ends in its own working time."""
        return not step.may_stand_on_floor and all(
            tie.is_plain
            and self.steps[tie.step].calendar == step.calendar
            and self.steps[tie.step].least_work > 0
            for tie in step.starts
        )


def nothing_to_report(_share: float) -> None:
    """Take a report of progress and do nothing about it."""
