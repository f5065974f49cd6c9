"""What the plan asks of each trade and place by week, and who keeps whom waiting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.crews import crew_of
from ribstitch.planning.levelling.bottleneck import path_shares
from ribstitch.planning.levelling.loads import WeekLoad, crew_loads
from ribstitch.planning.levelling.waits import crew_waits
from ribstitch.planning.model import CrewLinkKind
from ribstitch.planning.ticks import date_at, days_from_ticks
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.crew_words import spell, taken_from
from ribstitch.services.views.lookups import activity_name


@dataclass(frozen=True, slots=True)
class LoadWeek:
    """One week of a trade (in days of one person) or of a place (in dates)."""

    week: date
    """Its Monday."""
    used_days: float
    available_days: float
    over_days: float
    """What finds nobody, or no room, on its date."""


@dataclass(frozen=True, slots=True)
class Load:
    """What is asked of somebody or something in all."""

    weeks: list[LoadWeek]
    """By date, without those that have neither work nor people."""
    used_days: float
    available_days: float
    over_days: float
    busiest_week: date | None
    """In which most is asked of what there is; None where there is no work."""
    share_of_path: float
    """Share of the working days on the critical path, between 0 and 1."""


@dataclass(frozen=True, slots=True)
class TradeLoad(Load):
    """What is asked of the people of one trade."""

    trade: str
    people: int
    labels: list[str]


@dataclass(frozen=True, slots=True)
class PlaceLoad(Load):
    """What is asked of one place."""

    place: str
    name: str
    capacity: int


@dataclass(frozen=True, slots=True)
class WaitLine:
    """A task that could begin, but for people or room that another one has first."""

    key: str
    """Of the crew link; one that nobody wrote down (`planning.crew_order`) is not in the plan."""
    before: str
    """The task that goes first."""
    before_name: str
    after: str
    """The task that waits."""
    after_name: str
    kind: CrewLinkKind
    names: list[str]
    units: int
    since: date
    """It could begin on this date by everything else."""
    until: date
    """It begins on this date."""
    days: int
    """Elapsed days between the two."""
    on_path: bool
    """Whether this sets the project finish."""
    sentence: str


def trade_loads(current: CurrentPlan) -> list[TradeLoad]:
    """Return the trades that open work asks for, those of the crew first."""
    plan, found = current.plan, dict(_loads(current, CrewLinkKind.TRADE))
    order = {row.trade: place for place, row in reversed(list(enumerate(plan.crew)))}
    loads = []
    for trade in sorted(found, key=lambda one: (order.get(one, len(order)), one)):
        rows = crew_of(plan, [trade])
        loads.append(
            TradeLoad(
                *found[trade],
                trade=trade,
                people=sum(row.people for row in rows),
                labels=[row.label for row in rows if row.label],
            )
        )
    return loads


def place_loads(current: CurrentPlan) -> list[PlaceLoad]:
    """Return the places that open work takes, in the plan's order."""
    found = dict(_loads(current, CrewLinkKind.PLACE))
    return [
        PlaceLoad(*found[one.id], place=one.id, name=one.name or one.id, capacity=one.capacity)
        for one in current.plan.places
        if one.id in found
    ]


def wait_lines(current: CurrentPlan) -> list[WaitLine]:
    """Return who waits a day or more for people or room, the longest wait first."""
    return [
        WaitLine(
            key=_key(current, one.link.before, one.link.after),
            before=one.link.before,
            before_name=_name(current, one.link.before),
            after=one.link.after,
            after_name=_name(current, one.link.after),
            kind=one.link.kind,
            names=list(one.link.names),
            units=one.link.units,
            since=date_at(one.since),
            until=date_at(one.until),
            days=one.days,
            on_path=one.on_path,
            sentence=(
                f"{_name(current, one.link.after)} waits {spell(one.days)} for "
                f"{taken_from(current.plan, one.link, _name(current, one.link.before), only=True)}."
            ),
        )
        for one in crew_waits(current.schedule)
        if one.days
    ]


_Sums = tuple[list[LoadWeek], float, float, float, date | None, float]
"""The fields of a load, in their order."""


def _loads(current: CurrentPlan, kind: CrewLinkKind) -> Iterator[tuple[str, _Sums]]:
    """Yield the loads of all trades, or of all places, with their names."""
    shares = _shares(current)
    found: dict[str, list[WeekLoad]] = {}
    for one in all_loads(current):
        if one.kind is kind:
            found.setdefault(one.name, []).append(one)
    for name, weeks in found.items():
        used, available, over = (
            _days(sum(getattr(week, side) for week in weeks))
            for side in ("used", "available", "over")
        )
        lines = [
            LoadWeek(one.week, _days(one.used), _days(one.available), _days(one.over))
            for one in weeks
        ]
        yield name, (lines, used, available, over, _busiest(weeks), shares.get((kind, name), 0.0))


def all_loads(current: CurrentPlan) -> Sequence[WeekLoad]:
    """Return the loads of all trades and places by week."""
    return current.derived("crew_loads", lambda: crew_loads(current.schedule))


def _shares(current: CurrentPlan) -> Mapping[tuple[CrewLinkKind | None, str | None], float]:
    """Return whose share of the critical path is how large."""
    return {(one.kind, one.name): round(one.share, 4) for one in path_shares(current.schedule)}


def _busiest(weeks: Sequence[WeekLoad]) -> date | None:
    """Return the week in which most is asked of what there is; the first of equals."""
    busy = [one for one in weeks if one.used]
    worst = max(busy, key=lambda one: (one.over, one.used / max(one.available, 1)), default=None)
    return None if worst is None else worst.week


def _days(ticks: int) -> float:
    """Return days as they are shown: to a hundredth."""
    return round(days_from_ticks(ticks), 2)


def _name(current: CurrentPlan, task: str) -> str:
    """Return what a task is called."""
    return activity_name(current, current.schedule.number(task))


def _key(current: CurrentPlan, before: str, after: str) -> str:
    """Return the key of a crew link, under which the plan may have it the other way round."""
    key, turned = f"{before} > {after}", f"{after} > {before}"
    return turned if turned in current.versions["crew_link"] else key
