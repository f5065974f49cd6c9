"""Tasks: in lists, and one alone with its neighbours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.planfile.convert import task_document
from ribstitch.planning.model import CrewLink, CrewLinkKind, LagOn, Link, Relation, State, Task
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import Caution, cautions_for
from ribstitch.services.holds import holding_of, told
from ribstitch.services.views.check_lines import (
    CheckLine,
    SignOffLine,
    check_line,
    sign_offs_of_task,
)
from ribstitch.services.views.crew_words import taken_from
from ribstitch.services.views.hours_worked import (
    HoursLine,
    HoursSum,
    Slot,
    hours_lines,
    hours_of_task,
    slots_of,
)
from ribstitch.services.views.lookups import (
    activity_name,
    float_days,
    is_critical,
    link_keys,
)
from ribstitch.services.views.sureness import criticality_of, spread_at
from ribstitch.services.views.task_card import TaskCard, card_at
from ribstitch.services.views.task_costs import TaskCosts, task_costs
from ribstitch.services.views.task_origin import TaskOrigin, task_origin


@dataclass(frozen=True, slots=True)
class TaskList:
    """A page of tasks, and how many there are in all."""

    total: int
    tasks: list[TaskCard]


@dataclass(frozen=True, slots=True)
class CrewTie:
    """The people or the place that one task leaves to another."""

    kind: CrewLinkKind
    names: tuple[str, ...]
    units: int
    sentence: str
    """Who waits for whom, as one says it in the shop."""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """What a task is linked to."""

    id: str
    name: str
    send_out: str | None
    """The item of which it is a leg; None: it is a task."""
    link: str | None
    """Key of the link in the change log; None where no link of the plan ties them."""
    link_version: int | None
    type: Relation
    lag_days: float
    lag_on: LagOn
    finish: date
    driving: bool
    crew: CrewTie | None
    """What it gives up to the other; None where the work itself ties them."""


@dataclass(frozen=True, slots=True)
class TaskDates:
    """What is computed of a task."""

    start: date
    finish: date
    late_start: date
    late_finish: date
    total_float_days: float
    free_float_days: float
    critical: bool


@dataclass(frozen=True, slots=True)
class NamedActivity:
    """An activity and what it is called."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class TaskView:
    """One task with its dates and neighbours."""

    task: dict[str, object]
    """As it stands in the plan file, defaults included."""
    version: int
    dates: TaskDates
    spread: Spread | None
    """When it may end; None while that is not known, and where it is not open."""
    criticality: float | None
    """Share of the simulated courses in which it is on a chain that sets the finish."""
    predecessors: list[Neighbour]
    successors: list[Neighbour]
    driven_by: list[NamedActivity]
    hazards: dict[str, Caution]
    check: CheckLine | None
    sign_offs: list[SignOffLine]
    """What was signed for its check, the latest first."""
    held_back_by: list[str]
    """Checks before it that keep it waiting, each in a sentence."""
    hours: HoursSum
    hours_lines: list[HoursLine]
    """What was entered for it, the latest first."""
    people: list[Slot]
    """Whose hours can be entered: the person-slots of its trade."""
    costs: TaskCosts
    origin: TaskOrigin | None
    """What it was drafted from; None: somebody entered it."""
    plan_version: int


def task_list(
    current: CurrentPlan,
    *,
    zone: str | None = None,
    state: State | None = None,
    trade: str | None = None,
    q: str = "",
    critical: bool | None = None,
    limit: int = 100,
    offset: int = 0,
) -> TaskList:
    """
    Return tasks in the plan's order.

    Parameters
    ----------
    current
        The plan.
    zone, state, trade, critical
        Only tasks with this value.
    q
        Only tasks whose id, name or reason contains these words, whatever their case.
    limit, offset
        At most so many, after so many others.
    """
    words = q.casefold().split()

    def wanted(number: int, task: Task) -> bool:
        text = f"{task.id} {task.name} {task.why}".casefold()
        return (
            (zone is None or task.zone == zone)
            and (state is None or task.status.state is state)
            and (trade is None or task.trade == trade)
            and (critical is None or is_critical(current, number) == critical)
            and all(word in text for word in words)
        )

    numbers = [number for number, task in enumerate(current.plan.tasks) if wanted(number, task)]
    page = numbers[offset : offset + limit]
    return TaskList(len(numbers), [card_at(current, number) for number in page])


def task_view(current: CurrentPlan, task_id: str, simulation: Simulation | None = None) -> TaskView:
    """
    Return one task with its dates and neighbours.

    Raises
    ------
    UnknownThingError
        If there is no such task.
    """
    task: Task = thing_of(current.plan, current.versions, "task", task_id)
    schedule = current.schedule
    number = schedule.number(task_id)
    links = list(enumerate(schedule.prepared.expansion.links))
    return TaskView(
        task=task_document(task).model_dump(mode="json", by_alias=True),
        version=current.versions["task"][task_id],
        dates=TaskDates(
            start=schedule.start_on(number),
            finish=schedule.finish_on_of(number),
            late_start=schedule.late_start_on(number),
            late_finish=schedule.late_finish_on(number),
            total_float_days=float_days(current, number),
            free_float_days=days_from_ticks(int(schedule.free_float[number])),
            critical=is_critical(current, number),
        ),
        spread=spread_at(current, simulation, number),
        criticality=criticality_of(current, simulation, [number]),
        predecessors=[
            _neighbour(current, place, link, link.before)
            for place, link in links
            if link.after == task_id
        ],
        successors=[
            _neighbour(current, place, link, link.after)
            for place, link in links
            if link.before == task_id
        ],
        driven_by=[
            NamedActivity(schedule.activities[one].id, activity_name(current, one))
            for one in schedule.drivers[number]
        ],
        hazards=cautions_for(task.hazards),
        check=check_line(current, task_id),
        sign_offs=sign_offs_of_task(current, task_id),
        held_back_by=[f"{told(one)}." for one in holding_of(current).before_task(task_id)],
        hours=hours_of_task(current, number),
        hours_lines=hours_lines(current, task_id),
        people=slots_of(current, task.trade),
        costs=task_costs(current, task_id),
        origin=task_origin(current, task),
        plan_version=current.plan_version,
    )


def _neighbour(current: CurrentPlan, place: int, link: Link, other: str) -> Neighbour:
    """Return the other end of a link."""
    number = current.schedule.number(other)
    keys = link_keys(current)
    key = keys[place] if place < len(keys) else None
    return Neighbour(
        id=other,
        name=activity_name(current, number),
        send_out=current.schedule.activities[number].send_out,
        link=key,
        link_version=None if key is None else current.versions["link"][key],
        type=link.relation,
        lag_days=days_from_ticks(link.lag),
        lag_on=link.lag_on,
        finish=current.schedule.finish_on_of(number),
        driving=bool(current.schedule.driving[place]),
        crew=_crew_tie(current, current.schedule.prepared.expansion.crew_link(place)),
    )


def _crew_tie(current: CurrentPlan, link: CrewLink | None) -> CrewTie | None:
    """Return what a crew link hands on."""
    if link is None:
        return None
    before, after = (
        activity_name(current, current.schedule.number(one)) for one in (link.before, link.after)
    )
    sentence = f"{after} waits for {taken_from(current.plan, link, before)}."
    return CrewTie(link.kind, link.names, link.units, sentence)
