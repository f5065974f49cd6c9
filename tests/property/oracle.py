"""Dates, floats and grace the slow way: by making the schedule again and again.

There is no backward pass. A float is the largest delay that hurts nobody: the plan is
scheduled again with the delay, and again with one tick more. A link asks

    FS  begin >= f    SS  begin >= s    FF  finish >= f    SF  finish >= s

of its successor, each later by its lag. Work begins on a worked tick and is not split; a
finish that is asked for outside working time becomes the end of the next worked tick, and
the work before it moves as a whole. A job without work happens at the instant itself.

Where a deadline is missed already no delay leaves it as it is, and the float says how far
the job must be pulled in. Then only the ways that lead on from the job count: it is put at
an instant, what follows it is dated by these ways alone, and the last instant at which all
of that is in time is searched for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ribstitch.planning.model import LagOn, Link, Plan, Relation
from tests.property.oracle_jobs import DAY, Job, take_apart

TO_FINISH = (Relation.FINISH_FINISH, Relation.START_FINISH)
FROM_FINISH = (Relation.FINISH_START, Relation.FINISH_FINISH)


@dataclass(frozen=True)
class Dated:
    """When a job starts, when what is left of it begins, when it finishes. [ticks]"""

    start: int
    begin: int
    finish: int


Dates = dict[str, Dated]


class Oracle:
    """The slow second opinion on one plan."""

    def __init__(self, plan: Plan) -> None:
        self.parts = take_apart(plan)
        self.jobs = self.parts.jobs
        self.incoming: dict[str, list[Link]] = {name: [] for name in self.jobs}
        for link in self.parts.links:
            self.incoming[link.after].append(link)
        self.order = self._in_order()
        self.dates = self.scheduled()
        self.finish = self.finish_of(self.dates)

    def _in_order(self) -> list[str]:
        """Return the jobs so that each comes after those it waits for."""
        placed: dict[str, None] = {}
        while len(placed) < len(self.jobs):
            ready = [
                name
                for name in self.jobs
                if name not in placed and all(one.before in placed for one in self.incoming[name])
            ]
            assert ready, "the links close a loop"
            placed.update(dict.fromkeys(ready))
        return list(placed)

    # --- forward, with delays -----------------------------------------------------------

    def scheduled(
        self, held_back: Mapping[str, int] | None = None, longer: Mapping[str, int] | None = None
    ) -> Dates:
        """Schedule; `held_back` may not begin before an instant, `longer` takes more work."""
        dates: Dates = {}
        for name in self.order:
            job = self.jobs[name]
            floor = max(job.floor, (held_back or {}).get(name, 0))
            asked = [(link, self.asked(link, dates[link.before])) for link in self.incoming[name]]
            begin = max([floor, *(t for one, t in asked if self._binds_begin(one, job))])
            finish = max([0, *(t for one, t in asked if one.relation in TO_FINISH)])
            dates[name] = self._placed(job, job.work + (longer or {}).get(name, 0), begin, finish)
        return dates

    @staticmethod
    def _binds_begin(link: Link, job: Job) -> bool:
        return link.relation not in TO_FINISH and not job.deaf

    def asked(self, link: Link, before: Dated) -> int:
        """Return the instant that a link asks for."""
        event = before.finish if link.relation in FROM_FINISH else before.start
        if link.lag_on is LagOn.ELAPSED or link.lag == 0:
            return event + link.lag
        days = self.jobs[link.after].days
        return days.first_with(days.before(event) + link.lag)

    @staticmethod
    def _placed(job: Job, work: int, begin: int, finish: int) -> Dated:
        """Place a job not to begin and not to finish before two instants."""
        if job.finished is not None:
            assert job.started is not None
            return Dated(job.started, job.started, job.finished)
        if work == 0:
            begin = finish = max(begin, finish)
        else:
            begin, asked = job.days.next_working(begin), finish
            finish = job.days.first_with(job.days.before(begin) + work)
            if asked > finish:
                finish = job.days.next_end(asked)
                begin = job.days.last_with(job.days.before(finish) - work)
        return Dated(begin if job.started is None else job.started, begin, finish)

    def finish_of(self, dates: Dates) -> int:
        """Return the project finish: the latest of all that is not dropped."""
        return max(dates[name].finish for name, job in self.jobs.items() if not job.dropped)

    # --- floats ---------------------------------------------------------------------------

    def delayed(self, name: str, delay: int) -> int:
        """Return where a job begins that begins `delay` of its own ticks later than it could."""
        job, begin = self.jobs[name], self.dates[name].begin
        if delay == 0:
            return begin
        if job.work == 0:
            return job.days.first_with(job.days.before(begin) + delay)
        return job.days.last_with(job.days.before(begin) + delay)

    def leaves_finish_and_deadlines(self, name: str, delay: int) -> bool:
        """
        Return whether a delay moves no project finish and misses no deadline.

        A deadline that something else misses already must be met by the ways from here.
        """
        begin = self.delayed(name, delay)
        dates = self.scheduled({name: begin})
        for one, dated in self.placed_at(name, begin).items():
            deadline = self.jobs[one].deadline
            if deadline is None:
                continue
            missed_anyway = self.dates[one].finish > deadline
            if (dated if missed_anyway else dates[one]).finish > deadline:
                return False
        return self.finish_of(dates) == self.finish

    def placed_at(self, name: str, begin: int) -> Dates:
        """Date a job put at an instant and what follows it, by the ways from it alone."""
        job = self.jobs[name]
        finish = begin if job.work == 0 else job.days.first_with(job.days.before(begin) + job.work)
        start = begin if job.started is None else job.started
        dates: Dates = {name: Dated(start, begin, finish)}
        for one in self.order[self.order.index(name) + 1 :]:
            after = self.jobs[one]
            if after.finished is not None:
                continue
            starts, finishes = [], []
            for link in self.incoming[one]:
                if link.before not in dates:
                    continue
                if link.relation not in FROM_FINISH and self.jobs[link.before].under_way:
                    continue
                instant = self.asked(link, dates[link.before])
                if link.relation in TO_FINISH:
                    finishes.append(instant)
                elif self._binds_begin(link, after):
                    starts.append(instant)
            if starts or finishes:
                dates[one] = self._placed_by_ways(after, starts, finishes)
        return dates

    def _placed_by_ways(self, job: Job, starts: list[int], finishes: list[int]) -> Dated:
        """Place a job by some of its links alone, its own floor left aside."""
        if starts:
            return self._placed(job, job.work, max(starts), max([0, *finishes]))
        finish = max(finishes)
        if job.work == 0:
            return self._placed(job, 0, finish, 0)
        finish = job.days.next_end(finish)
        begin = job.days.last_with(job.days.before(finish) - job.work)
        return Dated(begin if job.started is None else job.started, begin, finish)

    def in_time(self, name: str, begin: int) -> bool:
        """Return whether a job put at an instant makes nothing late that follows from it."""
        for one, dated in self.placed_at(name, begin).items():
            job = self.jobs[one]
            if not job.dropped and dated.finish > self.finish:
                return False
            if job.deadline is not None and dated.finish > job.deadline:
                return False
        return True

    def is_settled(self, name: str) -> bool:
        """Return whether a job is over or will not be done: it has no float to speak of."""
        return self.jobs[name].finished is not None or self.jobs[name].dropped

    def is_late_already(self, name: str) -> bool:
        """Return whether a deadline that depends on the job is missed as things stand."""
        return not self.in_time(name, self.dates[name].begin)

    def total_float(self, name: str) -> int:
        """Return the largest harmless delay, or how far a late job must be pulled in."""
        if self.is_settled(name):
            return 0
        if not self.is_late_already(name):
            return largest(lambda delay: self.leaves_finish_and_deadlines(name, delay))
        return self.late_position(name) - self._position(name)

    def _position(self, name: str) -> int:
        return self.jobs[name].days.before(self.dates[name].begin)

    def late_position(self, name: str) -> int:
        """Return the work done before the last instant at which a late job is in time."""
        job, begin = self.jobs[name], self.dates[name].begin
        if job.work:
            now = self._position(name)
            short = largest(lambda pull: not self.in_time(name, job.days.last_with(now - pull)))
            return now - short - 1
        short = largest(lambda pull: not self.in_time(name, begin - pull))
        return job.days.before(begin - short - 1)

    def free_float(self, name: str) -> int:
        """Return the largest delay that moves no date of what follows directly."""
        if self.is_settled(name):
            return 0
        return largest(lambda delay: self.moves_no_other(name, delay))

    def moves_no_other(self, name: str, delay: int) -> bool:
        """Return whether a delay leaves the project finish and all other dates alone."""
        dates = self.scheduled({name: self.delayed(name, delay)})
        return self.finish_of(dates) == self.finish and all(
            dates[one] == self.dates[one] for one in self.jobs if one != name
        )

    # --- grace ----------------------------------------------------------------------------

    def late_legs(self, vendor: str) -> list[str]:
        """Return the legs that a late vendor makes longer, one for each open send-out."""
        return [
            item.with_vendor.name
            for item in self.parts.items.values()
            if item.vendor == vendor and item.is_open and item.with_vendor
        ]

    def leaves_finish(self, legs: list[str], delay: int) -> bool:
        """Return whether the legs can all take `delay` longer without moving the finish."""
        return self.finish_of(self.scheduled(longer=dict.fromkeys(legs, delay))) == self.finish

    def grace(self, legs: list[str]) -> int:
        """Return by how much the legs can take longer without moving the finish."""
        return largest(lambda delay: self.leaves_finish(legs, delay))

    def last_finish(self, leg: str) -> int:
        """Return the last instant at which a leg can end without moving the finish."""
        job, dated = self.jobs[leg], self.dates[leg]
        if job.work == 0:
            return self.last_begin(leg)
        return job.days.first_with(job.days.before(dated.finish) + self.grace([leg]))

    def last_begin(self, leg: str) -> int:
        """Return the last instant to which a leg can be held back without moving the finish."""
        begin = self.dates[leg].begin
        return begin + largest(
            lambda delay: self.finish_of(self.scheduled({leg: begin + delay})) == self.finish
        )


def largest(holds: Callable[[int], bool]) -> int:
    """Return the largest n >= 0 for which something holds that holds up to a limit only."""
    assert holds(0)
    if not holds(1):
        return 0
    low, high = 1, DAY
    while holds(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
