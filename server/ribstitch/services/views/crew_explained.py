"""The finish with this crew, and with hands for everything, in a few sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ribstitch.charts.paper import plural
from ribstitch.planning.levelling.loads import long_absences
from ribstitch.planning.model import CrewLinkKind, Task
from ribstitch.planning.trades import trade_work
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.crew_figures import PlaceLoad, TradeLoad, WaitLine
from ribstitch.services.views.crew_words import hands_of, in_a_row, spell

_WAITS_TOLD = 2
_SHORTAGES_TOLD = 3


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """Who or what holds the finish up most."""

    kind: CrewLinkKind
    name: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Figures:
    """What there is to explain."""

    finish: date
    finish_without_limits: date
    path_days: float
    trades: list[TradeLoad]
    places: list[PlaceLoad]
    waits: list[WaitLine]

    @property
    def lost_days(self) -> int:
        """What waiting for people and places costs. [elapsed days]"""
        return (self.finish - self.finish_without_limits).days


def bottleneck_of(current: CurrentPlan, figures: Figures) -> Bottleneck | None:
    """
    Return who or what holds the finish up most: what is waited for on the critical path.

    Of those it is the one with the largest share of the path; None where the finish would
    be the same with hands and room for everything.
    """
    if figures.lost_days <= 0:
        return None
    waited = {(one.kind, name) for one in figures.waits if one.on_path for name in one.names}
    trades = [one for one in figures.trades if (CrewLinkKind.TRADE, one.trade) in waited]
    places = [one for one in figures.places if (CrewLinkKind.PLACE, one.place) in waited]
    candidates: list[TradeLoad | PlaceLoad] = [*trades, *places]
    worst = max(candidates, key=lambda one: one.share_of_path, default=None)
    if worst is None:
        return None
    days, path = round(worst.share_of_path * figures.path_days), round(figures.path_days)
    all_days = plural(path, "working day")
    of = f"{days} of the {all_days} that {'sets' if path == 1 else 'set'} the finish"
    if days == path > 1:
        of = f"all {all_days} that set the finish"
    if isinstance(worst, PlaceLoad):
        sentence = f"The {worst.name} is the bottleneck: {of} are spent in it."
        return Bottleneck(CrewLinkKind.PLACE, worst.place, sentence)
    hands, work = hands_of(current.plan, [worst.trade]), trade_work(worst.trade)
    sentence = f"The {hands.many} are the bottleneck: {of} are {work}."
    if hands.people == 1:
        who = hands.one if hands.is_name else f"The only {hands.one}"
        sentence = f"{who} is the bottleneck: {of} are {work}."
    return Bottleneck(CrewLinkKind.TRADE, worst.trade, sentence)


def explained(
    current: CurrentPlan, figures: Figures, bottleneck: Bottleneck | None
) -> Iterator[str]:
    """Yield the sentences, the finish first."""
    yield _finish(current, figures.finish)
    if not figures.trades and not figures.places:
        yield "No open work asks for people or a place."
        return
    yield _with_hands_for_everything(current, figures)
    if bottleneck is not None:
        yield bottleneck.sentence
    yield from _longest_waits(figures.waits)
    yield from _shortages(figures)
    yield from _missing(current, figures.trades)


def _finish(current: CurrentPlan, finish: date) -> str:
    """Say when the project is finished as the plan stands."""
    real = [one for one in current.schedule.activities if not one.dropped]
    if not real:
        return "Nothing is planned yet."
    if all(one.is_done for one in real):
        return f"All work is done. It was finished on {finish}."
    return f"As the plan stands, the work is finished on {finish}."


def _with_hands_for_everything(current: CurrentPlan, figures: Figures) -> str:
    """Say what the limits of the crew cost."""
    if not current.plan.crew_links:
        return (
            "The crew has no order of work yet: this date takes it that there are hands and "
            "room for everything."
        )
    if figures.lost_days <= 0:
        return (
            "With hands and room for everything it would be the same date: "
            "the crew does not hold the finish up."
        )
    return (
        f"With hands and room for everything it would be {figures.finish_without_limits}: "
        f"waiting for people and places costs {spell(figures.lost_days)}."
    )


def _longest_waits(waits: list[WaitLine]) -> Iterator[str]:
    """Name the longest wait for each of those who are waited for longest."""
    told: dict[tuple[CrewLinkKind, tuple[str, ...]], WaitLine] = {}
    for one in waits:
        told.setdefault((one.kind, tuple(one.names)), one)
    some = list(told.values())[:_WAITS_TOLD]
    yield from (one.sentence for one in some)
    rest = len({one.after for one in waits} - {one.after for one in some})
    if rest:
        yield f"{plural(rest, 'more task')} {'waits' if rest == 1 else 'wait'} as well."


def _shortages(figures: Figures) -> Iterator[str]:
    """Name who and what is asked for more than there is, and when it is worst."""
    short: list[TradeLoad | PlaceLoad] = [*figures.trades, *figures.places]
    short = [one for one in short if one.over_days and one.available_days]
    short.sort(key=lambda one: -one.over_days)
    for one in short[:_SHORTAGES_TOLD]:
        weeks = [week for week in one.weeks if week.over_days]
        worst = max(weeks, key=lambda week: week.over_days)
        days, is_one = plural(worst.over_days, "day"), worst.over_days == 1
        if isinstance(one, PlaceLoad):
            what = f"{days} of work {'finds' if is_one else 'find'} no room in the {one.name}"
        else:
            work = trade_work(one.trade)
            what = f"{days} of {work} {'finds' if is_one else 'find'} nobody free"
        if len(weeks) > 1:
            what = f"{what}, and the same goes for {plural(len(weeks) - 1, 'other week')}"
        yield f"In the week from {worst.week}, {what}."
    rest = len(short) - _SHORTAGES_TOLD
    if rest == 1:
        yield "1 more trade or place is asked for too much as well."
    elif rest > 1:
        yield f"{rest} more trades or places are asked for too much as well."


def _missing(current: CurrentPlan, trades: list[TradeLoad]) -> Iterator[str]:
    """Name what nobody can do, or nobody for a long time."""
    nobody = [one.trade for one in trades if not one.people]
    if nobody:
        yield f"Nobody in the crew does {in_a_row([trade_work(one) for one in nobody], 'or')}."
    for away in long_absences(current.schedule):
        yield (
            f"From {away.first} to {away.last} nobody is there for {trade_work(away.trade)}, "
            "and work waits for them."
        )
    there = {one.trade: one.people for one in trades}
    large = [
        task
        for task in current.plan.tasks
        if task.status.state.is_open and 0 < there.get(task.trade or "", 0) < task.people
    ]
    if large:
        yield _asks_for_many(large[0], there[large[0].trade or ""], len(large) - 1)


def _asks_for_many(task: Task, there: int, others: int) -> str:
    """Say that a task asks for more people at once than there are, and how many more do."""
    told = (
        f"{task.name or task.id} asks for {task.people} people for "
        f"{trade_work(task.trade or '')} at once, and there {'is' if there == 1 else 'are'} {there}"
    )
    if not others:
        return f"{told}."
    more = plural(others, "more task")
    return f"{told}; {more} {'asks' if others == 1 else 'ask'} for too many as well."
