"""Made-up restorations as a shop estimates them at the start; the same seed, the same plan.

Sizes, orders of work and what goes out follow common practice (no source): zones are
opened, then repaired branch by branch, some items leave early and are needed late, and
the whole aircraft comes together at the end. The order in which a crew takes its tasks
is written as links. What really happens is drawn in `tests.bench.hidden_truth`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise

import networkx as nx
import numpy as np

from ribstitch.planning.model import (
    Calendar,
    LagOn,
    Link,
    Plan,
    Project,
    Relation,
    Risk,
    SendOut,
    SendOutKind,
    Task,
    Vendor,
    Zone,
)
from ribstitch.planning.ticks import EIGHTH, TICKS_PER_DAY

Draws = np.random.Generator

YEARS = range(2023, 2041)


@dataclass(frozen=True, slots=True)
class Kind:
    """What is usual for one kind of work that is sent out: common practice, no source."""

    weeks: tuple[int, int]
    over_median: float
    over_p90: float
    rejected: float


KINDS = {
    "engine": Kind((20, 40), 1.35, 2.2, 0.08),
    "propeller": Kind((10, 20), 1.2, 1.8, 0.06),
    "glazing": Kind((8, 14), 1.3, 2.0, 0.2),
    "upholstery": Kind((6, 10), 1.15, 1.6, 0.1),
    "instrument": Kind((6, 12), 1.25, 2.0, 0.1),
    "radio": Kind((4, 8), 1.1, 1.5, 0.05),
    "accessory": Kind((5, 10), 1.15, 1.7, 0.08),
    "wheel_brake": Kind((5, 9), 1.2, 1.7, 0.06),
    "plating": Kind((2, 4), 1.1, 1.6, 0.08),
    "casting": Kind((12, 20), 1.6, 2.6, 0.25),
    "tank": Kind((5, 9), 1.25, 1.8, 0.1),
    "timber": Kind((6, 12), 1.35, 2.2, 0.1),
}
ALLOWANCES = {0: 60.0, 2: 10.0, 3: 25.0, 4: 40.0}
"""Per cent added for work not yet found, by condition grade."""
_SHARES = {"metal": 0.4, "engine": 0.2, "fabric": 0.13, "wood": 0.1, "elec": 0.1, "paint": 0.07}
_COUNTRIES = {
    "IE": (((8, 1), (8, 14)),),
    "GB": (((12, 20), (12, 31)),),
    "CZ": (((7, 20), (8, 2)), ((12, 20), (12, 31))),
    "US": (((12, 24), (12, 31)),),
    "CA": (((7, 20), (7, 31)), ((12, 21), (12, 31))),
}
_ENDING = (
    ("assemble", "metal"),
    ("rig", "engine"),
    ("paint", "paint"),
    ("weigh", "engine"),
    ("run", "engine"),
    ("inspect", "engine"),
    ("fly", "engine"),
)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A plan as estimated at the start, and who stands behind it."""

    plan: Plan
    trades: tuple[str, ...]
    vendor_kind: dict[str, str]


@dataclass
class _Draft:
    """A plan being put together."""

    draw: Draws
    trades: dict[str, str]
    """Calendar by trade."""
    tasks: list[Task] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    send_outs: list[SendOut] = field(default_factory=list)
    vendors: list[Vendor] = field(default_factory=list)
    zones: list[Zone] = field(default_factory=list)
    vendor_kind: dict[str, str] = field(default_factory=dict)


def eighths(days: float) -> int:
    """Return days as ticks, in whole eighths and at least one."""
    return max(round(8 * days), 1) * EIGHTH


def estimate(draw: Draws) -> Estimate:
    """Estimate a restoration of 30 to 150 tasks in 4 to 8 zones with 3 to 10 send-outs."""
    size = int(draw.integers(30, 151))
    zones = int(draw.integers(4, 9))
    draft = _Draft(draw, _trades(draw, int(draw.integers(3, 7))))
    last = _beginning(draft)
    branches = _spread(draw, size - len(draft.tasks) - len(_ENDING) - zones, zones)
    bodies = [_zone(draft, number, count, last) for number, count in enumerate(branches)]
    ending = _ending(draft, bodies)
    for number in range(int(draw.integers(3, 11))):
        _send_out(draft, number, bodies, ending)
    _order_crews(draft)
    start = date(2024, 1, 8) + timedelta(days=int(draw.integers(0, 1000)))
    plan = Plan(
        Project(start, start),
        _calendars(),
        tuple(draft.zones),
        tuple(draft.tasks),
        tuple(draft.links),
        _known_kinds(draft),
        tuple(draft.vendors),
        tuple(draft.send_outs),
        risks=_risks(draft),
    )
    return Estimate(plan, tuple(draft.trades), draft.vendor_kind)


