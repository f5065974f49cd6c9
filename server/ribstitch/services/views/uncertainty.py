"""How sure the dates and the cost are: what a simulation found, ready to be shown."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from ribstitch.money import CostRuns, budget_amount, cost_runs, joint_chance, missing_for_cost
from ribstitch.planning.model import Task
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty import Chance, Simulation, Spread
from ribstitch.planning.uncertainty.lead_times import LeadFigures
from ribstitch.planning.uncertainty.sources import estimate_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lead import leads
from ribstitch.services.views.lookups import vendor_names
from ribstitch.services.views.stages import legs_of
from ribstitch.services.views.sureness import criticality_of

_MOST_POINTS = 240
"""A curve needs no more points than a sheet has room for."""


@dataclass(frozen=True, slots=True)
class Errors:
    """Sampling errors of percentiles. [calendar days]"""

    p10: float
    p50: float
    p80: float
    p90: float


@dataclass(frozen=True, slots=True)
class DateChance:
    """The chance to keep a date."""

    date: dt.date
    probability: float
    standard_error: float


@dataclass(frozen=True, slots=True)
class AmountChance:
    """The chance to stay within an amount."""

    amount: str
    currency: str
    probability: float
    standard_error: float


@dataclass(frozen=True, slots=True)
class CostSpread:
    """Costs at completion that are not passed with a chance of 10, 50, 80, 90 in 100."""

    currency: str
    p10: str
    p50: str
    p80: str
    p90: str


@dataclass(frozen=True, slots=True)
class MilestoneChances:
    """A milestone that is still to come."""

    id: str
    name: str
    planned: dt.date
    p10: dt.date
    p50: dt.date
    p80: dt.date
    p90: dt.date
    criticality: float
    deadline: DateChance | None


@dataclass(frozen=True, slots=True)
class SendOutChances:
    """An open item: when it is accepted, and how long the vendor may take."""

    id: str
    name: str
    vendor: str
    vendor_name: str
    planned: dt.date
    p10: dt.date
    p50: dt.date
    p80: dt.date
    p90: dt.date
    criticality: float
    lead: LeadFigures | None
    """None once the vendor's work is over."""


@dataclass(frozen=True, slots=True)
class VendorShare:
    """How often a vendor's work is on a chain that sets the finish."""

    id: str
    name: str
    criticality: float


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """What the simulation of a plan found."""

    runs: int
    seed: int
    planned: dt.date
    """The finish if everything goes as written."""
    finish: Spread
    standard_error_days: Errors
    target: DateChance | None
    budget: AmountChance | None
    both: Chance | None
    """The chance to keep the wanted finish and the budget."""
    cost: CostSpread | None
    cost_reason: str | None
    """One sentence, where no cost can be given."""
    milestones: list[MilestoneChances]
    send_outs: list[SendOutChances]
    vendors: list[VendorShare]
    certain_tasks: int
    """Open tasks whose work is taken as written: nobody gave a range."""
    open_tasks: int
    """Open tasks with work to do."""


def uncertainty(current: CurrentPlan, simulation: Simulation) -> Uncertainty:
    """Return what the simulation of a plan found."""
    plan = current.plan
    target = plan.project.target_finish
    costs, budget = cost_runs(plan, simulation), budget_amount(plan)
    within = both = None
    if costs is not None and budget is not None:
        kept = costs.chance_within(budget)
        within = AmountChance(str(budget), costs.currency, kept.probability, kept.standard_error)
        both = joint_chance(simulation, costs, target, budget) if target is not None else None
    is_open = [_is_open_work(task) for task in plan.tasks]
    return Uncertainty(
        runs=simulation.runs,
        seed=simulation.seed,
        planned=current.finish_on,
        finish=simulation.finish_spread,
        standard_error_days=Errors(*map(simulation.standard_error_days, (10, 50, 80, 90))),
        target=chance_of_target(simulation, target),
        budget=within,
        both=both,
        cost=None if costs is None else _cost_spread(costs),
        cost_reason=missing_for_cost(plan),
        milestones=_milestones(current, simulation),
        send_outs=_send_outs(current, simulation),
        vendors=_vendors(current, simulation),
        certain_tasks=sum(map(_is_certain, plan.tasks, is_open)),
        open_tasks=sum(is_open),
    )


