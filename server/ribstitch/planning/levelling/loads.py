"""How much a plan asks of its people and places, week by week."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import networkx as nx
import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.levelling.dated import Dated, OpenWork, Source, dated, people_of
from ribstitch.planning.levelling.people import Group
from ribstitch.planning.levelling.shortfall import unmet
from ribstitch.planning.model import CrewLinkKind
from ribstitch.planning.ticks import TICKS_PER_DAY

LONG_ABSENCE = 90
"""So many dates in a row without anybody of a trade are worth a word. [dates]"""


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """
    One trade or place in one week.

    Attributes
    ----------
    kind, name
        The trade, or the place.
    week
        Its Monday.
    used
        Work asked of the trade; or time for which tasks stand in the place. [ticks: 1,440
        are a person's working day, and a date of a place]
    available
        Time for which the trade's people are there, for it or for another of their trades;
        or the place's room; from the first date on that can still be planned. [ticks]
    over
        What of `used` finds nobody on its date, or no room. [ticks]
    """

    kind: CrewLinkKind
    name: str
    week: date
    used: int
    available: int
    over: int


@dataclass(frozen=True, slots=True)
class _Weeks:
    """The weeks of a plan that are looked at, as ordinals of dates."""

    first: int
    """A Monday."""
    count: int
    past: int
    """So many dates of the first week are over."""

    @property
    def days(self) -> int:
        """Number of dates."""
        return 7 * self.count

    def by_week(self, by_date: Ints) -> list[int]:
        """Add up dates."""
        found: list[int] = by_date.reshape(-1, 7).sum(axis=1).tolist()
        return found

    def mondays(self) -> Iterator[date]:
        """Yield the first date of each week."""
        return (date.fromordinal(self.first + 7 * week) for week in range(self.count))


def crew_loads(source: Source) -> tuple[WeekLoad, ...]:
    """
    Return the load of each trade and place that open tasks ask for, by week.

    Trades in alphabetical order, then places in order of entry. From the week of the first
    open work that asks for anybody or any place to that of the last; weeks in which a
    trade has neither work nor people are left out. A trade that nobody has is there with
    nothing available. The sum of a trade's `used` is its people times the work of its
    tasks; that of a place is their time from start to finish.

    Work that is not levelled is over if its people could not do it in any order on its
    date; where people have several trades, what few can do comes first. A place is counted
    instant by instant.

    Parameters
    ----------
    source
        The plan as it stands, or a levelled plan.
    """
    of = dated(source)
    works = [
        one for one in of.open_work() if (one.task.trade and one.task.people) or one.task.places
    ]
    if not works:
        return ()
    first = _monday(min(one.begin for one in works) // TICKS_PER_DAY)
    last = _monday(max(one.finish - 1 for one in works) // TICKS_PER_DAY)
    start = max(of.plan.project.start, of.plan.project.as_of).toordinal()
    weeks = _Weeks(first, (last - first) // 7 + 1, max(0, start - first))
    return (*_trade_loads(of, works, weeks), *_place_loads(of, works, weeks))


def _trade_loads(of: Dated, works: Sequence[OpenWork], weeks: _Weeks) -> Iterator[WeekLoad]:
    """Yield the loads of trades."""
    asked = _asked_by_date(of, works, weeks)
    groups = people_of(of.plan, asked.__contains__)
    there = _there_by_date(of, groups, weeks)
    over = _over_by_date(asked, groups, there)
    for trade in sorted(asked):
        available = np.zeros_like(asked[trade])
        for group, ticks in zip(groups, there, strict=True):
            if trade in group.trades:
                available += ticks
        columns = (weeks.by_week(one) for one in (asked[trade], available, over[trade]))
        for week, *figures in zip(weeks.mondays(), *columns, strict=True):
            if any(figures):
                yield WeekLoad(CrewLinkKind.TRADE, trade, week, *figures)


def _asked_by_date(of: Dated, works: Iterable[OpenWork], weeks: _Weeks) -> dict[str, Ints]:
    """Return the work asked of each trade on each date. [ticks]"""
    asked: dict[str, Ints] = {}
    for one in works:
        trade = one.task.trade
        if trade and one.task.people:
            start, ticks = of.worked_by_date(one.number)
            load = asked.setdefault(trade, np.zeros(weeks.days, dtype=np.int64))
            load[start - weeks.first :][: ticks.size] += one.task.people * ticks
    return asked


def _there_by_date(of: Dated, groups: Sequence[Group], weeks: _Weeks) -> list[Ints]:
    """Return for how long the people of each group are there on each date. [ticks]"""
    found = []
    for one in groups:
        ticks = one.people * of.there_by_date(one.calendar, weeks.first, weeks.days)
        ticks[: weeks.past] = 0
        found.append(ticks)
    return found


def _over_by_date(
    asked: Mapping[str, Ints], groups: Sequence[Group], there: Sequence[Ints]
) -> dict[str, Ints]:
    """Return the work of each trade that finds nobody on its date. [ticks]"""
    ties: nx.Graph[object] = nx.Graph()
    ties.add_nodes_from(asked)
    for number, group in enumerate(groups):
        ties.add_edges_from((number, trade) for trade in group.trades)
    over = {}
    for together in nx.connected_components(ties):
        members = sorted(number for number in together if isinstance(number, int))
        trades = [trade for trade in together if isinstance(trade, str)]
        trades.sort(key=lambda trade: (sum(trade in groups[n].trades for n in members), trade))
        if len(trades) == 1:
            over[trades[0]] = np.maximum(asked[trades[0]] - sum(there[n] for n in members), 0)
            continue
        can = {trade: [n for n in members if trade in groups[n].trades] for trade in trades}
        for trade in trades:
            over[trade] = np.zeros_like(asked[trade])
        for day in np.flatnonzero(sum(asked[trade] for trade in trades)).tolist():
            left = {trade: int(asked[trade][day]) for trade in trades}
            for trade, ticks in unmet(left, {n: int(there[n][day]) for n in members}, can).items():
                over[trade][day] = ticks
    return over


def _place_loads(of: Dated, works: Sequence[OpenWork], weeks: _Weeks) -> Iterator[WeekLoad]:
    """Yield the loads of places."""
    for place in of.plan.places:
        users = [one for one in works if place.id in one.task.places]
        if not users:
            continue
        begins, ends = (
            np.sort(np.array(side, dtype=np.int64))
            for side in ([one.begin for one in users], [one.finish for one in users])
        )
        mondays = TICKS_PER_DAY * (weeks.first + 7 * np.arange(weeks.count + 1, dtype=np.int64))
        at = np.unique(np.concatenate([mondays, begins, ends]))
        there = begins.searchsorted(at, "right") - ends.searchsorted(at, "right")
        length, week = np.diff(at), (at[:-1] - mondays[0]) // (7 * TICKS_PER_DAY)
        used, over = np.zeros((2, weeks.count), dtype=np.int64)
        np.add.at(used, week, there[:-1] * length)
        np.add.at(over, week, np.maximum(there[:-1] - place.capacity, 0) * length)
        room = np.full(weeks.days, place.capacity * TICKS_PER_DAY)
        room[: weeks.past] = 0
        columns = (used.tolist(), weeks.by_week(room), over.tolist())
        for monday, *figures in zip(weeks.mondays(), *columns, strict=True):
            yield WeekLoad(CrewLinkKind.PLACE, place.id, monday, *figures)


@dataclass(frozen=True, slots=True)
class Absence:
    """Dates, both included, on which nobody of a trade works while tasks wait for them."""

    trade: str
    first: date
    last: date


def long_absences(source: Source, days: int = LONG_ABSENCE) -> tuple[Absence, ...]:
    """
    Return when all people of a trade are away for long, by trade and date.

    From the first instant that can still be planned to the last work of the trade.

    Parameters
    ----------
    source
        The plan as it stands, or a levelled plan.
    days
        Dates in a row without anybody that count as long.
    """
    of = dated(source)
    last: dict[str, int] = {}
    for one in of.open_work():
        if one.task.trade and one.task.people:
            day = (one.finish - 1) // TICKS_PER_DAY
            last[one.task.trade] = max(last.get(one.task.trade, 0), day)
    start = max(of.plan.project.start, of.plan.project.as_of).toordinal()
    groups = people_of(of.plan, last.__contains__)
    found = []
    for trade, until in sorted(last.items()):
        used = {group.calendar for group in groups if trade in group.trades}
        if not used:
            continue
        there = np.sum([of.there_by_date(one, start, until + 1 - start) for one in used], axis=0)
        present = [-1, *np.flatnonzero(there).tolist(), until + 1 - start]
        for before, after in pairwise(present):
            if after - before > days:
                found.append(
                    Absence(
                        trade,
                        date.fromordinal(start + before + 1),
                        date.fromordinal(start + after - 1),
                    )
                )
    return tuple(found)


def _monday(ordinal: int) -> int:
    """Return the Monday of a date's week."""
    return ordinal - (ordinal - 1) % 7
