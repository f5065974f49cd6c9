"""A restoration walked through time: the plan as a shop would know it on a date.

What is over shows its dates. Of work in hand the lead estimates what remains, the better
the further it is. A zone that is open shows what it hid, a risk that struck shows what it
costs; both are judged with a small error. A vendor's work shows the latest promise.

To find out which source of uncertainty a forecaster misjudges, any of `SOURCES` can be
told beforehand, and promises and histories can be hidden.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from math import exp, log

import numpy as np

from ribstitch.planning.activities import VENDOR_LEG
from ribstitch.planning.model import (
    Link,
    Plan,
    Risk,
    SendOut,
    SendOutStatus,
    State,
    Task,
    TaskStatus,
    Vendor,
)
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before, start_of
from tests.bench.hidden_truth import Restoration
from tests.bench.restorations import Draws, eighths

SOURCES = ("tasks", "hidden", "risks", "vendors")
"""What can be told beforehand."""
HIDEABLE = ("promises", "history")
"""What can be withheld."""

_EVENTS = (
    ("shipped", ("prepare",)),
    ("arrived", ("customs_out", "ship_out")),
    ("quoted", ("intake",)),
    ("approved", ("approval",)),
    ("left_vendor", (VENDOR_LEG,)),
    ("received", ("customs_back", "ship_back")),
    ("accepted", ("accept",)),
)
"""Which leg's end each date of a send-out's status stands for; the first that it has."""


@dataclass(frozen=True)
class Walk:
    """
    One restoration, ready to be walked through.

    Attributes
    ----------
    restoration
        The plan and its truth.
    seed
        Of the errors in what the shop sees.
    told
        Which of `SOURCES` the forecaster is told beforehand.
    hidden
        Which of `HIDEABLE` is withheld.
    """

    restoration: Restoration
    seed: int
    told: frozenset[str] = frozenset()
    hidden: frozenset[str] = frozenset()

    @property
    def finish(self) -> float:
        """When the restoration is really finished. [days since year 1]"""
        return self.restoration.course.project_finish / TICKS_PER_DAY

    def dates(self) -> Iterator[date]:
        """Yield the first day, then the first of each month, until all is finished."""
        day = self.restoration.plan.project.start
        while start_of(day) < self.restoration.course.project_finish:
            yield day
            day = date(day.year + day.month // 12, day.month % 12 + 1, 1)

    def share_of_time(self, day: date) -> float:
        """Return how much of the true time is over on the morning of a date, 0 to 1."""
        begun = start_of(self.restoration.plan.project.start)
        whole = self.restoration.course.project_finish - begun
        return (start_of(day) - begun) / whole

    def plan_on(self, day: date) -> Plan:
        """Return the plan as known on the morning of a date."""
        return _Morning(self, day).plan()


class _Morning:
    """What is known on the morning of one date."""

    def __init__(self, walk: Walk, day: date) -> None:
        self._walk = walk
        self._truth = walk.restoration
        self._course = walk.restoration.course
        self._day = day
        self._now = start_of(day)
        self._draw: Draws = np.random.default_rng([walk.seed, day.toordinal()])
        self._judged = np.random.default_rng([walk.seed, 0])

    def plan(self) -> Plan:
        """Put together what is known."""
        plan = self._truth.plan
        judged = {
            **{f"R.{task.id}": self._error() for task in plan.tasks},
            **{f"R.{item.id}": self._error() for item in plan.send_outs},
            **{zone.id: self._error() for zone in plan.zones},
        }
        zones = plan.zones
        if "hidden" in self._walk.told:
            zones = tuple(replace(zone, hidden_work_percent=0.0) for zone in zones)
        project = replace(plan.project, as_of=self._day)
        if "tasks" in self._walk.told:
            project = replace(project, zone_spread=0.0, trade_spread=0.0)
        known = replace(
            plan,
            project=project,
            zones=zones,
            tasks=tuple(self._task(task, judged) for task in plan.tasks),
            vendors=tuple(self._vendor(vendor) for vendor in plan.vendors),
            risks=tuple(self._risk(risk) for risk in plan.risks),
        )
        if "vendors" in self._walk.told:
            return self._with_legs_as_tasks(known)
        items = [one for item in plan.send_outs for one in self._send_out(item, judged)]
        return replace(known, send_outs=tuple(items))

    def _error(self) -> float:
        """Draw the error with which something new is judged; the same on every morning."""
        return exp(0.12 * float(self._judged.standard_normal()))

    def _is_over(self, activity: str) -> bool:
        """Return whether an activity of the true course is over."""
        return int(self._course.finish[self._course.number(activity)]) <= self._now

    def _has_begun(self, activity: str) -> bool:
        """Return whether an activity of the true course has begun."""
        return int(self._course.start[self._course.number(activity)]) < self._now

    def _ended_on(self, activity: str) -> date | None:
        """Return the date on which an activity was over, if it is."""
        number = self._course.number(activity)
        return date_before(int(self._course.finish[number])) if self._is_over(activity) else None

    def _task(self, task: Task, judged: dict[str, float]) -> Task:
        """Return a task as it is estimated by now, with its status."""
        told = self._walk.told
        factor = self._truth.factor[task.id] if "tasks" in told else 1.0
        if task.zone is not None and not task.id.endswith(".open"):
            if "hidden" in told:
                factor *= 1 + self._truth.found[task.zone]
            elif self._is_over(f"{task.zone}.open"):
                factor *= 1 + self._truth.found[task.zone] * judged[task.zone]
        extra = self._extra(f"R.{task.id}", self._has_begun(task.id), judged)
        spread = None
        if task.duration_range is not None and "tasks" not in told:
            low, likely, high = (_grown(one, factor, extra) for one in task.duration_range)
            spread = (low, likely, high)
        work = _grown(task.duration, factor, extra)
        return replace(
            task, duration=work, duration_range=spread, status=self._status(task, work)
        )  # fmt: skip

    def _extra(self, risk: str, seen: bool, judged: dict[str, float]) -> int:
        """Return the extra work of a risk that is known to have struck. [ticks]"""
        struck = self._truth.struck.get(risk, 0)
        if "risks" in self._walk.told:
            return struck
        return eighths(struck / TICKS_PER_DAY * judged[risk]) if seen and struck else 0

    def _status(self, task: Task, work: int) -> TaskStatus:
        """Return where a task stands."""
        number = self._course.number(task.id)
        if not self._has_begun(task.id):
            return TaskStatus()
        started = date_at(int(self._course.start[number]))
        if self._is_over(task.id):
            return TaskStatus(State.DONE, started, self._ended_on(task.id))
        return TaskStatus(State.IN_WORK, started, remaining=self._remaining(task.id, work))

    def _remaining(self, activity: str, work: int) -> int:
        """
        Judge what remains of work in hand. [ticks]

        At first the lead knows the estimate, near the end the truth.
        """
        done, whole = self._worked(activity)
        left, share = whole - done, done / whole
        if "tasks" in self._walk.told:
            return eighths(left / TICKS_PER_DAY)
        planned = max(work - done, 0.15 * work)
        mixed = share * log(left) + (1 - share) * log(planned)
        return eighths(exp(mixed + 0.15 * float(self._draw.standard_normal())) / TICKS_PER_DAY)

    def _worked(self, activity: str) -> tuple[int, int]:
        """Return how much of an activity's true work is done, and all of it. [ticks]"""
        prepared = self._course.prepared
        network, rank = prepared.network, prepared.rank(activity)
        number = self._course.number(activity)
        instants = np.array([int(self._course.start[number]), self._now]) - network.origin
        on = network.on[np.array([rank, rank])]
        begun, now = network.tables.work_before(on, instants).tolist()
        whole = prepared.expansion.activities[number].work
        return int(min(now - begun, whole - 1)), whole

    def _risk(self, risk: Risk) -> Risk:
        """Close a risk that has struck and shows, or can no longer strike."""
        if risk.task is not None:
            struck = risk.id in self._truth.struck and self._has_begun(risk.task)
            closed = struck or self._is_over(risk.task)
        else:
            closed = self._is_over(f"{risk.send_out}/intake")
        return replace(risk, closed=closed or "risks" in self._walk.told)

    def _vendor(self, vendor: Vendor) -> Vendor:
        """Return a vendor with the history that is not withheld."""
        hidden = self._walk.hidden
        if "history" in hidden:
            return replace(vendor, history=())
        if "promises" in hidden:
            jobs = tuple(replace(job, promised_days=None) for job in vendor.history)
            return replace(vendor, history=jobs)
        return vendor

    def _send_out(self, item: SendOut, judged: dict[str, float]) -> Iterator[SendOut]:
        """Yield a send-out with its status, and its second trip once there is one."""
        teardown = self._is_over(f"{item.id}/intake")
        extra = self._extra(f"R.{item.id}", teardown, judged)
        status = self._dates(item)
        if item.id in self._truth.again and status.accepted is not None:
            status = replace(status, accepted=None, rejected=status.accepted)
            yield replace(item, lead=item.lead + extra, status=status)
            again = self._truth.again[item.id]
            yield replace(again, status=self._dates(again))
            return
        if "promises" not in self._walk.hidden and self._is_over(f"{item.id}/approval"):
            status = replace(status, promised=self._promised(item))
        yield replace(item, lead=item.lead + extra, status=status)

    def _dates(self, item: SendOut) -> SendOutStatus:
        """Return the dates of a send-out that have passed."""
        known: dict[str, date | None] = {}
        for event, legs in _EVENTS:
            own = [f"{item.id}/{leg}" for leg in legs]
            names = [name for name in own if name in self._course.prepared.number]
            if names:
                known[event] = self._ended_on(names[0])
        return SendOutStatus(**known)

    def _promised(self, item: SendOut) -> date | None:
        """Return the latest promise of when the item leaves the vendor."""
        prepared, leg = self._course.prepared, f"{item.id}/{VENDOR_LEG}"
        network, rank = prepared.network, prepared.rank(leg)
        on = network.on[np.array([rank])]
        number = self._course.number(leg)
        instants = np.array([int(self._course.start[number]), self._now]) - network.origin
        begun, now = network.tables.work_before(on, instants).tolist()
        days = (now - begun) / TICKS_PER_DAY
        said = [one for one in self._truth.promises[item.id] if one.given <= days]
        if not said:
            return None
        ticks = np.array([begun + round(said[-1].promised * TICKS_PER_DAY)])
        return date_before(int(network.tables.earliest(on, ticks)[0]) + network.origin)

    def _with_legs_as_tasks(self, plan: Plan) -> Plan:
        """Return the plan with every leg as a task of known length: nothing left to guess."""
        course = self._course
        tasks, links = list(plan.tasks), list(plan.links)
        ids = {task.id for task in plan.tasks}
        for one in course.activities:
            if one.send_out is None:
                continue
            status = TaskStatus()
            if self._is_over(one.id):
                began = date_at(int(course.start[course.number(one.id)]))
                status = TaskStatus(State.DONE, began, self._ended_on(one.id))
            elif self._has_begun(one.id):
                began = date_at(int(course.start[course.number(one.id)]))
                done, whole = self._worked(one.id)
                status = TaskStatus(State.IN_WORK, began, remaining=eighths((whole - done) / 1440))
            tasks.append(Task(f"as {one.id}", one.work, calendar=one.calendar, status=status))
        for link in course.prepared.expansion.links:
            ends = [name if name in ids else f"as {name}" for name in (link.before, link.after)]
            if ends != [link.before, link.after]:
                links.append(Link(ends[0], ends[1]))
        risks = tuple(risk for risk in plan.risks if risk.task is not None)
        return replace(plan, tasks=tuple(tasks), links=tuple(links), send_outs=(), risks=risks)


def _grown(ticks: int, factor: float, extra: int) -> int:
    """Return work that has grown, to whole eighths of a day. [ticks]"""
    return eighths(ticks / TICKS_PER_DAY * factor) + extra
