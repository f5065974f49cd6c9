"""The daily sheet: what can be worked on, what is held, what comes, whom to chase."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from ribstitch.planning.activities import SHIP_LEG
from ribstitch.planning.model import SendOut, State, Task
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE, Caution, cautions_for
from ribstitch.services.views.chase import (
    ChasedItem,
    ChaseLine,
    chase_lines,
    chased_items,
    overdue_days,
)
from ribstitch.services.views.hours_worked import Slot, slots_of
from ribstitch.services.views.lookups import vendor_names
from ribstitch.services.views.stages import IN_SHOP, legs_of, stage_of
from ribstitch.services.views.task_card import TaskCard, card_at, urgency
from ribstitch.services.views.waiting import WaitsFor, can_begin, waits_for

SOON = timedelta(days=14)
"""How far the sheet looks ahead."""
RECENTLY = timedelta(days=7)
"""How far it looks back, so that a slip of the finger can be taken back."""


@dataclass(frozen=True, slots=True)
class WaitingTask:
    """A task that comes soon, and what it waits for."""

    task: TaskCard
    waits_for: list[WaitsFor]


@dataclass(frozen=True, slots=True)
class Movement:
    """An item that comes or goes soon."""

    send_out: str
    name: str
    vendor_name: str
    on: date
    overdue_days: int
    spread: Spread | None
    """When an item that comes may be at the door; None while that is not known."""


@dataclass(frozen=True, slots=True)
class Today:
    """The daily sheet."""

    plan_version: int
    as_of: date
    trades: list[str]
    ready: list[TaskCard]
    in_work: list[TaskCard]
    held: list[TaskCard]
    waiting_soon: list[WaitingTask]
    arriving: list[Movement]
    leaving: list[Movement]
    chase: list[ChaseLine]
    chased_items: list[ChasedItem]
    """What a call may be about, due or not."""
    done_recently: list[TaskCard]
    people: list[Slot]
    """Whose hours can be entered: the person-slots of the crew, by trade."""
    hazards: dict[str, Caution]
    standing_line: str


def today(
    current: CurrentPlan,
    trade: str | None = None,
    zone: str | None = None,
    simulation: Simulation | None = None,
) -> Today:
    """
    Return the sheet for the as-of date.

    What protects the finish stands first: the least float, then the earliest late start.

    Parameters
    ----------
    current
        The plan.
    trade, zone
        Only tasks of this trade, of this zone.
    simulation
        How sure the dates are; None while that is not known.
    """

    def numbers(wanted: Callable[[int, Task], bool]) -> list[int]:
        found = [
            number
            for number, task in enumerate(current.plan.tasks)
            if (trade is None or task.trade == trade)
            and (zone is None or task.zone == zone)
            and task.milestone is None
            and wanted(number, task)
        ]
        return sorted(found, key=lambda number: urgency(current, number))

    def in_state(state: State) -> list[TaskCard]:
        wanted = numbers(lambda _, task: _is(task, state))
        return [card_at(current, number, simulation) for number in wanted]

    soon = current.as_of + SOON
    ready = numbers(lambda number, task: _not_begun(task) and can_begin(current, number))
    waiting = numbers(
        lambda number, task: (
            _not_begun(task)
            and current.schedule.start_on(number) <= soon
            and not can_begin(current, number)
        )
    )
    sheet = [card_at(current, number) for number in ready]
    in_work, held = in_state(State.IN_WORK), in_state(State.HELD)
    return Today(
        plan_version=current.plan_version,
        as_of=current.as_of,
        trades=_trades(current),
        ready=sheet,
        in_work=in_work,
        held=held,
        waiting_soon=[
            WaitingTask(card_at(current, number), waits_for(current, number))
            for number in sorted(waiting, key=current.schedule.start_on)
        ],
        arriving=_arriving(current, soon, simulation),
        leaving=_leaving(current, soon),
        chase=chase_lines(current, simulation),
        chased_items=chased_items(current),
        done_recently=_done_recently(current, numbers),
        people=slots_of(current, None),
        hazards=cautions_for(tag for card in (*sheet, *in_work, *held) for tag in card.hazards),
        standing_line=STANDING_LINE,
    )


def _is(task: Task, state: State) -> bool:
    return task.status.state is state


def _not_begun(task: Task) -> bool:
    return task.status.state is State.NOT_STARTED


def _trades(current: CurrentPlan) -> list[str]:
    """Return the trades that have work left, those of the crew first."""
    left = {task.trade for task in current.plan.tasks if task.trade and task.status.state.is_open}
    known = dict.fromkeys(one.trade for one in current.plan.crew)
    return [trade for trade in known if trade in left] + sorted(left - known.keys())


def _done_recently(
    current: CurrentPlan, numbers: Callable[[Callable[[int, Task], bool]], list[int]]
) -> list[TaskCard]:
    """Return what was done in the last days, the latest first."""
    since = current.as_of - RECENTLY

    def recently(_: int, task: Task) -> bool:
        return task.status.finished is not None and task.status.finished >= since

    done = numbers(recently)
    done.sort(key=lambda number: current.schedule.finish[number], reverse=True)
    return [card_at(current, number) for number in done if _is_done(current, number)]


def _is_done(current: CurrentPlan, number: int) -> bool:
    return _is(current.plan.tasks[number], State.DONE)


def _arriving(current: CurrentPlan, soon: date, simulation: Simulation | None) -> list[Movement]:
    """Return the items on their way to the shop's door, or due there soon."""
    found = []
    for item in current.plan.send_outs:
        stage = stage_of(current, item)
        if not stage.is_away:
            continue
        legs = legs_of(current)[item.id]
        road = [one for one in legs if current.schedule.activities[one].leg != "accept"]
        on = current.schedule.finish_on_of(road[-1])
        if on <= soon:
            last = current.schedule.activities[road[-1]].id
            spread = None if simulation is None else simulation.spread_of(last)
            found.append(_movement(current, item, on, overdue_days(current, item), spread))
    return sorted(found, key=lambda one: (one.on, one.send_out))


def _leaving(current: CurrentPlan, soon: date) -> list[Movement]:
    """Return the items that should be on their way soon."""
    found = []
    for item in current.plan.send_outs:
        if stage_of(current, item).name != IN_SHOP:
            continue
        on = _ships_on(current, item)
        if on is None or on > soon:
            continue
        safe = current.send_out_graces[item.id].last_safe_ship
        late = 0 if safe is None else max((current.as_of - safe).days, 0)
        found.append(_movement(current, item, on, late, None))
    return sorted(found, key=lambda one: (one.on, one.send_out))


def _ships_on(current: CurrentPlan, item: SendOut) -> date | None:
    """Return the forecast date on which an item leaves the shop."""
    activities = current.schedule.activities
    for number in legs_of(current)[item.id]:
        if activities[number].leg == "prepare":
            return current.schedule.finish_on_of(number)
        if activities[number].leg == SHIP_LEG:
            return current.schedule.start_on(number)
    return None


def _movement(
    current: CurrentPlan, item: SendOut, on: date, late: int, spread: Spread | None
) -> Movement:
    vendor = vendor_names(current)[item.vendor]
    return Movement(item.id, item.name or item.id, vendor, on, late, spread)