def _trades(draw: Draws, count: int) -> dict[str, str]:
    """Pick trades, and on which calendar each works."""
    others = [trade for trade in _SHARES if trade not in {"metal", "engine"}]
    chosen = ["metal", "engine", *draw.choice(others, count - 2, replace=False).tolist()]
    found = {}
    for trade in chosen:
        chances = [1, 0, 0] if trade in {"metal", "engine"} else [0.6, 0.25, 0.15]
        found[str(trade)] = str(draw.choice(["shop", "evenings", "short"], p=chances))
    return found


def _calendars() -> tuple[Calendar, ...]:
    """Return the shop's, its part-timers' and the vendors' calendars."""
    summer, winter = ((8, 1), (8, 14)), ((12, 24), (12, 31))
    away = ((7, 18), (8, 16))
    vendors = tuple(
        Calendar(f"vendor-{code}", holidays=code, closed=_each_year(*closures))
        for code, closures in _COUNTRIES.items()
    )
    return (
        Calendar("shop", holidays="IE", closed=_each_year(summer, winter)),
        Calendar("evenings", day_hours=6, week_hours=(0, 6, 0, 0, 0, 6, 0),
                 closed=_each_year(away)),
        Calendar("short", day_hours=7, week_hours=(0, 0, 7, 7, 0, 3.5, 0), holidays="IE",
                 closed=_each_year(summer, winter)),
        *vendors,
    )  # fmt: skip


def _each_year(*closures: tuple[tuple[int, int], tuple[int, int]]) -> tuple[tuple[date, date], ...]:
    """Repeat closures every year."""
    return tuple((date(year, *a), date(year, *b)) for year in YEARS for a, b in closures)


def _spread(draw: Draws, count: int, parts: int) -> list[int]:
    """Spread tasks over zones, at least one each."""
    shares = draw.dirichlet(np.full(parts, 4.0))
    return [1 + int(share * max(count - parts, 0)) for share in shares]


def _add(draft: _Draft, name: str, trade: str, days: float, zone: str | None, *after: str) -> str:
    """Add a task that follows others; nine of ten have a three-point estimate."""
    draw = draft.draw
    trade = trade if trade in draft.trades else "metal"
    likely = eighths(days)
    low, high = eighths(days * draw.uniform(0.55, 0.8)), eighths(days * draw.uniform(1.35, 2.1))
    spread = (low, likely, high) if draw.random() < 0.9 else None
    draft.tasks.append(
        Task(name, likely, zone=zone, trade=trade, calendar=draft.trades[trade],
             duration_range=spread)
    )  # fmt: skip
    draft.links += [_link(draw, before, name) for before in after]
    return name


def _link(draw: Draws, before: str, after: str) -> Link:
    """Return a finish-start link; now and then something cures, or two tasks overlap."""
    chance = draw.random()
    if chance < 0.06:
        cure = int(draw.integers(1, 5)) * TICKS_PER_DAY
        return Link(before, after, lag=cure, lag_on=LagOn.ELAPSED)
    if chance < 0.09:
        return Link(before, after, Relation.START_START, TICKS_PER_DAY)
    return Link(before, after)


def _days(draw: Draws) -> float:
    """Draw how long a task is estimated to take. [days]"""
    return float(np.clip(3.5 * np.exp(0.6 * draw.standard_normal()), 0.5, 20))


def _beginning(draft: _Draft) -> str:
    """Add what comes before any zone is opened; return its last task."""
    received = _add(draft, "receive", "engine", 2, None)
    recorded = _add(draft, "record", "metal", 3, None, received)
    return _add(draft, "remove", "metal", float(draft.draw.uniform(4, 12)), None, recorded)


def _zone(draft: _Draft, number: int, count: int, last: str) -> list[list[str]]:
    """Add a zone: it is opened, then repaired in one or two branches, which are returned."""
    draw = draft.draw
    zone = f"Z{number}"
    opened = _add(draft, f"{zone}.open", "metal", float(draw.uniform(2, 8)), zone, last)
    grade = int(draw.choice(list(ALLOWANCES), p=[0.25, 0.25, 0.3, 0.2]))
    draft.zones.append(Zone(zone, hidden_work_percent=ALLOWANCES[grade], opened_by=opened))
    branches: list[list[str]] = [[opened] for _ in range(int(draw.integers(1, 3)))]
    shares = np.array([_SHARES[trade] for trade in draft.trades])
    for step in range(count):
        branch = branches[step % len(branches)]
        trade = str(draw.choice(list(draft.trades), p=shares / shares.sum()))
        name = _add(draft, f"{zone}.{step}", trade, _days(draw), zone, branch[-1])
        branch.append(name)
    return branches


def _ending(draft: _Draft, bodies: list[list[list[str]]]) -> list[str]:
    """Add how the aircraft comes together; return these tasks in order."""
    draw = draft.draw
    last = [branch[-1] for branches in bodies for branch in branches]
    names: list[str] = []
    for name, trade in _ENDING:
        after = names[-1:] or last
        names.append(_add(draft, name, trade, float(draw.uniform(2, 10)), None, *after))
    return names


