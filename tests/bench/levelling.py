"""Levelling of published instances against the bare CP model and plain priority rules.

Run with ``python -m tests.bench.levelling FOLDER`` on a folder of instances in the Patterson
layout, named as in the public library (``j30_1_1.rcp``); those of the test suite by
default. For each set, in the same run and with the same seconds:

- the best of the priority rules, as the rules give it;
- the bare CP model: starts, links, one cumulative a resource, two workers, nothing else;
- `level_project` as a caller meets it.

Every schedule goes through a checker that shares no code with either. Small instances
(j30) must be proven within 15 s. Then the job shop ft10 (930 within 60 s) and how many
serial schedules of the largest instance are made a second. Ends with status 1 if a target
is missed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

from ortools.sat.python import cp_model

from ribstitch.planning.levelling import (
    LevelledProject,
    Progress,
    ResourceProject,
    level_project,
    parse_patterson,
)
from ribstitch.planning.levelling.serial import SerialScheme
from tests.support.job_shops import SHOPS, as_project, shop_faults
from tests.support.levelling_checks import ends, faults, read_instance

DATA = Path(__file__).parents[1] / "published" / "data"
PROOF_SECONDS = 15.0
FIRST_SECONDS = 0.3
BETTER_BY = 0.01
"""Mean makespan against the bare model's."""
SHOP_SECONDS = 60.0
SHORTEST_SHOP = 930


@dataclass(frozen=True)
class Row:
    """What came out for one instance."""

    name: str
    rule: int
    bare: int
    found: LevelledProject
    first: float
    took: float


def bare_makespan(project: ResourceProject, seconds: float) -> int:
    """Return what the bare CP model finds; its horizon if it finds nothing."""
    model = cp_model.CpModel()
    starts = [model.new_int_var(0, project.horizon, "") for _ in range(project.size)]
    runs = [
        model.new_fixed_size_interval_var(start, took, "")
        for start, took in zip(starts, project.durations, strict=True)
    ]
    for lag in project.lags:
        model.add(starts[lag.after] >= starts[lag.before] + lag.lag)
    for place, capacity in enumerate(project.capacities):
        model.add_cumulative(runs, [row[place] for row in project.demands], capacity)
    makespan = model.new_int_var(0, project.horizon, "")
    for start, took in zip(starts, project.durations, strict=True):
        model.add(makespan >= start + took)
    model.minimize(makespan)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return round(solver.objective_value) if found else project.horizon


def measured(file: Path, seconds: float) -> Row:
    """Level one instance both ways and check what came out."""
    began = time.monotonic()
    text = file.read_text(encoding="ascii")
    project = parse_patterson(text)
    first: list[float] = []

    def told(_: Progress) -> None:
        if not first:
            first.append(time.monotonic() - began)

    found = level_project(project, seconds=seconds, clock=time.monotonic, report=told)
    took = time.monotonic() - began
    instance = read_instance(text)
    broken = faults(instance, found.starts)
    if broken or ends(instance, found.starts) != found.makespan:
        raise SystemExit(f"{file.name}: {broken or 'ends elsewhere'}")
    bare = bare_makespan(project, seconds)
    return Row(file.stem, min(found.rule_makespans.values()), bare, found, first[0], took)


def report(name: str, rows: list[Row], seconds: float) -> bool:
    """Print one line for a set and return whether it reaches its targets."""
    rule, bare = fmean(row.rule for row in rows), fmean(row.bare for row in rows)
    ours = fmean(row.found.makespan for row in rows)
    gap = fmean(row.found.gap for row in rows)
    proven = sum(row.found.gap == 0 for row in rows)
    first, longest = max(row.first for row in rows), max(row.took for row in rows)
    print(
        f"{name:5} {len(rows):3} {seconds:5.0f} {rule:9.2f} {bare:9.2f} {ours:9.2f} "
        f"{ours / bare - 1:+8.2%} {gap:7.2%} {proven:4}/{len(rows):<3} {first:6.3f} {longest:6.1f}"
    )
    kept = first < FIRST_SECONDS and all(row.found.makespan <= row.rule for row in rows)
    if name == "j30":
        return kept and proven == len(rows)
    return kept and ours <= bare * (1 - BETTER_BY)


def shop_kept() -> bool:
    """Level the job shop ft10 and return whether the published optimum came out."""
    began = time.monotonic()
    reached: list[float] = []

    def told(now: Progress) -> None:
        if now.makespan <= SHORTEST_SHOP and not reached:
            reached.append(now.seconds)

    found = level_project(
        as_project(SHOPS["ft10"]), seconds=SHOP_SECONDS, clock=time.monotonic, report=told
    )
    broken = shop_faults(SHOPS["ft10"], found.starts)
    print(
        f"ft10: {found.makespan} (published {SHORTEST_SHOP}), bound {found.bound}, reached after "
        f"{reached[0] if reached else SHOP_SECONDS:.1f} s, ended after "
        f"{time.monotonic() - began:.1f} s"
    )
    return not broken and found.makespan == SHORTEST_SHOP


def rate(file: Path) -> float:
    """Return how many serial schedules of an instance are made a second."""
    project = parse_patterson(file.read_text(encoding="ascii"))
    scheme, order, best = SerialScheme(project), project.topological, float("inf")
    for _ in range(5):
        began = time.perf_counter()
        for _ in range(100):
            scheme.starts(order)
        best = min(best, time.perf_counter() - began)
    return 100 / best


def main() -> int:
    """Measure the instances of a folder."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("folder", nargs="?", type=Path, default=DATA)
    asked.add_argument("--seconds", type=float, default=5.0)
    asked.add_argument("--sets", default="j30,j60,j120")
    asked.add_argument("--each", action="store_true", help="print every instance")
    options = asked.parse_args()
    files = sorted(options.folder.glob("*.rcp"))
    by_set: dict[str, list[Path]] = defaultdict(list)
    for file in files:
        by_set[file.stem.split("_")[0]].append(file)
    print(
        "set   inst  s     best rule   bare CP      ours    ours:CP    gap  proven  first longest"
    )
    kept = True
    for name in (one for one in options.sets.split(",") if by_set[one]):
        seconds = PROOF_SECONDS if name == "j30" else options.seconds
        rows = []
        for file in by_set[name]:
            rows.append(measured(file, seconds))
            if options.each:
                row = rows[-1]
                print(
                    f"  {row.name}: rule {row.rule}, bare {row.bare}, ours {row.found.makespan}, "
                    f"bound {row.found.bound}, {row.took:.1f} s"
                )
        kept = report(name, rows, seconds) and kept
    kept = shop_kept() and kept
    if by_set["j120"]:
        print(f"serial schedules of 120 activities: {rate(by_set['j120'][0]):,.0f} a second")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
