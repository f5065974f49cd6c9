"""What is uncertain about a plan: from its words to draws.

Work in hand comes from three-point estimates and the shared pace of zones and trades;
zones not yet opened hide work; risks strike; send-outs are drawn leg by leg.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from ribstitch.planning.activities import VENDOR_LEG, Activity, floor_of
from ribstitch.planning.model import ELAPSED, Plan, SendOut, Source, State, Task, WorkShape
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.uncertainty.courses import (
    CourseModel,
    Draw,
    Factor,
    RiskDraw,
    SecondTrip,
    Step,
)
from ribstitch.planning.uncertainty.hidden_work import hidden_zones
from ribstitch.planning.uncertainty.layout import lay_out
from ribstitch.planning.uncertainty.lead_times import LeadTime, Stay, lead_times
from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma
from ribstitch.planning.uncertainty.pace import Pace, pace_of
from ribstitch.planning.uncertainty.shapes import (
    LEVELS_OF_POINTS,
    POINTS,
    Floats,
    lognormal_table,
    pert_table,
    triangular_table,
    widened,
)
from ribstitch.planning.uncertainty.vendor_record import VendorRecord, activity_of, work_between

LEG_P90: Mapping[str, float] = {
    "prepare": 1.5,
    "ship_out": 1.5,
    "customs_out": 2.0,
    "approval": 2.0,
    "ship_back": 1.5,
    "customs_back": 2.0,
    "accept": 1.5,
    "return": 1.5,
}
"""How long nine of ten legs take at most, over what is planned, which is their median:
common practice, no source. What the vendor does is drawn from the vendor's record."""

UNRANGED = (0.67, 1.7)
"""Low and high over the days of people's work that has no range: common practice, no
source."""

MOST_SCATTER = 3.0
"""How much wider than their ranges works are drawn at most, however wide finished ones
scatter: beyond that their dates are not what they seem."""

Estimate = tuple[float, float, float]
"""Low, likely, high. [ticks]"""

SECOND_TRIP_SHARE = 0.5
"""What the vendor's work takes when an item comes back, as a share of the first time:
common practice, no source."""

_STAYS_KEPT = 1_024
"""So many tables of vendors' time are at hand, 8 kB each."""

_BACK_LEGS = ("ship_out", "customs_out", "lead", "ship_back", "customs_back", "accept")


def model_of(planned: Schedule) -> CourseModel:
    """Make a scheduled plan ready for the runs."""
    return _Sources(planned).model()


def factor_name(kind: str, name: str) -> str:
    """Return the name of a shared factor: kind "zone", "trade" or "hidden"."""
    return f"{kind}/{name}"


