"""A plan taken apart into jobs and ties, a second time and on its own.

Written from the words of the plan file, without a look at how the core does it: a task is
a job; each leg of a send-out is a job; every actual date is the end of a leg.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise

from ribstitch.planning.model import Link, OutOfSequence, Plan, SendOut, Source, State, Task
from tests.property.oracle_days import ELAPSED_DAYS, WorkDays

DAY = 1440


def morning(day: date) -> int:
    """Return the instant at which a date begins."""
    return DAY * day.toordinal()


def night(day: date) -> int:
    """Return the instant at which a date is over."""
    return DAY * (day.toordinal() + 1)


@dataclass
class Job:
    """Something that takes time. Instants and work in ticks."""

    name: str
    days: WorkDays
    work: int
    floor: int
    """What is left of it may not begin before this instant."""
    started: int | None = None
    finished: int | None = None
    deadline: int | None = None
    dropped: bool = False
    deaf: bool = False
    """
    Begun and going on: it does not wait for the links to its start. A task does so by the
    project's rule; an item on the road or at the vendor's always does.
    """

    @property
    def under_way(self) -> bool:
        """Return whether the job has begun and is not over."""
        return self.started is not None and self.finished is None


@dataclass
class Item:
    """A send-out as the grace questions see it: the legs that lead to its acceptance."""

    vendor: str
    legs: list[Job] = field(default_factory=list)

    @property
    def is_open(self) -> bool:
        """Return whether something has still to happen before the shop can go on."""
        return bool(self.legs) and self.legs[-1].finished is None

    @property
    def with_vendor(self) -> Job | None:
        """Return the vendor's unfinished work: the work itself, else the intake."""
        unfinished = {one.name.split("/")[-1]: one for one in self.legs if one.finished is None}
        return unfinished.get("vendor_work") or unfinished.get("intake")

    @property
    def late_leg(self) -> Job:
        """Return the leg that takes longer when the item is late."""
        return self.with_vendor or next(one for one in self.legs if one.finished is None)


@dataclass
class Parts:
    """Jobs by name, ties between them, send-outs that are open."""

    jobs: dict[str, Job]
    links: list[Link]
    items: dict[str, Item]


def take_apart(plan: Plan) -> Parts:
    """Turn tasks and send-outs into jobs and ties."""
    days = {one.id: WorkDays(one) for one in plan.calendars}
    days.setdefault("elapsed", ELAPSED_DAYS)
    floor = morning(max(plan.project.start, plan.project.as_of))
    jobs = {one.id: _task_job(plan, one, floor, days) for one in plan.tasks}
    links = list(plan.links)
    items: dict[str, Item] = {}
    trips = {one.trip_of: one for one in plan.send_outs if one.trip_of}
    chains = {one.id: list(_chains(plan, one, floor, days)) for one in plan.send_outs}
    for send_out in plan.send_outs:
        items[send_out.id] = Item(send_out.vendor)
        for role, legs in chains[send_out.id]:
            for leg in legs:
                jobs[leg.name] = leg
            links += [Link(a.name, b.name) for a, b in pairwise(legs)]
            if role not in {"core", "return"}:
                items[send_out.id].legs = legs
    for send_out in plan.send_outs:
        links += _around(plan, send_out, trips, chains)
    return Parts(jobs, links, items)


def _task_job(plan: Plan, task: Task, floor: int, days: dict[str, WorkDays]) -> Job:
    """Turn a task and its status into a job."""
    calendar = days[task.calendar or plan.project.calendar]
    status = task.status
    if status.state is State.DROPPED:
        return Job(task.id, calendar, 0, morning(plan.project.start), dropped=True)
    job = Job(task.id, calendar, task.duration, floor)
    if status.remaining is not None:
        job.work = status.remaining
    if status.started:
        job.started = morning(status.started)
    if status.finished:
        job.finished = night(status.finished)
        job.started = morning(status.started or status.finished)
    if task.not_before and not status.started:
        job.floor = max(job.floor, morning(task.not_before))
    if status.state is State.HELD and status.held_until:
        job.floor = max(job.floor, morning(status.held_until))
    if task.deadline:
        at_start = task.milestone == "start"
        job.deadline = morning(task.deadline) if at_start else night(task.deadline)
    job.deaf = job.under_way and plan.project.out_of_sequence is OutOfSequence.CARRY_ON
    return job


