"""Levelling of real plans: the demo, what moves in it, and the demo many times over.

Run with ``python -m tests.bench.levelled_plans``. The demo must be levelled in under 2 s.
Then how many starts move for several weights on moves, from the plan as it stands; then
plans of about 1,000 and 3,000 tasks, made of copies of the demo that share its people and
places: when the first plan stands, when the search ends, and the memory. Every levelled
plan goes through a checker of its own. Ends with status 1 if a target is missed.
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import replace
from pathlib import Path

from ribstitch.planfile import read_plan_file
from ribstitch.planning.levelling import LevelledPlan, level_plan
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import date_at
from tests.support.crew_checks import crew_faults

DEMO = Path(__file__).resolve().parents[2] / "seed_data" / "garganey.plan.json"
DEMO_SECONDS = 2.0
SECONDS = 5.0
OVER_SECONDS = 3.0
"""How long after its time a search of the largest plan may end. [s]"""


def copies(plan: Plan, count: int) -> Plan:
    """Return a plan of so many copies of the work of another, with its people and places."""
    tasks, links, send_outs = [], [], []
    for number in range(count):
        end = f"-{number}" if number else ""
        tasks += [replace(one, id=one.id + end) for one in plan.tasks]
        links += [replace(o, before=o.before + end, after=o.after + end) for o in plan.links]
        send_outs += [
            replace(
                one,
                id=one.id + end,
                after=tuple(other + end for other in one.after),
                before=tuple(other + end for other in one.before),
                trip_of=one.trip_of and one.trip_of + end,
            )
            for one in plan.send_outs
        ]
    return replace(
        plan,
        tasks=tuple(tasks),
        links=tuple(links),
        send_outs=tuple(send_outs),
        crew_links=(),
        expedites=(),
        risks=(),
        costs=(),
    )


def checked(plan: Plan, found: LevelledPlan) -> LevelledPlan:
    """Refuse a levelled plan that breaks a limit."""
    ids = [one.id for one in found.planned.activities]
    begin, finish = (dict(zip(ids, side, strict=True)) for side in (found.begin, found.finish))
    if broken := crew_faults(plan, begin, finish):
        raise SystemExit(f"{plan.project.name}: {broken[:3]}")
    return found


def demo_kept(plan: Plan) -> bool:
    """Level the demo and return whether that was quick enough."""
    began = time.monotonic()
    found = level_plan(plan, seconds=0, clock=time.monotonic)
    took = time.monotonic() - began
    checked(plan, found)
    print(f"demo: {len(plan.tasks)} tasks, finish {found.finish_on} after {took:.2f} s")
    now = schedule(plan)
    current = {one.id: int(at) for one, at in zip(now.activities, now.begin, strict=True)}
    print(f"from the plan as it stands, which finishes {now.finish_on}, in {SECONDS:.0f} s:")
    for keep in (0, 0.1, 1, 5, 20):
        found = level_plan(
            plan, seconds=SECONDS, clock=time.monotonic, current=current, keep_days=keep
        )
        checked(plan, found)
        moved = sum(
            date_at(at) != date_at(current[one.id])
            for one, at in zip(found.planned.activities, found.begin, strict=True)
            if not one.is_done and not one.dropped
        )
        print(f"  {keep:>4} days a move: finish {found.finish_on}, {moved} starts moved")
    return took < DEMO_SECONDS


def large_kept(plan: Plan, count: int) -> bool:
    """Level many copies and return whether the search ended in its time."""
    large = copies(plan, count)
    first: list[float] = []
    began = time.monotonic()

    def told(*_: object) -> None:
        first.append(time.monotonic() - began)

    found = level_plan(large, seconds=SECONDS, clock=time.monotonic, report=told)
    took = time.monotonic() - began
    checked(large, found)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{len(large.tasks):,} tasks: first plan after {first[0]:.1f} s, ended after {took:.1f} s, "
        f"finish {found.finish_on}, at most {memory:.0f} MB"
    )
    return took < max(SECONDS, first[0]) + OVER_SECONDS


def main() -> int:
    """Measure the demo and its copies."""
    read = read_plan_file(DEMO)
    bare = tuple(replace(one, holidays=None) for one in read.calendars)  # as the checker asks
    plan = replace(read, calendars=bare)

    kept = demo_kept(plan)
    for count in (4, 12):
        kept = large_kept(plan, count) and kept
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
