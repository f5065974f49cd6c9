"""Hold what-if cases beside the plan: dates as written, and how sure they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.money import Ledger, cost_totals
from ribstitch.planning.model import Plan, State
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.uncertainty import Moved, Simulation, Spread, compare_runs
from ribstitch.planning.whatif import Change, apply_changes
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.simulate_cases import (
    AppliedCase,
    CaseSimulations,
    ComesTo,
    SimulatedCase,
    SimulatedCases,
    named,
)
from ribstitch.services.views.crew_figures import all_loads
from ribstitch.services.views.crew_over import CrewOver, crew_over
from ribstitch.services.views.money_sums import ledger
from ribstitch.services.views.money_why import delay_month
from ribstitch.services.views.money_words import text
from ribstitch.services.views.uncertainty import DateChance, chance_curve, chance_of_target


@dataclass(frozen=True, slots=True)
class AskedCase:
    """A case to look at: changes in order, and what it is called."""

    name: str
    changes: Sequence[Change]


@dataclass(frozen=True, slots=True)
class PlanUncertainty:
    """How sure the finish of the plan is."""

    finish: Spread
    target: DateChance | None


@dataclass(frozen=True, slots=True)
class CaseUncertainty:
    """How sure the finish of a case is, and by how much it moves, run by run."""

    finish: Spread
    target: DateChance | None
    moved: Moved


@dataclass(frozen=True, slots=True)
class PlanCost:
    """What the plan comes to, as on the money page; a decimal string."""

    currency: str
    at_completion: str
    month_later: str | None
    """What a month more costs by itself; None: nothing."""


@dataclass(frozen=True, slots=True)
class CaseCost:
    """
    What a case comes to, and by how much that differs; decimal strings.

    Standing cost until its finish, what it buys, and labour are part of it.
    """

    currency: str
    at_completion: str
    moved: str
    """Negative: cheaper than the plan."""
    missing: list[str]
    """What is left out, such as money of which no exchange rate is given."""


@dataclass(frozen=True, slots=True)
class PlanSide:
    """The plan as it is."""

    finish: date
    cost: PlanCost
    critical_path: list[str]
    crew_over: list[CrewOver]
    """By trade, the most first; trades with hands for everything are left out."""
    uncertainty: PlanUncertainty


@dataclass(frozen=True, slots=True)
class MovedMilestone:
    """A milestone in the plan and in a case."""

    id: str
    name: str
    plan: date
    case: date
    moved_days: int


@dataclass(frozen=True, slots=True)
class Amount:
    """Money in one currency, as a decimal string."""

    amount: str
    currency: str


@dataclass(frozen=True, slots=True)
class CaseSide:
    """What a case does."""

    name: str
    finish: date
    moved_days: int
    """Calendar days later than the plan; negative: earlier."""
    cost: CaseCost
    critical_path: list[str]
    new_on_path: list[str]
    """Activities that set the finish in the case and not in the plan."""
    off_path: list[str]
    """Activities that set the finish in the plan and not in the case."""
    crew_over: list[CrewOver]
    """As of the plan."""
    milestones: list[MovedMilestone]
    bought: list[Amount]
    """What the case buys, such as expedites, currency by currency; nothing is converted."""
    uncertainty: CaseUncertainty


@dataclass(frozen=True, slots=True)
class Comparison:
    """The plan and the cases side by side."""

    plan_version: int
    """Of the plan that the cases were compared with."""
    runs: int
    """How many courses of the plan and of each case were drawn, on the same draws."""
    plan: PlanSide
    cases: list[CaseSide]


@dataclass(frozen=True, slots=True)
class ChanceCurve:
    """The chance that a plan or a case is finished, by date."""

    name: str
    points: list[tuple[date, float]]


def compare(
    current: CurrentPlan, cases: Sequence[AskedCase], simulations: CaseSimulations
) -> Comparison:
    """
    Compute cases and hold them beside the plan.

    Raises
    ------
    PlanError
        If a case asks for what cannot be; `where` names it, as in
        ``cases[1].changes[0].vendor``.
    """
    simulated = simulations.simulate(current, _apply(current, cases))
    target = current.plan.project.target_finish
    sides = [
        _side(_name(case, number), current, found, _sure(simulated, found.simulation, target))
        for number, (case, found) in enumerate(zip(cases, simulated.cases, strict=True))
    ]
    sure = PlanUncertainty(simulated.plan.finish_spread, chance_of_target(simulated.plan, target))
    book = ledger(current)
    delay = delay_month(current)
    cost = PlanCost(
        book.currency, text(book.total(), book.currency), None if delay is None else delay.amount
    )
    over = crew_over(current.schedule, all_loads(current))
    plan = PlanSide(current.finish_on, cost, _path(current.schedule), over, sure)
    return Comparison(current.plan_version, simulated.plan.runs, plan, sides)


def compare_chances(
    current: CurrentPlan, cases: Sequence[AskedCase], simulations: CaseSimulations
) -> list[ChanceCurve]:
    """
    Return the chance to be finished by date of the plan and of each case, the plan first.

    Raises
    ------
    PlanError
        As `compare`.
    """
    simulated = simulations.simulate(current, _apply(current, cases))
    curves = [ChanceCurve("The plan", chance_curve(simulated.plan))]
    curves += [
        ChanceCurve(_name(case, number), chance_curve(found.simulation))
        for number, (case, found) in enumerate(zip(cases, simulated.cases, strict=True))
    ]
    return curves


def _apply(current: CurrentPlan, cases: Sequence[AskedCase]) -> list[AppliedCase]:
    """Apply the changes of each case."""
    applied = []
    for number, case in enumerate(cases):
        with named(f"cases[{number}]"):
            applied.append(AppliedCase(case.changes, apply_changes(current.plan, case.changes)))
    return applied


def _side(
    name: str, current: CurrentPlan, found: SimulatedCase, uncertainty: CaseUncertainty
) -> CaseSide:
    """Hold one case beside the plan."""
    plan, case = current.schedule, found.planned
    case_path, known = _path(case), set(_path(plan))
    return CaseSide(
        name=name,
        finish=case.finish_on,
        moved_days=(case.finish_on - plan.finish_on).days,
        cost=_cost(ledger(current), found.comes_to),
        critical_path=case_path,
        new_on_path=[one for one in case_path if one not in known],
        off_path=[one for one in _path(plan) if one not in set(case_path)],
        crew_over=found.crew_over,
        milestones=_milestones(plan, case),
        bought=_bought(plan.prepared.plan, case.prepared.plan),
        uncertainty=uncertainty,
    )


def _sure(simulated: SimulatedCases, case: Simulation, target: date | None) -> CaseUncertainty:
    """Return how sure the finish of a case is, against the plan run by run."""
    return CaseUncertainty(
        case.finish_spread, chance_of_target(case, target), compare_runs(simulated.plan, case)
    )


def _name(case: AskedCase, number: int) -> str:
    """Return what a case is called."""
    return case.name or f"Case {number + 1}"


def _path(schedule: Schedule) -> list[str]:
    """Return the ids along the critical path."""
    return [schedule.activities[number].id for number in schedule.critical_path]


def _bought(plan: Plan, case: Plan) -> list[Amount]:
    """Return what the cost lines that a case adds come to."""
    known = {cost.id for cost in plan.costs}
    added = cost_totals(cost for cost in case.costs if cost.id not in known)
    return [Amount(str(amount), currency) for currency, amount in added.items()]


def _cost(plan: Ledger, case: ComesTo) -> CaseCost:
    """Return what a case comes to against the plan."""
    return CaseCost(
        currency=plan.currency,
        at_completion=text(case.units, plan.currency),
        moved=text(case.units - plan.total(), plan.currency),
        missing=list(case.missing),
    )


def _milestones(plan: Schedule, case: Schedule) -> list[MovedMilestone]:
    """Return the milestones that both have, with their dates."""
    dropped = {task.id for task in case.prepared.plan.tasks if task.status.state is State.DROPPED}
    found = []
    for task in plan.prepared.plan.tasks:
        if task.milestone is None or task.id in dropped:
            continue
        before = plan.finish_on_of(plan.number(task.id))
        after = case.finish_on_of(case.number(task.id))
        found.append(MovedMilestone(task.id, task.name, before, after, (after - before).days))
    return found