Step = tuple[str, WorkDays, int, date | None]
"""Leg, calendar, planned work, the recorded date that ends it."""


def _chains(
    plan: Plan, item: SendOut, floor: int, days: dict[str, WorkDays]
) -> Iterator[tuple[str, list[Job]]]:
    """Yield the legs of a send-out, as one chain or two, each with its role."""
    if item.dropped:
        return
    shop, road = days[plan.project.calendar], days["elapsed"]
    vendor = days[plan.calendar_of_vendor(item.vendor)]
    now = item.status
    there: list[Step] = [
        ("prepare", shop, item.prepare, now.shipped),
        ("ship_out", road, item.ship_out, None if item.customs_out else now.arrived),
        ("customs_out", road, item.customs_out, now.arrived),
    ]
    work: list[Step] = [
        ("intake", vendor, item.intake, now.quoted),
        ("approval", road, item.approval, now.approved),
        ("vendor_work", vendor, item.lead, now.left_vendor),
    ]
    back: list[Step] = [
        ("ship_back", road, item.ship_back, None if item.customs_back else now.received),
        ("customs_back", road, item.customs_back, now.received),
    ]
    accept: list[Step] = [("accept", shop, item.accept, now.accepted or now.rejected)]

    def walk(steps: list[Step], begun: date | None = None) -> list[Job]:
        return _walk(item, steps, floor, begun)

    if item.source is Source.IN_HAND:
        yield "in_hand", walk(accept)
    elif item.source is Source.EXCHANGE:
        yield "unit", walk(work + back + accept)
        yield "core", walk(there)
    else:
        yield "whole", walk(there + work + back + accept)
    if item.source is Source.PATTERN:
        yield "return", walk([("return", road, item.return_leg, now.returned)], now.left_vendor)


def _walk(item: SendOut, steps: list[Step], floor: int, begun: date | None) -> list[Job]:
    """Go along the legs: over, under way since the one before was over, or still to come."""
    jobs: list[Job] = []
    before: int | None = night(begun) if begun else None
    for place, (leg, days, work, _) in enumerate(steps):
        over_by = next((step[3] for step in steps[place:] if step[3]), None)
        promised = item.status.promised if leg == "vendor_work" else None
        if not work and not promised:
            before = night(over_by) if over_by else before
            continue
        job = Job(f"{item.id}/{leg}", days, work, floor, started=before)
        jobs.append(job)
        if over_by:
            job.finished = night(over_by)
            late = before is None or before >= job.finished
            job.started = morning(over_by) if late else before
        elif promised:
            job.work, job.floor = 0, max(floor, before or floor, night(promised))
        elif before is not None:
            border_next = leg in ("ship_out", "ship_back") and steps[place + 1][2] > 0
            if border_next and before + work <= floor:
                job.finished = before + work
            else:
                job.floor = max(floor, before)
                over_at = days.before(before) + work
                job.work = max(0, over_at - days.before(job.floor))
        job.deaf = job.under_way
        before = job.finished
    return jobs


def _around(
    plan: Plan,
    item: SendOut,
    trips: dict[str, SendOut],
    chains: dict[str, list[tuple[str, list[Job]]]],
) -> list[Link]:
    """Tie a send-out to the tasks around it, or to the trip that was rejected."""
    by_role = {role: legs for role, legs in chains[item.id] if legs}
    whole = by_role.get("whole") or by_role.get("unit") or by_role.get("in_hand")
    waiting = by_role.get("whole") or by_role.get("core")
    after, before = list(item.after), list(item.before)
    earlier = item.trip_of
    while earlier:
        rejected = next(one for one in plan.send_outs if one.id == earlier)
        before += [one for one in rejected.before if one not in before]
        earlier = rejected.trip_of
    if item.trip_of:
        after.append(chains[item.trip_of][0][1][-1].name)
    ties: list[Link] = []
    if waiting:
        ties += [Link(one, waiting[0].name) for one in after]
    if "return" in by_role:
        vendors = [
            leg.name
            for leg in by_role["whole"]
            if leg.name.split("/")[-1] not in ("ship_back", "customs_back", "accept")
        ]
        ties.append(Link(vendors[-1], by_role["return"][0].name))
    if item.id in trips:
        return ties
    if whole:
        return ties + [Link(whole[-1].name, one) for one in before]
    if item.source is Source.IN_HAND:
        return ties
    return ties + [Link(a, b) for a in after for b in before]
