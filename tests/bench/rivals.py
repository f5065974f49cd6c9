"""What a forecast is held against: three ways that are taught and widely used.

All look at the same plan as known on the same morning, and answer in calendar days.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor, sqrt

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.activities import VENDOR_LEG
from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.model import Plan, SendOut, State, Task
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of
from tests.bench.scoring import Normal, Point

Floats = NDArray[np.float64]

MOST = 3.0
"""Earned schedule is not believed beyond so many times the planned duration."""
_UNKNOWN_KIND = (1.2, 1.8)
"""Middle and bad case of actual over quoted where the shop knows nothing of a kind."""


def critical_path(plan: Plan) -> Point:
    """Take the schedule at its word."""
    return Point(schedule(plan).project_finish / TICKS_PER_DAY)


def pert(plan: Plan) -> Normal:
    """
    Add up mean and variance along the critical path, as if tasks were independent.

    Means (a + 4m + b) / 6 and variances ((b - a) / 6)^2 of tasks with a range (Malcolm,
    Roseboom, Clark and Fazar, 1959); send-outs as quoted. Calendars are kept: the mean is
    a schedule of mean durations, and a working day counts as many calendar days as its
    calendar has on average.
    """
    return _normal(*_with_means(plan))


def pert_with_allowances(plan: Plan) -> Normal:
    """
    Do the same with all that a careful estimator could put into the three points.

    Zones not yet open grow by their allowance; open risks add probability times impact
    and their variance; a vendor's work lies between nine tenths of the quote and the bad
    case of its kind, its middle case being the likely one.
    """
    means, variances = _with_means(_with_allowances(plan))
    means, more = _with_vendor_points(means)
    return _normal(means, {**variances, **more, **_risk_variances(plan, variances)})


def _normal(means: Plan, variances: dict[str, float]) -> Normal:
    """Schedule the means, and add up variances along the critical path."""
    planned = schedule(means)
    stretch = {one.id: _calendar_days(planned, one.id) for one in calendars_of(means)}
    total = 0.0
    for number in planned.critical_path:
        one = planned.activities[number]
        total += variances.get(one.id, 0.0) * stretch[one.calendar] ** 2
    return Normal(planned.project_finish / TICKS_PER_DAY, sqrt(total))


def _calendar_days(planned: Schedule, calendar: str) -> float:
    """Return how many calendar days a working day of a calendar takes on average."""
    plan = planned.prepared.plan
    one = next(each for each in calendars_of(plan) if each.id == calendar)
    worked = ticks_per_date(one, plan.project.as_of.toordinal(), 4 * 365 + 1)
    return TICKS_PER_DAY / float(worked.mean())


def _with_means(plan: Plan) -> tuple[Plan, dict[str, float]]:
    """Put mean durations into a plan; return it and the variances by task. [days^2]"""
    tasks, variances = [], {}
    for task in plan.tasks:
        if task.duration_range is None or task.status.state is State.DONE:
            tasks.append(task)
            continue
        low, likely, high = task.duration_range
        mean, spread = (low + 4 * likely + high) / 6, (high - low) / 6
        left = 1.0
        if task.status.remaining is not None:
            left = min(task.status.remaining / likely, 1.0)
        tasks.append(_scaled(task, mean / likely))
        variances[task.id] = (left * spread / TICKS_PER_DAY) ** 2
    return replace(plan, tasks=tuple(tasks)), variances


def _scaled(task: Task, ratio: float) -> Task:
    """Multiply the work of a task, and what remains of it."""
    status = task.status
    if status.remaining is not None:
        status = replace(status, remaining=round(status.remaining * ratio))
    return replace(task, duration=round(task.duration * ratio), status=status)


def _with_allowances(plan: Plan) -> Plan:
    """Let the work of zones not yet open grow by their allowance, and risks add their mean."""
    done = {task.id for task in plan.tasks if task.status.state is State.DONE}
    growth = {
        zone.id: 1 + zone.hidden_work_percent / 100
        for zone in plan.zones
        if zone.opened_by not in done
    }
    openers = {zone.opened_by for zone in plan.zones}
    tasks = {}
    for task in plan.tasks:
        ratio = growth.get(task.zone or "", 1.0)
        if ratio > 1 and task.id not in openers and task.status.state is State.NOT_STARTED:
            low, likely, high = task.duration_range or (task.duration,) * 3
            grown = (round(low * ratio), round(likely * ratio), round(high * ratio))
            task = replace(_scaled(task, ratio), duration_range=grown)  # noqa: PLW2901
        tasks[task.id] = task
    for risk in plan.risks:
        if risk.closed or risk.task is None or risk.task in done:
            continue
        task, extra = tasks[risk.task], round(risk.probability * risk.impact)
        status = task.status
        if status.remaining is not None:
            status = replace(status, remaining=status.remaining + extra)
        low, likely, high = task.duration_range or (task.duration,) * 3
        tasks[risk.task] = replace(
            task,
            duration=task.duration + extra,
            duration_range=(low + extra, likely + extra, high + extra),
            status=status,
        )
    return replace(plan, tasks=tuple(tasks.values()))


def _risk_variances(plan: Plan, variances: dict[str, float]) -> dict[str, float]:
    """Return the variance of tasks with an open risk: p (1 - p) impact^2 more. [days^2]"""
    return {
        risk.task: variances.get(risk.task, 0.0)
        + risk.probability * (1 - risk.probability) * (risk.impact / TICKS_PER_DAY) ** 2
        for risk in plan.risks
        if risk.task is not None and not risk.closed
    }


def _with_vendor_points(plan: Plan) -> tuple[Plan, dict[str, float]]:
    """Give the vendors' open work a three-point mean and variance; promises are believed."""
    kinds = {kind.id: (kind.over_median, kind.over_p90) for kind in plan.kinds}
    risks = {
        risk.send_out: risk.probability * risk.impact
        for risk in plan.risks
        if risk.send_out is not None and not risk.closed
    }
    items: list[SendOut] = []
    variances = {}
    for item in plan.send_outs:
        middle, bad = kinds.get(item.kind, _UNKNOWN_KIND)
        if item.status.left_vendor is None and item.status.promised is None:
            lead = item.lead * (0.9 + 4 * middle + bad) / 6 + risks.get(item.id, 0.0)
            spread = item.lead * (bad - 0.9) / 6 / TICKS_PER_DAY
            variances[f"{item.id}/{VENDOR_LEG}"] = spread**2
            items.append(replace(item, lead=round(lead)))
        else:
            items.append(item)
    return replace(plan, send_outs=tuple(items)), variances