def chance_of_target(simulation: Simulation, target: dt.date | None) -> DateChance | None:
    """Return the chance of the wanted finish; None without one."""
    if target is None:
        return None
    chance = simulation.chance_by(target)
    return DateChance(target, chance.probability, chance.standard_error)


def chance_curve(simulation: Simulation) -> list[tuple[dt.date, float]]:
    """Return dates in order, each with the chance that the project is finished by then."""
    first = simulation.finish_at(0).toordinal()
    last_days = np.maximum((simulation.finish - 1) // TICKS_PER_DAY, first)
    days, counts = np.unique(last_days, return_counts=True)
    chances = np.cumsum(counts) / simulation.runs
    shown = np.unique(np.linspace(0, days.size - 1, min(days.size, _MOST_POINTS)).astype(int))
    return [
        (dt.date.fromordinal(day), chance)
        for day, chance in zip(days[shown].tolist(), chances[shown].tolist(), strict=True)
    ]


def _cost_spread(costs: CostRuns) -> CostSpread:
    """Return the cost at the usual levels."""
    p10, p50, p80, p90 = (str(costs.percentile(level)) for level in (10, 50, 80, 90))
    return CostSpread(costs.currency, p10, p50, p80, p90)


def _milestones(current: CurrentPlan, simulation: Simulation) -> list[MilestoneChances]:
    """Return the milestones that are still to come, by date."""
    found = []
    for number, task in enumerate(current.plan.tasks):
        if task.milestone is None or not task.status.state.is_open:
            continue
        spread = simulation.spread_of(task.id)
        found.append(
            MilestoneChances(
                id=task.id,
                name=task.name or task.id,
                planned=current.schedule.finish_on_of(number),
                p10=spread.p10,
                p50=spread.p50,
                p80=spread.p80,
                p90=spread.p90,
                criticality=float(simulation.criticality[number]),
                deadline=_deadline(task, simulation),
            )
        )
    return sorted(found, key=lambda one: one.planned)


def _deadline(task: Task, simulation: Simulation) -> DateChance | None:
    """Return the chance that a task keeps its deadline."""
    kept = simulation.met_deadlines.get(task.id)
    if task.deadline is None or kept is None:
        return None
    return DateChance(task.deadline, kept.probability, kept.standard_error)


def _send_outs(current: CurrentPlan, simulation: Simulation) -> list[SendOutChances]:
    """Return the open items, in the plan's order."""
    schedule, known = current.schedule, leads(current)
    found = []
    for item in current.plan.send_outs:
        legs = schedule.prepared.expansion.open_legs.get(item.id)
        if legs is None:
            continue
        spread = simulation.spread_of(legs.gate)
        found.append(
            SendOutChances(
                id=item.id,
                name=item.name or item.id,
                vendor=item.vendor,
                vendor_name=vendor_names(current)[item.vendor],
                planned=schedule.finish_on_of(schedule.number(legs.gate)),
                p10=spread.p10,
                p50=spread.p50,
                p80=spread.p80,
                p90=spread.p90,
                criticality=criticality_of(current, simulation, legs_of(current)[item.id]) or 0.0,
                lead=known.get(item.id),
            )
        )
    return found


def _vendors(current: CurrentPlan, simulation: Simulation) -> list[VendorShare]:
    """Return the vendors with work to do, the most often critical first."""
    shares = simulation.vendor_criticality
    found = [VendorShare(one, vendor_names(current)[one], shares[one]) for one in shares]
    return sorted(found, key=lambda one: -one.criticality)


def _is_open_work(task: Task) -> bool:
    """Return whether a task has work that is still to be done."""
    return task.duration > 0 and task.status.state.is_open


def _is_certain(task: Task, is_open: bool) -> bool:
    """Return whether open work is taken as written."""
    return is_open and estimate_of(task) is None
