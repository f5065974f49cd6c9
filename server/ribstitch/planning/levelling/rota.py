"""Who does what on which date: the people of a plan, one by one, spread over its tasks.

At each instant the tasks that are worked and the people who are there are matched: as
many places at tasks as can be have somebody who has the trade (a largest matching); if
some find nobody, work that has begun goes before work to come, and of either goes first what
protects the finish. Among those matchings it is one in which as many as can be stay with
their task, then one in which people work by their own calendar and those with many trades
are kept free. What is held, and nobody knows until when, asks for nobody.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np

from ribstitch.planning.crew_order import waiting_by_links
from ribstitch.planning.levelling.dated import Dated, OpenWork, Source, dated, people_of
from ribstitch.planning.model import State
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, start_of

_ALONE = 1_000_000_000
_OTHER = 1_000_000
_OFF_CALENDAR = 1_000
"""What it costs to leave a place at the last of the tasks empty (at each one before it so
much more), to change hands, to have somebody whose calendar is not the task's; beside them
each trade of a person costs 1."""


@dataclass(frozen=True, slots=True)
class Person:
    """
    One person-slot.

    Attributes
    ----------
    label
        What the crew calls them, with a number where several are called so; their first
        trade and a number where they are not called anything.
    trades
        What they can do, in alphabetical order.
    calendar
        When they are there.
    """

    label: str
    trades: tuple[str, ...]
    calendar: str


@dataclass(frozen=True, slots=True)
class Turn:
    """
    One person on one task for some time of one date.

    Attributes
    ----------
    person
        Who, by their place in `Rota.people`; None: nobody is free.
    task
        The id of the task.
    begin, end
        From when to when. [ticks]
    hours
        How long that is by the person's calendar (the task's where nobody is free). [h]
    """

    person: int | None
    task: str
    begin: int
    end: int
    hours: float

    @property
    def day(self) -> date:
        """Its date."""
        return date_at(self.begin)


@dataclass(frozen=True, slots=True)
class Rota:
    """
    Who does what from one date to another.

    Attributes
    ----------
    first, last
        The dates, both included.
    people
        Everybody, with or without work, in order of entry.
    turns
        By instant, then in order of entry of the tasks.
    unassigned
        Turns that nobody is free for, one for each person that is missing.
    held
        The ids of tasks that the plan has on these dates but that are held with no date to
        go on, what protects the finish first; nobody is asked for them.
    """

    first: date
    last: date
    people: tuple[Person, ...]
    turns: tuple[Turn, ...]
    unassigned: tuple[Turn, ...]
    held: tuple[str, ...]


def rota(source: Source, first: date, last: date) -> Rota:
    """
    Spread the people of a plan over its open tasks.

    Nobody does two things at once, or one without its trade, or works off their calendar.
    Where the plan can be done by its people (a levelled one can), every task has all of
    its people all the time, unless it is held and neither a date nor other work or an item
    that it waits for says when it goes on. Where people are short, work that has begun comes
    first, then what protects the finish (`Schedule.urgency`). A task stays with whoever did
    it last as far as that leaves nobody else without work that they could do. The answer for
    a date is the same whatever range is asked for.

    Parameters
    ----------
    source
        The plan as it stands, or a levelled plan.
    first, last
        The dates to look at, both included.

    Raises
    ------
    ValueError
        If `last` is before `first`.
    """
    if last < first:
        raise ValueError(f"{last} is before {first}")
    of = dated(source)
    people = _people(of)
    since, until = start_of(first), start_of(last) + TICKS_PER_DAY
    roster = _Roster(of, people, source if isinstance(source, Schedule) else source.planned)
    turns = [one for one in roster.turns_until(until) if one.day >= first]
    return Rota(
        first,
        last,
        people,
        tuple(one for one in turns if one.person is not None),
        tuple(one for one in turns if one.person is None),
        tuple(one.task.id for one in roster.held if one.begin < until and one.finish > since),
    )


def _people(of: Dated) -> tuple[Person, ...]:
    """Return everybody, one by one."""
    groups = people_of(of.plan)
    called = Counter[str]()
    for group in groups:
        called[group.label] += group.people
    found, numbers = [], Counter[str]()
    for group in groups:
        trades = tuple(sorted(group.trades))
        for _ in range(group.people):
            label = group.label or trades[0]
            if not group.label or called[label] > 1:
                numbers[label] += 1
                label = f"{label} {numbers[label]}"
            found.append(Person(label, trades, group.calendar))
    return tuple(found)


def _goes_on(of: Dated, work: OpenWork, waiting: Collection[str]) -> bool:
    """
    Return whether the plan says when work goes on.

    Parameters
    ----------
    of, work
        The plan, and the work.
    waiting
        The ids of the tasks that wait for other work or for an item.
    """
    status, as_of = work.task.status, of.plan.project.as_of
    if status.state is not State.HELD or status.held_until is not None:
        return True
    if work.task.id not in waiting and (work.task.not_before or as_of) <= as_of:
        return False
    calendar, today = of.plan.calendar_of_task(work.task), as_of.toordinal()
    days = work.begin // TICKS_PER_DAY - today
    return days > 0 and bool(of.there_by_date(calendar, today, days).any())


@dataclass(frozen=True, slots=True)
class _Spell:
    """A task while it is worked, within one date."""

    work: OpenWork
    begin: int
    end: int


class _Roster:
    """
    Hands out turns, instant by instant, and remembers who did what.

    Attributes
    ----------
    held
        The work for which nobody is asked, what protects the finish first.
    """

    def __init__(self, of: Dated, people: Sequence[Person], planned: Schedule) -> None:
        self._of = of
        self._people = people
        self._planned = planned
        waiting = set(waiting_by_links(of.plan))
        asked = [one for one in of.open_work() if one.task.trade and one.task.people]
        stays = {one.number for one in asked if not _goes_on(of, one, waiting)}
        self._works = [one for one in asked if one.number not in stays]
        self.held = sorted(
            (one for one in asked if one.number in stays),
            key=lambda one: planned.urgency(one.number),
        )
        self._able: dict[str, list[int]] = defaultdict(list)
        for number, person in enumerate(people):
            for trade in person.trades:
                self._able[trade].append(number)
        self._last: dict[int, list[int]] = defaultdict(list)
        """Who was on each task last, by its order of entry."""

    def turns_until(self, end: int) -> Iterator[Turn]:
        """Yield the turns that begin before an instant, by date. [ticks]"""
        days = self._spells_by_day(end)
        if not days:
            return
        first, count = min(days), max(days) - min(days) + 1
        worked = {
            name: self._of.there_by_date(name, first, count).tolist()
            for name in {person.calendar for person in self._people}
        }
        for day in sorted(days):
            morning = TICKS_PER_DAY * day
            home = {name: morning + ticks[day - first] for name, ticks in worked.items()}
            yield from self._turns_of_day(days[day], home)

    def _spells_by_day(self, end: int) -> dict[int, list[_Spell]]:
        """Return what is worked on each date before an instant."""
        days: dict[int, list[_Spell]] = defaultdict(list)
        for work in self._works:
            if work.begin >= end:
                continue
            start, worked = self._of.worked_by_date(work.number)
            for day, ticks in enumerate(worked.tolist(), start):
                begin = max(work.begin, TICKS_PER_DAY * day)
                if ticks and begin < end:
                    days[day].append(_Spell(work, begin, begin + ticks))
        return days

    def _turns_of_day(self, spells: Sequence[_Spell], home: Mapping[str, int]) -> Iterator[Turn]:
        """Yield the turns of one date, given when the people of each calendar go home."""
        edges = {edge for one in spells for edge in (one.begin, one.end)}
        low, high = min(edges), max(edges)
        cuts = sorted(edges | {one for one in home.values() if low < one < high})
        for begin, end in pairwise(cuts):
            now = [one.work for one in spells if one.begin <= begin < one.end]
            if not now:
                continue
            there = {n for n, one in enumerate(self._people) if home[one.calendar] > begin}
            for work, who in self._match(now, there):
                calendar = (
                    self._of.plan.calendar_of_task(work.task)
                    if who is None
                    else self._people[who].calendar
                )
                hours = (end - begin) * self._of.day_hours(calendar) / TICKS_PER_DAY
                yield Turn(who, work.task.id, begin, end, hours)

    def _match(
        self, works: Sequence[OpenWork], there: set[int]
    ) -> list[tuple[OpenWork, int | None]]:
        """Give each place at a task somebody who is there."""
        places = [work for work in works for _ in range(work.task.people)]
        found = self._as_before(works, there) or self._anew(places, there)
        on: dict[int, list[int]] = defaultdict(list)
        for work, who in zip(places, found, strict=True):
            if who is not None:
                on[work.number].append(who)
        self._last.update(on)
        return list(zip(places, found, strict=True))

    def _as_before(self, works: Sequence[OpenWork], there: set[int]) -> list[int | None] | None:
        """Return the people who did each task last, if all of them can go on."""
        found = []
        for work in works:
            last = self._last[work.number]
            if len(last) != work.task.people or not there.issuperset(last):
                return None
            found += last
        return list(found) if len(set(found)) == len(found) else None

    def _anew(self, places: Sequence[OpenWork], there: set[int]) -> list[int | None]:
        """Return the best matching of places at tasks and people."""
        from scipy.optimize import linear_sum_assignment

        able = {trade: [n for n in some if n in there] for trade, some in self._able.items()}
        wanted = {work.task.trade or "" for work in places}
        people = sorted({n for trade in wanted for n in able.get(trade, ())})
        column = {n: at for at, n in enumerate(people)}
        alone = [_ALONE * turn for turn in self._turns_of(places)]
        cost = np.repeat(np.array(alone)[:, np.newaxis], len(people) + len(places), axis=1)
        for row, work in enumerate(places):
            calendar, last = self._of.plan.calendar_of_task(work.task), self._last[work.number]
            for n in able.get(work.task.trade or "", ()):
                cost[row, column[n]] = (
                    (n not in last) * _OTHER
                    + (self._people[n].calendar != calendar) * _OFF_CALENDAR
                    + len(self._people[n].trades)
                )
        _, chosen = linear_sum_assignment(cost)
        return [
            people[at] if at < len(people) and cost[row, at] < _ALONE else None
            for row, at in enumerate(chosen.tolist())
        ]

    def _turns_of(self, places: Sequence[OpenWork]) -> list[int]:
        """
        Return for each place at a task how many tasks come after its own, itself included.

        The places that can be taken together form a matroid: which of them a heaviest
        matching takes depends on the order of their weights alone.
        """
        order = sorted({work.number for work in places}, key=self._comes, reverse=True)
        turn = {number: place for place, number in enumerate(order, 1)}
        return [turn[work.number] for work in places]

    def _comes(self, number: int) -> tuple[bool, tuple[int, int, int]]:
        """Return the key that puts first what has begun, then what protects the finish."""
        is_in_work = self._of.plan.tasks[number].status.state is State.IN_WORK
        return not is_in_work, self._planned.urgency(number)
