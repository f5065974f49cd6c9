"""Serial schedule generation on calendars: each activity as early as links and people let it.

The same arithmetic as the forward pass (`planning.passes`), one activity at a time: with
people and room without limit it gives the early dates of the plan. An activity's place is
the work w done on its own calendar before it begins; whatever bounds it bounds w from
below, so that the search for people only ever moves up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ribstitch.planning.levelling.crew_problem import Asking, CrewProblem, Row
from ribstitch.planning.levelling.members import Member
from ribstitch.planning.levelling.ordering import order_by
from ribstitch.planning.levelling.timeline import Timeline
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY


class PlanDecoder:
    """
    Turns orders of activities into levelled plans.

    Parameters
    ----------
    problem
        The plan with its people and places.
    planned
        The schedule without them; its late dates are the priorities.
    current
        Where each activity begins in the plan as it stands, by number. [ticks]
    keep
        What it costs to move the start of one of them to another date. [ticks]
    """

    def __init__(
        self,
        problem: CrewProblem,
        planned: Schedule,
        current: Mapping[int, int] | None = None,
        keep: int = 0,
    ) -> None:
        self.problem = problem
        self._planned = planned
        self._current = current or {}
        self._keep = keep
        self._first = self._started_first()
        self.started_first = frozenset(self._first)

    def priorities(self) -> Mapping[str, list[int]]:
        """Return the keys of each priority rule; the smaller goes first."""
        planned, rows = self._planned, self.problem.rows
        behind = [0] * len(rows)
        for number in reversed(order_by(planned.begin.tolist(), self.successors())):
            for other in self.successors()[number]:
                behind[number] |= behind[other] | (1 << other)
        weights = [
            row.work + sum(rows[other].work for other in self.successors()[number])
            for number, row in enumerate(rows)
        ]
        rules = {
            "latest finish time": planned.late_finish.tolist(),
            "latest start time": planned.late_begin.tolist(),
            "minimum slack": (planned.late_begin - planned.begin).tolist(),
            "most total successors": [-one.bit_count() for one in behind],
            "greatest rank positional weight": [-weight for weight in weights],
            "shortest processing time": [row.work for row in rows],
            "earliest start time": planned.begin.tolist(),
        }
        if self._current:
            late = planned.late_begin.tolist()
            rules["plan as it stands"] = [self._current.get(n, late[n]) for n in range(len(rows))]
        return rules

    def successors(self) -> Sequence[Sequence[int]]:
        """Return for each activity what waits for it."""
        return self.problem.successors

    def decode(self, order: Sequence[int]) -> Member:
        """
        Place activities in an order, started work first.

        Raises
        ------
        OutOfRangeError
            If something ends after the calendars' range.
        """
        return self._placed(order, {})

    def as_it_stands(self) -> Member:
        """Return the current plan; what has no people or room there comes later."""
        late = self._planned.late_begin.tolist()
        keys = [self._current.get(number, late[number]) for number in range(len(late))]
        return self._placed(order_by(keys, self.successors()), self._current)

    def _placed(self, order: Sequence[int], floors: Mapping[int, int]) -> Member:
        """Place activities in an order, some of them not before a floor. [ticks]"""
        begins, ends = self._place(
            [*self._first, *(n for n in order if n not in self.started_first)], floors
        )
        rows = self.problem.rows
        finish = max((end for end, row in zip(ends, rows, strict=True) if not row.dropped),
                     default=0)  # fmt: skip
        moved = sum(
            begins[number] // TICKS_PER_DAY != begin // TICKS_PER_DAY
            for number, begin in self._current.items()
        )
        return Member(finish + self._keep * moved, tuple(begins))

    def ends(self, member: Member) -> list[int]:
        """Return where each activity of a schedule ends. [ticks]"""
        return [
            row.finished
            if row.finished is not None
            else row.scale.earliest(row.scale.work_before(begin) + row.work)
            if row.work
            else begin
            for row, begin in zip(self.problem.rows, member.starts, strict=True)
        ]

    def order_of(self, member: Member) -> list[int]:
        """Return the activities by where they begin."""
        return order_by(member.starts, self.successors())

    def improve(self, member: Member) -> Member:
        """
        Shift everything late, the last to end first, then early in the order that results.

        Forward-backward improvement (`planning.levelling.justification`); the late
        places only give an order, so that nothing depends on their being exact.
        """
        late = self._late_begins(member)
        found = self.decode(order_by(late, self.successors()))
        best = found if found.makespan <= member.makespan else member
        return self._kept(best) if self._keep else best

    def _kept(self, member: Member) -> Member:
        """Put what began earlier than in the current plan back, where nothing suffers."""
        late, starts = self._late_begins(member), member.starts
        back = {n: at for n, at in self._current.items() if starts[n] < at <= late[n]}
        keys = [back.get(number, start) for number, start in enumerate(starts)]
        found = self._placed(order_by(keys, self.successors()), back)
        return found if found.makespan <= member.makespan else member

    def _started_first(self) -> list[int]:
        """Return work under way, and what it still waits for, in the order of the plan."""
        rows = self.problem.rows
        wanted = [n for n, row in enumerate(rows) if row.under_way and row.asking]
        found: set[int] = set()
        while wanted:
            number = wanted.pop()
            if number not in found:
                found.add(number)
                row = rows[number]
                wanted += [b.before for b in row.bounds if b.to_finish or not row.deaf]
        begins = self._planned.begin.tolist()
        late_begins = self._planned.late_begin.tolist()
        order = order_by(
            [(begins[n] << 40) + late_begins[n] for n in range(len(rows))], self.successors()
        )
        return [number for number in order if number in found]

    def _place(
        self, order: Sequence[int], floors: Mapping[int, int]
    ) -> tuple[list[int], list[int]]:
        """Return where each activity begins and ends."""
        problem = self.problem
        rows, limits = problem.rows, problem.limits
        timelines = [limit.timeline.fresh() for limit in limits]
        begins, starts, ends = ([0] * len(rows) for _ in range(3))
        for number in order:
            row = rows[number]
            floor = floors.get(number, 0)
            begin, end = _place_one(problem, timelines, number, floor, (starts, ends))
            begins[number], starts[number], ends[number] = begin, begin, end
            if row.started is not None:
                starts[number] = row.started
        return begins, ends

    def _late_begins(self, member: Member) -> list[int]:
        """Return where each activity could begin at the latest, about."""
        problem = self.problem
        rows = problem.rows
        ends = self.ends(member)
        last = max(ends, default=0)
        timelines = [limit.timeline.fresh() for limit in problem.limits]
        late_end = [last] * len(rows)
        late = list(member.starts)
        last_first = order_by(member.starts, self.successors())[::-1]
        last_first.sort(key=lambda number: -ends[number])
        for number in last_first:
            row = rows[number]
            end = late_end[number]
            if row.work and row.finished is None:
                late[number] = max(_latest(problem, timelines, number, end), member.starts[number])
            elif row.finished is None:
                late[number] = max(end, member.starts[number])
            for bound in row.bounds:
                edge = late[number]
                if bound.to_finish:
                    edge = max(edge, late_end[number])
                edge -= bound.elapsed_lag + bound.work_lag
                if not bound.from_finish:
                    edge = max(edge, ends[bound.before])
                late_end[bound.before] = min(late_end[bound.before], edge)
        return late


def find_place(
    problem: CrewProblem, timelines: Sequence[Timeline], number: int, work: int
) -> tuple[int, int, int]:
    """
    Return (work before, begin, end) of the first place with people and room.

    Parameters
    ----------
    problem
        The plan with its limits.
    timelines
        What is free, by limit.
    number
        The activity; it has work to do.
    work
        Work done on its calendar before the place, at least. [ticks]

    Raises
    ------
    OutOfRangeError
        If there is none within the calendars' range.
    """
    row = problem.rows[number]
    scale = row.scale
    while True:
        begin, end = scale.latest(work), scale.earliest(work + row.work)
        moved = work
        for one in row.asking:
            moved = _moved(problem, timelines[one.timeline], row, one, (moved, begin, end))
            if moved > work:
                break
        if moved == work:
            return work, begin, end
        work = moved


def _place_one(
    problem: CrewProblem,
    timelines: Sequence[Timeline],
    number: int,
    floor: int,
    placed: tuple[Sequence[int], Sequence[int]],
) -> tuple[int, int]:
    """Place one activity after what it waits for and take its people and places."""
    row, (starts, ends) = problem.rows[number], placed
    scale = row.scale
    if row.finished is not None:
        return row.started or 0, row.finished
    start, finish = max(row.floor, floor), -1
    for bound in row.bounds:
        if row.deaf and not bound.to_finish:
            continue
        asked = (ends if bound.from_finish else starts)[bound.before] + bound.elapsed_lag
        if bound.work_lag:
            asked = scale.earliest(scale.work_before(asked) + bound.work_lag)
        if bound.to_finish:
            finish = max(finish, asked)
        else:
            start = max(start, asked)
    if not row.work:
        at = max(start, finish)
        return at, at
    work = scale.work_before(start)
    if finish >= 0:
        done = scale.work_before(finish)
        if scale.earliest(done) < finish:
            done += 1
        work = max(work, done - row.work)
    work, begin, end = find_place(problem, timelines, number, work)
    for one in row.asking:
        for first, last in _used(problem, row, one, work, begin, end):
            timelines[one.timeline].take(first, last, one.demand)
    return begin, end


def _moved(
    problem: CrewProblem,
    timeline: Timeline,
    row: Row,
    asking: Asking,
    place: tuple[int, int, int],
) -> int:
    """Return the work before the first place that could do for one limit."""
    work, begin, end = place
    common, scale = problem.limits[asking.timeline].scale, row.scale
    if common is None:
        free = timeline.earliest(begin, end - begin, asking.demand)
        return work if free == begin else max(work + 1, scale.work_before(free))
    if problem.aligned[id(scale), asking.timeline]:
        return timeline.earliest(work, row.work, asking.demand)
    for date, first, last in scale.stretches(work, work + row.work):
        if last > common.worked[date]:
            return scale.before[date + 1]
        base = common.before[date]
        until = timeline.conflict(base + first, base + last, asking.demand)
        if until is not None:
            return max(work + 1, scale.work_before(common.earliest(until)))
    return work


def _used(
    problem: CrewProblem, row: Row, asking: Asking, work: int, begin: int, end: int
) -> list[tuple[int, int]]:
    """Return the stretches of a limit's scale that a placed activity takes."""
    common = problem.limits[asking.timeline].scale
    if common is None:
        return [(begin, end)]
    if problem.aligned[id(row.scale), asking.timeline]:
        return [(work, work + row.work)]
    return [
        (common.before[date] + first, common.before[date] + last)
        for date, first, last in row.scale.stretches(work, work + row.work)
    ]


def _latest(problem: CrewProblem, timelines: Sequence[Timeline], number: int, end: int) -> int:
    """Take people as late as can be and return about where that begins."""
    row = problem.rows[number]
    scale = row.scale
    work = scale.work_before(end) - row.work
    for one in row.asking:
        if problem.aligned.get((id(scale), one.timeline)):
            timeline = timelines[one.timeline]
            work = timeline.latest(work + row.work, row.work, one.demand)
            if work > 0:
                timeline.take(work, work + row.work, one.demand)
    return scale.latest(max(work, 0))