@dataclass(frozen=True)
class _Sources:
    """What is drawn for the steps of one schedule."""

    planned: Schedule

    @property
    def plan(self) -> Plan:
        """The plan that is simulated."""
        return self.planned.prepared.plan

    @cached_property
    def bare(self) -> CourseModel:
        """The model with nothing drawn."""
        return lay_out(self.planned)

    def model(self) -> CourseModel:
        """Return the model with all that is drawn."""
        steps = list(self.bare.steps)
        for number, draw in self._task_draws().items():
            steps[number] = replace(steps[number], draw=draw)
        for number, step in enumerate(steps):
            one = self.planned.activities[step.activity]
            if one.send_out is not None and not one.dropped:
                steps[number] = self._leg(step, one)
        for number, risks in self._risks().items():
            steps[number] = replace(steps[number], risks=risks)
        return replace(self.bare, steps=tuple(steps), factors=self._factors())

    @cached_property
    def step_of(self) -> Mapping[str, int]:
        """The step of each unfinished activity."""
        return {
            self.planned.activities[step.activity].id: number
            for number, step in enumerate(self.bare.steps)
        }

    @cached_property
    def pace(self) -> Pace:
        """What finished work tells of zones and trades."""
        return pace_of(self.plan, self.planned.prepared)

    @cached_property
    def leads(self) -> Mapping[str, LeadTime]:
        """The lead times of the open send-outs."""
        return lead_times(self.plan, self.planned.prepared)

    @cached_property
    def record(self) -> VendorRecord:
        """What is known of the vendors."""
        return VendorRecord.of(self.planned.prepared)

    @cached_property
    def items(self) -> Mapping[str, SendOut]:
        """The send-outs by id."""
        return {item.id: item for item in self.plan.send_outs}

    def _in_grains(self, ticks: Floats) -> Floats:
        """Turn ticks into grains."""
        result: Floats = ticks / self.bare.grain
        return result

    # --- Work in hand ------------------------------------------------------------------

    def _task_draws(self) -> dict[int, Draw]:
        """Return the draws of tasks: those that vary, and those with hidden work."""
        hidden = hidden_zones(self.plan, self.planned.prepared)
        draws = {}
        for task in self.plan.tasks:
            if not _is_to_be_drawn(task, self.step_of):
                continue
            zone, number = None, self.step_of[task.id]
            if task.status.started is None:
                zone = hidden.get(task.id)
            factors = () if zone is None else (factor_name("hidden", zone),)
            estimate = estimate_of(task)
            if estimate is not None:
                factors = (*self._pace_factors(task), *factors)
                draws[number] = Draw(f"task/{task.id}", self._table(task, estimate), factors)
            elif factors:
                same = np.full(POINTS, float(self.bare.steps[number].work))
                draws[number] = Draw(f"task/{task.id}", same, factors)
        return draws

    def _table(self, task: Task, estimate: Estimate) -> Floats:
        """Return the table of a task's work, shape (POINTS,). [grains]"""
        low, likely, high = estimate
        share = _remaining_share(task, likely) / self.bare.grain
        is_pert = self.plan.project.work_shape is WorkShape.PERT
        shape = pert_table if is_pert else triangular_table
        table = shape(low * share, likely * share, high * share)
        if self.pace.scatter > 1:
            table = widened(table, min(self.pace.scatter, MOST_SCATTER))
        return table + self.planned.prepared.delays.get(task.id, 0) / self.bare.grain

    def _pace_factors(self, task: Task) -> tuple[str, ...]:
        """Return the shared factors of a task's work."""
        project = self.plan.project
        found = []
        if task.zone is not None and project.zone_spread > 0:
            found.append(factor_name("zone", task.zone))
        if task.trade is not None and project.trade_spread > 0:
            found.append(factor_name("trade", task.trade))
        return tuple(found)

    def _factors(self) -> dict[str, Factor]:
        """Return all shared factors by name."""
        factors = {
            factor_name("hidden", zone.id): Factor(0.0, {}, zone.hidden_work_percent / 100)
            for zone in self.plan.zones
            if zone.hidden_work_percent > 0
        }
        normals = [f"pace/{kind}/{name}" for kind, name in self.pace.factors]
        for row, (kind, name) in enumerate(self.pace.factors):
            loadings = {
                normals[column]: float(loading)
                for column, loading in enumerate(self.pace.root[row])
                if loading != 0
            }
            factors[factor_name(kind, name)] = Factor(float(self.pace.mean[row]), loadings)
        return factors

    # --- Risks -------------------------------------------------------------------------

    def _risks(self) -> dict[int, tuple[RiskDraw, ...]]:
        """Return the risks that can still strike, by the step they make longer."""
        found: dict[int, tuple[RiskDraw, ...]] = {}
        for risk in self.plan.risks:
            name = risk.task if risk.send_out is None else f"{risk.send_out}/{VENDOR_LEG}"
            number = self.step_of.get(name) if name is not None else None
            if number is None or risk.closed or risk.probability == 0:
                continue
            if self.planned.activities[self.bare.steps[number].activity].dropped:
                continue
            table = pert_table(*(risk.impact_range or (risk.impact,) * 3))
            draw = RiskDraw(f"risk/{risk.id}", risk.probability, self._in_grains(table))
            found[number] = (*found.get(number, ()), draw)
        return found

    # --- Send-outs ---------------------------------------------------------------------

    def _leg(self, step: Step, leg: Activity) -> Step:
        """Return the step of a send-out's leg with what is drawn for it."""
        item = self.items[leg.send_out or ""]
        lead = self.leads.get(item.id)
        later = float(self.planned.prepared.delays.get(leg.id, 0))
        stay: Stay | None = None
        if lead is not None:
            stay = lead if lead.leg == leg.id else lead.intake if leg.leg == "intake" else None
        if lead is not None and stay is not None:
            known = stay.posterior, stay.reference_ticks, stay.elapsed_ticks, stay.least_ticks
            table = self._in_grains(_stay_table(*known) + later)
            draw = Draw(
                leg.id,
                table,
                group=f"vendor/{item.vendor}",
                share=lead.shared_share,
                floor=(self._begin_of(leg) - self.bare.origin) // self.bare.grain,
            )
            step = replace(step, draw=draw)
        elif leg.leg in LEG_P90:
            draw = Draw(leg.id, self._in_grains(self._road(leg) + later))
            step = replace(step, draw=draw)
        legs = self.planned.prepared.expansion.open_legs.get(item.id)
        if legs is not None and legs.gate == leg.id:
            step = replace(step, second_trip=self._second_trip(item, leg))
        return step

    def _begin_of(self, leg: Activity) -> int:
        """Return from when on a leg's remaining work counts at the earliest. [ticks]"""
        return max(floor_of(self.plan), leg.started or 0)

    def _road(self, leg: Activity) -> Floats:
        """Return what remains of a leg that is not in the vendor's hands. [ticks]"""
        gone = 0
        if leg.counts_from_start and leg.started is not None:
            gone = work_between(self.planned.prepared, leg, leg.started, self._begin_of(leg))
        whole = float(leg.work)
        return lognormal_table(whole, whole * LEG_P90[leg.leg or ""], above=float(gone)) - gone

    def _second_trip(self, item: SendOut, gate: Activity) -> SecondTrip | None:
        """Return the further trip of an item that may be turned down."""
        if item.trip_of is not None or item.source is Source.IN_HAND:
            return None
        chance = self.record.rejected(item.vendor, item.kind)
        if chance == 0:
            return None
        number = {calendar.id: place for place, calendar in enumerate(self.bare.calendars)}
        vendor = number[self.plan.calendar_of_vendor(item.vendor)]
        shop = number[activity_of(self.planned.prepared, gate.id).calendar]
        over = self.record.over_quote(item.vendor, item.kind).posterior
        legs = []
        for leg in _BACK_LEGS:
            planned = float(getattr(item, leg))
            if planned == 0:
                continue
            if leg == "lead":
                table = SECOND_TRIP_SHARE * _stay_table(over, item.lead, 0, 0)
            else:
                table = lognormal_table(planned, planned * LEG_P90[leg])
            calendar = vendor if leg == "lead" else shop if leg == "accept" else number[ELAPSED.id]
            legs.append((calendar, self._in_grains(table)))
        return SecondTrip(f"{item.id}/again", chance, tuple(legs))