def earned_schedule(planned_value: Floats, earned_value: float) -> float:
    """
    Return the earned schedule ES: when that much was planned to be earned. [periods]

    `planned_value` is cumulative, at the end of periods 0 (nothing), 1, 2, ... ES = C +
    (EV - PV_C) / (PV_C+1 - PV_C), C being the number of whole periods with PV <= EV; flat
    stretches are stepped past, and at the whole value it is the first period that has it
    (W. Lipke, "Schedule is Different", 2003).
    """
    if earned_value >= planned_value[-1]:
        return float(np.argmax(planned_value >= planned_value[-1]))
    whole = int(np.searchsorted(planned_value, earned_value, side="right")) - 1
    low, high = planned_value[whole], planned_value[whole + 1]
    return whole + float((earned_value - low) / (high - low))


@dataclass(frozen=True)
class EarnedSchedule:
    """
    Extrapolation of the pace at which planned work has been earned.

    Attributes
    ----------
    weight
        Planned work by task, person-days as planned on the first day.
    planned_value
        Cumulative, at the end of each working day of the shop. [person-days]
    planned_days
        Planned duration. [working days of the shop]
    to_date
        Turns working days from the start into an instant. [days since year 1]
    from_instant
        The other way round, from ticks.
    plan_date
        The finish as first planned.
    """

    weight: dict[str, float]
    planned_value: Floats
    planned_days: float
    to_date: Callable[[float], float]
    from_instant: Callable[[int], float]
    plan_date: float

    @staticmethod
    def of(plan: Plan) -> EarnedSchedule:
        """Take the plan of the first day as the baseline."""
        planned = schedule(plan)
        shop = next(one for one in plan.calendars if one.id == plan.project.calendar)
        first = plan.project.start.toordinal()
        worked = ticks_per_date(shop, first, 60 * 366) / TICKS_PER_DAY
        before = np.concatenate([[0.0], np.cumsum(worked)])

        def from_instant(instant: int) -> float:
            day = instant / TICKS_PER_DAY - first
            return float(np.interp(day, np.arange(before.size), before))

        def to_date(days: float) -> float:
            whole = int(np.searchsorted(before, days, side="left")) - 1
            part = (days - before[whole]) / (before[whole + 1] - before[whole])
            return float(first + whole + part)

        weight, spans = {}, []
        for number, one in enumerate(planned.activities):
            if one.task is not None and one.work > 0:
                weight[one.id] = one.work / TICKS_PER_DAY
                spans.append(
                    (
                        from_instant(int(planned.start[number])),
                        from_instant(int(planned.finish[number])),
                    )
                )
        length = from_instant(planned.project_finish)
        days = np.arange(floor(length) + 2, dtype=np.float64)
        begin, end = np.array(spans).T
        begin = np.minimum(begin, end - 1e-9)
        done = np.clip((days[:, None] - begin) / (end - begin), 0, 1)
        value = done @ np.array(list(weight.values()))
        return EarnedSchedule(
            weight, value, length, to_date, from_instant, planned.project_finish / TICKS_PER_DAY
        )

    def forecast(self, plan: Plan) -> Point:
        """
        Return start + IEAC(t), with IEAC(t) = PD / SPI(t) and SPI(t) = ES / AT.

        Before anything is earned, the date as first planned.
        """
        earned = sum(self.weight.get(task.id, 0.0) * _earned_share(task) for task in plan.tasks)
        spent = self.from_instant(start_of(plan.project.as_of))
        if earned <= 0 or spent <= 0:
            return Point(self.plan_date)
        schedule_earned = earned_schedule(self.planned_value, earned)
        ratio = min(spent / schedule_earned, MOST) if schedule_earned > 0 else MOST
        at_completion = max(self.planned_days * ratio, spent)
        return Point(self.to_date(at_completion))


def _earned_share(task: Task) -> float:
    """Return the share of a task's work that is done."""
    if task.status.state is State.DONE:
        return 1.0
    if task.status.remaining is None or task.duration == 0:
        return 0.0
    return max(1 - task.status.remaining / task.duration, 0.0)
