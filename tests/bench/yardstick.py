"""The yardstick: one activity after the other in networkx's topological order.

Dates are kept in dictionaries and calendars in plain lists with a binary search, the way
the method is taught. It covers what the benchmark plans hold: tasks that have not begun,
the four relations, lags on working time, not-before dates.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field

import networkx as nx

from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.model import Calendar, Plan, Relation

DAY = 1440


class PlainCalendar:
    """Work before an instant and back, from one list of running totals."""

    def __init__(self, calendar: Calendar, first: int, days: int) -> None:
        self.worked: list[int] = ticks_per_date(calendar, first, days).tolist()
        self.before = [0]
        for worked in self.worked:
            self.before.append(self.before[-1] + worked)

    def work_before(self, instant: int) -> int:
        """Return the ticks worked before an instant."""
        day, offset = divmod(instant, DAY)
        worked = self.worked[day]
        return self.before[day] + min(worked, offset)

    def earliest(self, work: int) -> int:
        """Return the first instant before which so much is worked."""
        day = bisect_left(self.before, work) - 1
        return DAY * day + work - self.before[day] if day >= 0 else 0

    def latest(self, work: int) -> int:
        """Return the last such instant: where the next tick is worked."""
        day = bisect_right(self.before, work) - 1
        return DAY * day + work - self.before[day]


@dataclass
class PlainDates:
    """Dates by activity. [ticks from the first date of the calendars]"""

    start: dict[str, int] = field(default_factory=dict)
    finish: dict[str, int] = field(default_factory=dict)
    late_start: dict[str, int] = field(default_factory=dict)
    late_finish: dict[str, int] = field(default_factory=dict)


class Yardstick:
    """A plan as a networkx graph, ready for its passes."""

    def __init__(self, plan: Plan, first: int, days: int) -> None:
        self.floor = DAY * (plan.project.start.toordinal() - first)
        self.graph: nx.DiGraph[str] = nx.DiGraph()
        calendars = {one.id: PlainCalendar(one, first, days) for one in plan.calendars}
        for task in plan.tasks:
            floor = self.floor
            if task.not_before is not None:
                floor = max(floor, DAY * (task.not_before.toordinal() - first))
            self.graph.add_node(
                task.id,
                calendar=calendars[plan.calendar_of_task(task)],
                work=task.duration,
                floor=floor,
            )
        for link in plan.links:
            self.graph.add_edge(link.before, link.after, relation=link.relation, lag=link.lag)

    def passes(self) -> PlainDates:
        """Compute early and late dates."""
        dates = PlainDates()
        order = list(nx.topological_sort(self.graph))
        for name in order:
            self._forward(name, dates)
        end = max(dates.finish.values())
        for name in reversed(order):
            self._backward(name, dates, end)
        return dates

    def _forward(self, name: str, dates: PlainDates) -> None:
        node = self.graph.nodes[name]
        calendar, work, bound, required = node["calendar"], node["work"], node["floor"], 0
        for before, _, edge in self.graph.in_edges(name, data=True):
            relation = edge["relation"]
            from_finish = relation in (Relation.FINISH_START, Relation.FINISH_FINISH)
            instant = dates.finish[before] if from_finish else dates.start[before]
            if edge["lag"]:
                instant = calendar.earliest(calendar.work_before(instant) + edge["lag"])
            if relation in (Relation.FINISH_START, Relation.START_START):
                bound = max(bound, instant)
            else:
                required = max(required, instant)
        done = calendar.work_before(bound)
        start, finish = calendar.latest(done), calendar.earliest(done + work)
        if required > finish:
            done = calendar.work_before(required)
            finish = calendar.earliest(done)
            if finish < required:
                finish = calendar.earliest(done + 1)
            start = calendar.latest(calendar.work_before(finish) - work)
        dates.start[name], dates.finish[name] = start, finish

    def _backward(self, name: str, dates: PlainDates, end: int) -> None:
        node = self.graph.nodes[name]
        calendar, work, bound, start_bound = node["calendar"], node["work"], end, None
        for _, after, edge in self.graph.out_edges(name, data=True):
            relation = edge["relation"]
            to_start = relation in (Relation.FINISH_START, Relation.START_START)
            instant = dates.late_start[after] if to_start else dates.late_finish[after]
            if edge["lag"]:
                other = self.graph.nodes[after]["calendar"]
                instant = other.latest(other.work_before(instant) - edge["lag"])
            if relation in (Relation.FINISH_START, Relation.FINISH_FINISH):
                bound = min(bound, instant)
            else:
                start_bound = instant if start_bound is None else min(start_bound, instant)
        done = calendar.work_before(bound)
        start, finish = calendar.latest(done - work), calendar.earliest(done)
        if start_bound is not None and start_bound < start:
            done = calendar.work_before(start_bound)
            start = start_bound
            if calendar.latest(done) != start_bound:
                start = calendar.earliest(done) - 1
            finish = calendar.earliest(calendar.work_before(start) + work)
        dates.late_start[name], dates.late_finish[name] = start, finish