@lru_cache(maxsize=_STAYS_KEPT)
def _stay_table(posterior: NormalInverseGamma, reference: int, elapsed: int, least: int) -> Floats:
    """
    Return what remains of a `Stay`, shape (POINTS,). [ticks]

    The cases of a plan, and the plan after an edit, ask mostly for the same ones again.
    """
    table = Stay(posterior, reference, elapsed, least).remaining_quantiles(LEVELS_OF_POINTS)
    table.flags.writeable = False
    return table


def estimate_of(task: Task) -> Estimate | None:
    """
    Return low, likely and high work of a task; None if it takes exactly what is written.

    People's work without a range is given `UNRANGED`: nobody works to the minute. Waiting
    and whatever else has no trade is certain unless a range says otherwise. [ticks]
    """
    given = task.duration_range
    if given is not None:
        return given if given[0] < given[2] else None
    if task.trade is None or task.duration == 0:
        return None
    low, high = UNRANGED
    return low * task.duration, task.duration, high * task.duration


def _is_to_be_drawn(task: Task, open_steps: Mapping[str, int]) -> bool:
    """Return whether a task's work is still to be done."""
    has_work = task.duration > 0 and task.status.remaining != 0
    return task.id in open_steps and task.status.state is not State.DROPPED and has_work


def _remaining_share(task: Task, likely: float) -> float:
    """
    Return what is left of a task's work, as a share of its likely duration.

    The lead's own word for what remains is taken for the likely one.
    """
    remaining = task.status.remaining
    return 1.0 if remaining is None else remaining / (likely or task.duration)