def _send_out(draft: _Draft, number: int, bodies: list[list[list[str]]], ending: list[str]) -> None:
    """Add an item that leaves early and is needed later on its branch or at the end."""
    draw = draft.draw
    kind = str(draw.choice(list(KINDS)))
    vendor = _vendor(draft, kind)
    abroad = vendor.country != "IE"
    branches = bodies[int(draw.integers(len(bodies)))]
    branch = branches[int(draw.integers(len(branches)))]
    early = branch[0] if draw.random() < 0.5 else "remove"
    later = branch[1 + len(branch) // 2 :]
    needed = str(draw.choice(later if later and draw.random() < 0.6 else ending[:5]))
    crossing = eighths(float(draw.integers(3, 6))) if abroad else 0
    road = eighths(float(draw.integers(2, 6)) if abroad else 1)
    draft.send_outs.append(
        SendOut(
            f"S{number}",
            vendor.id,
            kind=kind,
            after=(early,),
            before=(needed,),
            prepare=eighths(float(draw.integers(1, 4))),
            ship_out=road,
            customs_out=crossing,
            intake=eighths(float(draw.integers(2, 16))),
            approval=eighths(float(draw.integers(2, 8))),
            lead=_quoted(draw, kind) * TICKS_PER_DAY,
            ship_back=road,
            customs_back=crossing,
            accept=eighths(1),
        )
    )


def _quoted(draw: Draws, kind: str) -> int:
    """Draw what a vendor quotes. [working days]"""
    least, most = KINDS[kind].weeks
    return int(draw.integers(5 * least, 5 * most + 1))


def _vendor(draft: _Draft, kind: str) -> Vendor:
    """Find a vendor of a kind, or go to a new one."""
    known = [one for one in draft.vendors if draft.vendor_kind[one.id] == kind]
    if known and draft.draw.random() < 0.6:
        return known[0]
    country = str(draft.draw.choice(list(_COUNTRIES)))
    vendor = Vendor(f"V{len(draft.vendors)}", calendar=f"vendor-{country}", country=country)
    draft.vendors.append(vendor)
    draft.vendor_kind[vendor.id] = kind
    return vendor


def _known_kinds(draft: _Draft) -> tuple[SendOutKind, ...]:
    """Return the kinds of which the shop knows what is usual: four of five."""
    return tuple(
        SendOutKind(name, kind.over_median, kind.over_p90, rejected=kind.rejected)
        for name, kind in KINDS.items()
        if draft.draw.random() < 0.8
    )


def _risks(draft: _Draft) -> tuple[Risk, ...]:
    """Return what the shop fears: of one task in twelve, and of one send-out in five."""
    draw, risks = draft.draw, []
    for task in draft.tasks:
        if draw.random() < 1 / 12:
            likely = task.duration / TICKS_PER_DAY * draw.uniform(0.2, 0.8)
            chance = float(draw.uniform(0.05, 0.45))
            risks.append(_risk(f"R.{task.id}", likely, chance, task=task.id))
    for item in draft.send_outs:
        if draw.random() < 1 / 5:
            chance = float(draw.uniform(0.05, 0.35))
            risks.append(_risk(f"R.{item.id}", draw.uniform(10, 40), chance, send_out=item.id))
    return tuple(risks)


def _risk(
    name: str, likely: float, chance: float, task: str | None = None, send_out: str | None = None
) -> Risk:
    """Return a risk with a three-point impact."""
    points = (eighths(0.6 * likely), eighths(likely), eighths(1.8 * likely))
    return Risk(
        name, task=task, send_out=send_out, probability=chance, impact=points[1],
        impact_range=points,
    )  # fmt: skip


def _order_crews(draft: _Draft) -> None:
    """Let each crew take its tasks one after the other, in an order that the work allows."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(task.id for task in draft.tasks)
    graph.add_edges_from((link.before, link.after) for link in draft.links)
    graph.add_edges_from((item.after[0], item.before[0]) for item in draft.send_outs)
    depth: dict[str, float] = {}
    for name in nx.topological_sort(graph):
        depth[name] = max((depth[one] + 1 for one in graph.predecessors(name)), default=0.0)
    chance = dict(zip(depth, draft.draw.random(len(depth)).tolist(), strict=True))
    order = list(
        nx.lexicographical_topological_sort(graph, lambda name: depth[name] + chance[name])
    )
    tasks = {task.id: task for task in draft.tasks}
    for trade in draft.trades:
        own = [name for name in order if tasks[name].trade == trade]
        lanes: list[list[str]] = [[] for _ in range(1 + (len(own) > 40))]
        for name in own:
            min(lanes, key=lambda lane: sum(tasks[one].duration for one in lane)).append(name)
        for lane in lanes:
            draft.links += [Link(a, b) for a, b in pairwise(lane) if not graph.has_edge(a, b)]
