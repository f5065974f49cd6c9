"""A plan expanded into activities and links: tasks, and send-outs leg by leg.

An activity is whatever takes time on one calendar. Expansion reads facts in the order
actual date, promise, quoted lead time. It does no calendar arithmetic: where a leg is
under way it says since when, and the network works out what remains.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from ribstitch.planning.crew_order import crew_links_in_force
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    ELAPSED,
    CrewLink,
    Link,
    Milestone,
    Plan,
    SendOut,
    Source,
    State,
    Task,
)
from ribstitch.planning.ticks import end_of, start_of

VENDOR_LEG = "vendor_work"
SHIP_LEG = "ship_out"
UNAWAITED_LEGS: Mapping[Source, frozenset[str]] = {
    Source.OVERHAUL: frozenset(),
    Source.IN_HAND: frozenset(),
    Source.EXCHANGE: frozenset({"prepare", SHIP_LEG, "customs_out"}),
    Source.PATTERN: frozenset({"return"}),
}
"""The ways of an exchange's core and of a lent pattern: nothing in the shop waits for them."""


@dataclass(frozen=True, slots=True)
class Activity:
    """One thing that takes time. Instants and durations in ticks."""

    id: str
    calendar: str
    work: int
    """What remains to be worked; with `counts_from_start`, all of it."""
    floor: int
    """No unfinished part may be planned before this instant."""
    started: int | None = None
    finished: int | None = None
    counts_from_start: bool = False
    milestone: Milestone | None = None
    deadline: int | None = None
    dropped: bool = False
    task: str | None = None
    send_out: str | None = None
    leg: str | None = None

    @property
    def is_done(self) -> bool:
        """Return whether the activity is over."""
        return self.finished is not None

    @property
    def is_under_way(self) -> bool:
        """Return whether the activity has begun and is not over."""
        return self.started is not None and self.finished is None


@dataclass(frozen=True, slots=True)
class OpenLegs:
    """The legs of one open send-out that its forecasts look at."""

    slip: str
    """The leg whose delay makes the item late: the vendor's work until the item has
    left the vendor, then whichever leg is open first."""
    gate: str
    """The leg after which the shop can go on."""
    prepare: str | None
    """The leg that ends when the item is shipped, if it has not been shipped."""
    ship: str | None
    """The leg on the road to the vendor, if the item has not been shipped."""
    at_vendor: bool
    """Whether the vendor's work is still to be finished."""


@dataclass(frozen=True, slots=True)
class Expansion:
    """
    Activities in order of entry, the links between them, and the open send-outs.

    The links are the plan's own, then those of the send-outs, then those of the crew.
    """

    activities: tuple[Activity, ...]
    links: tuple[Link, ...]
    open_legs: dict[str, OpenLegs]
    crew_links: tuple[CrewLink, ...]
    """Those in force: what the last of the links stand for."""

    def crew_link(self, number: int) -> CrewLink | None:
        """Return the crew link that a link stands for, given its number; None: no such."""
        first = len(self.links) - len(self.crew_links)
        return self.crew_links[number - first] if number >= first else None


def late_legs_of_vendor(plan: Plan, vendor: str, legs: Mapping[str, OpenLegs]) -> dict[str, str]:
    """Return the vendor's unfinished send-outs, and of each the leg that can be late."""
    return {
        item.id: legs[item.id].slip
        for item in plan.send_outs
        if item.vendor == vendor and item.id in legs and legs[item.id].at_vendor
    }


def floor_of(plan: Plan) -> int:
    """Return the instant before which nothing unfinished may be planned. [ticks]"""
    return start_of(max(plan.project.start, plan.project.as_of))


def expand(plan: Plan, floors: Mapping[str, int] | None = None) -> Expansion:
    """
    Expand a checked plan into activities and links.

    Parameters
    ----------
    plan
        The plan.
    floors
        Tasks and send-outs that are told as of another instant than the start of the as-of
        date: nothing unfinished of them is planned before it. [ticks]

    Raises
    ------
    InvalidValueError
        If a send-out has no leg at all, or was rejected without a further trip.
    """
    common, own = floor_of(plan), floors or {}
    activities = [_of_task(plan, task, own.get(task.id, common)) for task in plan.tasks]
    links = list(plan.links)
    trips = {item.trip_of: item for item in plan.send_outs if item.trip_of}
    open_legs: dict[str, OpenLegs] = {}
    gates: dict[str, str] = {}
    starts: dict[str, list[str]] = {}
    for number, item in enumerate(plan.send_outs):
        _check_legs(item, trips, f"send_outs[{number}]")
        starts[item.id] = []
        floor = own.get(item.id, common)
        there_and_back: list[Activity] = []
        for chain in _chains(plan, item):
            legs = list(_legs(item, chain, floor))
            if not legs:
                continue
            activities += legs
            links += [Link(a.id, b.id) for a, b in pairwise(legs)]
            if chain.waits:
                starts[item.id].append(legs[0].id)
            if chain.follows_work and there_and_back:
                links.append(Link(_work_leg(there_and_back), legs[0].id))
            if chain.gates:
                there_and_back = legs
                gates[item.id] = legs[-1].id
                if not legs[-1].is_done:
                    open_legs[item.id] = _open_legs(legs)
    for item in plan.send_outs:
        links += _outer_links(item, plan, trips, starts, gates)
    crew_links = crew_links_in_force(plan)
    links += [Link(link.before, link.after) for link in crew_links]
    return Expansion(tuple(activities), tuple(links), open_legs, crew_links)


