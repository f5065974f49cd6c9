"""Look at a levelled plan from outside: date by date, tick by tick where it matters.

Shares no code with what levels: calendars are worked out again from their own fields, a
task's work is laid on its dates one after the other, people are matched to tasks by
a bipartite matching, and links are checked in the shape they are written.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

import networkx as nx

from ribstitch.planning.levelling import Rota, Turn
from ribstitch.planning.model import Calendar, Plan, State, Task

DAY = 1440


def worked_ticks(calendar: Calendar, day: date) -> int:
    """Return what a calendar works on a date, from its fields; no public holidays."""
    assert calendar.holidays is None
    if calendar.elapsed:
        return DAY
    for opened, hours in calendar.opened:
        if opened == day:
            return round(hours * DAY / calendar.day_hours)
    if any(first <= day <= last for first, last in calendar.closed):
        return 0
    return round(calendar.week_hours[day.weekday()] * DAY / calendar.day_hours)


def spells(calendar: Calendar, begin: int, work: int) -> list[tuple[int, int]]:
    """Return the stretches in which work begun at an instant is done. [ticks]"""
    found, left, day = [], work, begin // DAY
    while left > 0:
        first = max(begin, DAY * day)
        last = DAY * day + worked_ticks(calendar, date.fromordinal(day))
        if last > first:
            found.append((first, min(last, first + left)))
            left -= found[-1][1] - first
        day += 1
    return found


def crew_faults(
    plan: Plan,
    begin: Mapping[str, int],
    finish: Mapping[str, int],
) -> list[str]:
    """Return every instant at which a levelled plan asks for more than there is."""
    calendars = _calendars(plan)
    busy: dict[str, list[tuple[int, int]]] = {}
    found = []
    for task in _open_tasks(plan):
        work = _work(task)
        busy[task.id] = spells(_calendar_of(plan, task), begin[task.id], work)
        if work and busy[task.id][-1][1] != finish[task.id]:
            found.append(f"{task.id} ends at {finish[task.id]}, not {busy[task.id][-1][1]}")
        if work and busy[task.id][0][0] != begin[task.id]:
            found.append(f"{task.id} begins when its calendar does not work")
    found += _people_faults(plan, calendars, busy)
    for place in plan.places:
        users = [task.id for task in _open_tasks(plan) if place.id in task.places and busy[task.id]]
        for instant in sorted({begin[name] for name in users}):
            there = [name for name in users if begin[name] <= instant < finish[name]]
            if len(there) > place.capacity:
                found.append(f"{place.id} holds {there}")
    return found


def _people_faults(
    plan: Plan, calendars: Mapping[str, Calendar], busy: Mapping[str, list[tuple[int, int]]]
) -> list[str]:
    """Return the instants at which people cannot be spread over the tasks."""
    tasks = {task.id: task for task in plan.tasks}
    events: dict[int, set[str]] = defaultdict(set)
    for name, stretches in busy.items():
        if tasks[name].trade and tasks[name].people:
            for first, last in stretches:
                for instant in _instants(plan, calendars, first, last):
                    events[instant].add(name)
    for name, stretches in busy.items():
        if tasks[name].trade and tasks[name].people:
            for instant, there in events.items():
                if any(first <= instant < last for first, last in stretches):
                    there.add(name)
    return [
        f"too few people at {instant} for {sorted(names)}"
        for instant, names in sorted(events.items())
        if not _can_be_spread(plan, calendars, instant, [tasks[name] for name in names])
    ]


def _instants(plan: Plan, calendars: Mapping[str, Calendar], first: int, last: int) -> list[int]:
    """Return where something can change within a stretch of one date."""
    day = first // DAY
    ends = {
        DAY * day + worked_ticks(calendars[crew.calendar], date.fromordinal(day))
        for crew in plan.crew
        if crew.calendar
    }
    return [first, *(end for end in ends if first < end < last)]


def _can_be_spread(
    plan: Plan, calendars: Mapping[str, Calendar], instant: int, tasks: Sequence[Task]
) -> bool:
    """Return whether a matching gives each task its people."""
    asked = sum(task.people for task in tasks)
    return _most_at_work(plan, calendars, instant, tasks) == asked


def _most_at_work(
    plan: Plan, calendars: Mapping[str, Calendar], instant: int, tasks: Sequence[Task]
) -> int:
    """Return how many people can be at work on some tasks at most."""
    day, offset = divmod(instant, DAY)
    flow: nx.DiGraph[object] = nx.DiGraph()
    flow.add_nodes_from(("start", "end"))
    for task in tasks:
        flow.add_edge("start", ("task", task.id), capacity=task.people)
    people: dict[tuple[object, ...], tuple[set[str], int]] = {}
    for number, crew in enumerate(plan.crew):
        assert crew.calendar is not None
        if worked_ticks(calendars[crew.calendar], date.fromordinal(day)) > offset:
            key: tuple[object, ...] = (
                (crew.label, crew.calendar, crew.people) if crew.label else (number,)
            )
            people.setdefault(key, (set(), crew.people))[0].add(crew.trade)
    for key, (trades, count) in people.items():
        flow.add_edge(("people", key), "end", capacity=count)
        for task in tasks:
            if task.trade in trades:
                flow.add_edge(("task", task.id), ("people", key), capacity=count)
    most, _ = nx.maximum_flow(flow, "start", "end")
    return int(most)


def _calendars(plan: Plan) -> dict[str, Calendar]:
    """Return the calendars of a plan by id, elapsed time among them."""
    return {one.id: one for one in plan.calendars} | {"elapsed": Calendar("elapsed", elapsed=True)}


def _calendar_of(plan: Plan, task: Task) -> Calendar:
    """Return the calendar on which a task is worked."""
    return _calendars(plan)[task.calendar or plan.project.calendar]


def _work(task: Task) -> int:
    """Return what remains to be done of a task. [ticks]"""
    return task.duration if task.status.remaining is None else task.status.remaining


def _open_tasks(plan: Plan) -> list[Task]:
    """Return the tasks that still need somebody."""
    return [one for one in plan.tasks if one.status.state not in {State.DONE, State.DROPPED}]


def rota_faults(plan: Plan, begin: Mapping[str, int], found: Rota) -> list[str]:
    """
    Return what is wrong with who does what, instant by instant; no work may be left out.

    Work that is held with no date of its own may: it is told beside.
    """
    calendars = _calendars(plan)
    tasks = {task.id: task for task in plan.tasks}
    faults = [
        f"{name} is left out, but not held without a date"
        for name in found.held
        if tasks[name].status.state is not State.HELD or tasks[name].status.held_until is not None
    ]
    for instant, asked in _asked(plan, begin, found):
        now = [one for one in found.turns if one.begin <= instant < one.end]
        missing = [one for one in found.unassigned if one.begin <= instant < one.end]
        if Counter(one.task for one in (*now, *missing)) != asked:
            faults.append(f"work is left out, or done when it is not, at {instant}")
        if len(now) != _most_at_work(plan, calendars, instant, [tasks[name] for name in asked]):
            faults.append(f"more could be at work at {instant}")
        faults += _faults_of_people(found, now, tasks, calendars, instant)
    return faults


def rota_order_faults(
    plan: Plan, begin: Mapping[str, int], found: Rota, order: Sequence[str]
) -> list[str]:
    """
    Return where somebody is at work on what should have waited.

    However many tasks are taken from the head of an order, as many people must be on them as
    could be if there were no other work.
    """
    calendars, tasks = _calendars(plan), {task.id: task for task in plan.tasks}
    faults = []
    for instant, asked in _asked(plan, begin, found):
        if not any(one.begin <= instant < one.end for one in found.unassigned):
            continue
        on = Counter(one.task for one in found.turns if one.begin <= instant < one.end)
        first: list[Task] = []
        for name in order:
            if name in asked:
                first.append(tasks[name])
                most = _most_at_work(plan, calendars, instant, first)
                if sum(on[task.id] for task in first) != most:
                    faults.append(f"{name} should have somebody at {instant}")
    return faults


def _asked(plan: Plan, begin: Mapping[str, int], found: Rota) -> Iterator[tuple[int, Counter[str]]]:
    """Yield each instant at which something can change, with the people asked for by task."""
    tasks = {
        task.id: task
        for task in _open_tasks(plan)
        if task.trade and task.people and task.id not in found.held
    }
    busy = {
        name: spells(_calendar_of(plan, task), begin[name], _work(task))
        for name, task in tasks.items()
    }
    for instant in _instants_of(found, busy, _calendars(plan)):
        yield (
            instant,
            Counter(
                {
                    name: tasks[name].people
                    for name, some in busy.items()
                    if any(first <= instant < last for first, last in some)
                }
            ),
        )


def _instants_of(
    found: Rota, busy: Mapping[str, list[tuple[int, int]]], calendars: Mapping[str, Calendar]
) -> list[int]:
    """Return where anything can change between the dates of a rota."""
    edges = {edge for some in busy.values() for spell in some for edge in spell}
    edges |= {edge for turn in (*found.turns, *found.unassigned) for edge in (turn.begin, turn.end)}
    for day in {edge // DAY for edge in edges}:
        for name in {person.calendar for person in found.people}:
            edges.add(DAY * day + worked_ticks(calendars[name], date.fromordinal(day)))
    low, high = DAY * found.first.toordinal(), DAY * (found.last.toordinal() + 1)
    return sorted(edge for edge in edges if low <= edge < high)


def _faults_of_people(
    found: Rota,
    now: Sequence[Turn],
    tasks: Mapping[str, Task],
    calendars: Mapping[str, Calendar],
    instant: int,
) -> list[str]:
    """Return who is at work twice, without the trade, or off their calendar."""
    day, offset = divmod(instant, DAY)
    faults = [
        f"{found.people[who or 0].label} is at work {count} times at {instant}"
        for who, count in Counter(one.person for one in now).items()
        if count > 1
    ]
    for turn in now:
        assert turn.person is not None
        person = found.people[turn.person]
        if tasks[turn.task].trade not in person.trades:
            faults.append(f"{person.label} cannot do {turn.task}")
        if worked_ticks(calendars[person.calendar], date.fromordinal(day)) <= offset:
            faults.append(f"{person.label} is not there at {instant}")
    return faults