def _check_legs(item: SendOut, trips: dict[str, SendOut], where: str) -> None:
    """Refuse a send-out without legs, or one rejected without a further trip."""
    if item.dropped or item.source is Source.IN_HAND:
        return
    if not any((item.prepare, item.ship_out, item.customs_out, item.intake, item.approval,
                item.lead, item.ship_back, item.customs_back, item.accept)):  # fmt: skip
        raise InvalidValueError(
            where, f'the send-out "{item.id}" has no leg: give at least lead_days', item.id
        )
    if item.status.rejected and item.id not in trips:
        raise InvalidValueError(
            f"{where}.status.rejected",
            f'"{item.id}" was rejected, so a send-out with trip_of "{item.id}" must follow',
            item.status.rejected,
        )


def _of_task(plan: Plan, task: Task, floor: int) -> Activity:
    """Turn a task and its status into an activity."""
    status = task.status
    own_floor = floor
    if task.not_before is not None and status.started is None:
        own_floor = max(own_floor, start_of(task.not_before))
    if status.state is State.HELD and status.held_until is not None:
        own_floor = max(own_floor, start_of(status.held_until))
    milestone = task.milestone
    if milestone is None and task.duration == 0:
        milestone = Milestone.FINISH
    dropped = status.state is State.DROPPED
    started = status.started or status.finished
    deadline = None
    if task.deadline is not None and not dropped:
        at_start = milestone is Milestone.START
        deadline = start_of(task.deadline) if at_start else end_of(task.deadline)
    work = task.duration if status.remaining is None else status.remaining
    return Activity(
        id=task.id,
        calendar=plan.calendar_of_task(task),
        work=0 if dropped else work,
        floor=start_of(plan.project.start) if dropped else own_floor,
        started=None if dropped or started is None else start_of(started),
        finished=end_of(status.finished) if status.finished and not dropped else None,
        milestone=milestone,
        deadline=deadline,
        dropped=dropped,
        task=task.id,
    )


@dataclass(frozen=True, slots=True)
class _Stage:
    """One leg as planned, with the actual date that ends it."""

    leg: str
    calendar: str
    work: int
    ended: date | None = None
    promised: date | None = None
    ends_unseen: bool = False
    """No date is recorded when it ends (the border): elapsed time alone says so."""

    @property
    def exists(self) -> bool:
        """Return whether the leg takes time (a promise does, whatever was quoted)."""
        return self.work > 0 or self.promised is not None


@dataclass(frozen=True, slots=True)
class _Chain:
    """Stages one after the other."""

    stages: tuple[_Stage, ...]
    waits: bool
    """The first leg waits for the tasks in `after` (or for the rejected trip)."""
    gates: bool
    """The tasks in `before` wait for the last leg."""
    follows_work: bool = False
    """The first leg follows the vendor's work, which is in the chain before."""
    since: date | None = None
    """When the first leg began, where another chain's actual date says so."""


def _chains(plan: Plan, item: SendOut) -> list[_Chain]:
    """Lay out the legs of a send-out by its source."""
    if item.dropped:
        return []
    shop, elapsed = plan.project.calendar, ELAPSED.id
    vendor = plan.calendar_of_vendor(item.vendor)
    status = item.status
    accepted = status.accepted or status.rejected
    there = (
        _Stage("prepare", shop, item.prepare, status.shipped),
        _crossing(SHIP_LEG, item.ship_out, item.customs_out, status.arrived),
        _Stage("customs_out", elapsed, item.customs_out, status.arrived),
    )
    work = (
        _Stage("intake", vendor, item.intake, status.quoted),
        _Stage("approval", elapsed, item.approval, status.approved),
        _Stage(VENDOR_LEG, vendor, item.lead, status.left_vendor, status.promised),
    )
    back = (
        _crossing("ship_back", item.ship_back, item.customs_back, status.received),
        _Stage("customs_back", elapsed, item.customs_back, status.received),
    )
    accept = (_Stage("accept", shop, item.accept, accepted),)
    match item.source:
        case Source.IN_HAND:
            return [_Chain(accept, waits=False, gates=True)]
        case Source.EXCHANGE:
            return [
                _Chain(work + back + accept, waits=False, gates=True),
                _Chain(there, waits=True, gates=False),
            ]
        case Source.PATTERN:
            returning = _Stage("return", elapsed, item.return_leg, status.returned)
            return [
                _Chain(there + work + back + accept, waits=True, gates=True),
                _Chain((returning,), False, False, follows_work=True, since=status.left_vendor),
            ]
        case Source.OVERHAUL:
            return [_Chain(there + work + back + accept, waits=True, gates=True)]


def _crossing(leg: str, work: int, customs: int, ended: date | None) -> _Stage:
    """Return a leg on the road: with customs after it, nobody records its end."""
    if customs:
        return _Stage(leg, ELAPSED.id, work, ends_unseen=True)
    return _Stage(leg, ELAPSED.id, work, ended)


def _legs(item: SendOut, chain: _Chain, floor: int) -> Iterator[Activity]:
    """Turn the stages of a chain into activities: done, under way, to come."""
    ends = _ends(chain.stages)
    since = None if chain.since is None else end_of(chain.since)
    for stage, ended in zip(chain.stages, ends, strict=True):
        if not stage.exists:
            since = end_of(ended) if ended else since
            continue
        started, finished = since, None
        if ended is not None:
            finished = end_of(ended)
            started = start_of(ended) if since is None or since >= finished else since
        elif stage.ends_unseen and since is not None and since + stage.work <= floor:
            finished = since + stage.work
        promised = stage.promised is not None and finished is None
        own_floor = floor if started is None else max(floor, started)
        if promised and stage.promised:
            own_floor = max(own_floor, end_of(stage.promised))
        yield Activity(
            id=f"{item.id}/{stage.leg}",
            calendar=stage.calendar,
            work=0 if promised else stage.work,
            floor=own_floor,
            started=started,
            finished=finished,
            counts_from_start=finished is None and started is not None and not promised,
            send_out=item.id,
            leg=stage.leg,
        )
        since = finished


def _ends(stages: Sequence[_Stage]) -> list[date | None]:
    """Return when each stage ended: its own date, else that of the next known one."""
    ends: list[date | None] = []
    known: date | None = None
    for stage in reversed(stages):
        known = stage.ended or known
        ends.append(known)
    return ends[::-1]


def _work_leg(legs: Sequence[Activity]) -> str:
    """Return the leg at whose end the vendor is finished with the item."""
    last = legs[0].id
    for leg in legs:
        if leg.leg in ("ship_back", "customs_back", "accept"):
            break
        last = leg.id
    return last


def _open_legs(legs: Sequence[Activity]) -> OpenLegs:
    """Pick out the legs of an open send-out that its forecasts look at."""
    still_open = [leg for leg in legs if not leg.is_done]
    by_name = {leg.leg: leg.id for leg in still_open}
    to_ship = {leg.leg: leg.id for leg in still_open if not leg.is_under_way}
    vendor = by_name.get(VENDOR_LEG) or by_name.get("intake")
    return OpenLegs(
        slip=vendor or still_open[0].id,
        gate=still_open[-1].id,
        prepare=by_name.get("prepare"),
        ship=to_ship.get(SHIP_LEG),
        at_vendor=vendor is not None,
    )


def _outer_links(
    item: SendOut,
    plan: Plan,
    trips: dict[str, SendOut],
    starts: dict[str, list[str]],
    gates: dict[str, str],
) -> list[Link]:
    """Link a send-out to the tasks (or the rejected trip) around it."""
    by_id = {one.id: one for one in plan.send_outs}
    first, before = item, list(item.before)
    while first.trip_of is not None:
        first = by_id[first.trip_of]
        before += [task for task in first.before if task not in before]
    after = list(item.after)
    if item.trip_of is not None and item.trip_of in gates:
        after.append(gates[item.trip_of])
    links = [Link(a, b) for a in after for b in starts[item.id]]
    if item.id in trips:
        return links
    if item.id in gates:
        return links + [Link(gates[item.id], task) for task in before]
    if item.source is Source.IN_HAND:
        return links
    return links + [Link(a, task) for a in after for task in before]
