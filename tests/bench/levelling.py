"""Levelling of published and of drawn instances against the bare CP model and priority rules.

Run with ``python -m tests.bench.levelling FOLDER`` on a folder of instances in the Patterson
layout, named as in the public library (``j30_1_1.rcp``); those of the test suite by
default. ``--drawn N`` adds instances that nobody has seen: every N-th cell of the
library's parameters (``tests.bench.instances``), ``--seed`` says which. For each set, in
the same run and with the same seconds:

- the best of the priority rules, as the rules give it;
- the bare CP model: starts, links, one cumulative a resource, two workers, nothing else;
- `level_project` as a caller meets it.

Every schedule goes through a checker that shares no code with either, and no bound may be
below the longest chain and the work over the capacity. Small instances (j30) must be
proven within 15 s; larger ones must be 1 % shorter on average than the bare model's. Drawn sets
hold cells that any method closes at once; there the 1 % is asked of what the bare model leaves
open (column "open"). Then the job shop ft10 (930 within 60 s) and how many serial schedules
of the largest instance are made a second. Ends with status 1 if a target is missed.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

import numpy as np
from ortools.sat.python import cp_model

from ribstitch.planning.levelling import (
    LevelledProject,
    Progress,
    ResourceProject,
    level_project,
    parse_patterson,
)
from ribstitch.planning.levelling.justification import ProjectDecoder
from ribstitch.planning.levelling.ordering import sampled_order
from ribstitch.planning.levelling.serial import SerialScheme
from tests.bench.instances import cells, drawn
from tests.support.job_shops import SHOPS, as_project, shop_faults
from tests.support.levelling_checks import ends, faults, least, read_instance

DATA = Path(__file__).parents[1] / "published" / "data"
PROOF_SECONDS = 15.0
BARE_SECONDS = 5.0
"""The bare model gets no more, even where the target is a proof."""
FIRST_SECONDS = 0.3
BETTER_BY = 0.01
"""Mean makespan against the bare model's."""
DRAWN = "-drawn"
"""Ends the name of a set that was drawn."""
SHOP_SECONDS = 60.0
SHORTEST_SHOP = 930


@dataclass(frozen=True)
class Row:
    """What came out for one instance."""

    name: str
    rule: int
    bare: int
    is_open: bool
    """Whether the bare model did not prove its schedule in time."""
    found: LevelledProject
    first: float
    took: float
    worked: float
    """Time on all processors together. [s]"""


def bare_makespan(project: ResourceProject, seconds: float) -> tuple[int, bool]:
    """Return what the bare CP model finds, its horizon if nothing, and whether that is open."""
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
    makespan_found = round(solver.objective_value) if found else project.horizon
    return makespan_found, status != cp_model.OPTIMAL


def measured(file: Path, seconds: float) -> Row:
    """Level one instance both ways and check what came out."""
    began, worked = time.monotonic(), time.process_time()
    text = file.read_text(encoding="ascii")
    project = parse_patterson(text)
    first: list[float] = []

    def told(_: Progress) -> None:
        if not first:
            first.append(time.monotonic() - began)

    found = level_project(project, seconds=seconds, clock=time.monotonic, report=told)
    took, worked = time.monotonic() - began, time.process_time() - worked
    instance = read_instance(text)
    broken = faults(instance, found.starts)
    if broken or ends(instance, found.starts) != found.makespan:
        raise SystemExit(f"{file.name}: {broken or 'ends elsewhere'}")
    if not least(instance) <= found.bound <= found.makespan:
        raise SystemExit(f"{file.name}: a bound of {found.bound} for {found.makespan}")
    bare, is_open = bare_makespan(project, min(seconds, BARE_SECONDS))
    rule = min(found.rule_makespans.values())
    return Row(file.stem, rule, bare, is_open, found, first[0], took, worked)


def report(name: str, rows: list[Row], seconds: float) -> bool:
    """Print one line for a set and return whether it reaches its targets."""
    still = [row for row in rows if row.is_open]
    gap = fmean(row.found.gap for row in rows)
    proven = sum(row.found.gap == 0 for row in rows)
    first, longest = max(row.first for row in rows), max(row.took for row in rows)
    print(
        f"{name:11} {len(rows):3} {seconds:4.0f} {fmean(row.rule for row in rows):9.2f} "
        f"{fmean(row.bare for row in rows):8.2f} {fmean(row.found.makespan for row in rows):8.2f} "
        f"{_better(rows):+8.2%} {len(still):4} {_better(still):+8.2%} {gap:7.2%} "
        f"{proven:4}/{len(rows):<3} {first:6.3f} {longest:6.1f} "
        f"{max(row.worked for row in rows):6.1f} {os.getloadavg()[0]:5.1f}",
        flush=True,
    )
    kept = first < FIRST_SECONDS and all(row.found.makespan <= row.rule for row in rows)
    if name.startswith("j30"):
        return kept and proven == len(rows)
    asked = still if name.endswith(DRAWN) else rows
    return kept and (not asked or _better(asked) <= -BETTER_BY)


def _better(rows: list[Row]) -> float:
    """Return by how much the mean makespan differs from the bare model's."""
    if not rows:
        return 0.0
    return fmean(row.found.makespan for row in rows) / fmean(row.bare for row in rows) - 1


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
    """Return how many serial schedules of an instance are made in a second of CPU time."""
    project = parse_patterson(file.read_text(encoding="ascii"))
    decoder, draw = ProjectDecoder(project), np.random.default_rng(1)
    keys = decoder.priorities()["latest start time"]
    orders = [sampled_order(keys, decoder.successors(), draw, 2.0) for _ in range(20)]
    scheme, best = SerialScheme(project), float("inf")
    for _ in range(20):
        began = time.process_time()
        for order in orders:
            scheme.starts(order)
        best = min(best, time.process_time() - began)
    return len(orders) / best


def draw_sets(folder: Path, step: int, seed: int) -> list[Path]:
    """Write every so many cells of each size and return the files; all cells of the smallest."""
    files = []
    for size in (30, 60, 120):
        for number, cell in list(enumerate(cells(size), start=1))[:: 1 if size == 30 else step]:
            files.append(folder / f"j{size}{DRAWN}_{number}_{seed}.rcp")
            files[-1].write_text(drawn(cell, seed).patterson(), encoding="ascii")
    return files


def measure_sets(files: list[Path], options: argparse.Namespace) -> bool:
    """Measure and report instances set by set; return whether all reach their targets."""
    by_set: dict[str, list[Path]] = defaultdict(list)
    for file in files:
        by_set[file.stem.split("_")[0]].append(file)
    print(
        "set         inst  s best rule  bare CP     ours  ours:CP open  ours:CP     gap "
        " proven  first longest    CPU  load"
    )
    kept = True
    for name, ones in by_set.items():
        if name.removesuffix(DRAWN) not in options.sets.split(","):
            continue
        seconds = PROOF_SECONDS if name.startswith("j30") else options.seconds
        rows = []
        for file in ones:
            rows.append(measured(file, seconds))
            if options.each:
                row = rows[-1]
                print(
                    f"  {row.name}: rule {row.rule}, bare {row.bare}, ours {row.found.makespan}, "
                    f"bound {row.found.bound}, {row.took:.1f} s",
                    flush=True,
                )
        kept = report(name, rows, seconds) and kept
    return kept


def main() -> int:
    """Measure the instances of a folder, and drawn ones."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("folder", nargs="?", type=Path, default=DATA)
    asked.add_argument("--seconds", type=float, default=5.0)
    asked.add_argument("--sets", default="j30,j60,j120")
    asked.add_argument("--drawn", type=int, default=0, metavar="N", help="draw every N-th cell")
    asked.add_argument("--seed", type=int, default=1, help="of what is drawn")
    asked.add_argument("--each", action="store_true", help="print every instance")
    options = asked.parse_args()
    files = sorted(options.folder.glob("*.rcp"), key=_by_size)
    with tempfile.TemporaryDirectory() as folder:
        new = draw_sets(Path(folder), options.drawn, options.seed) if options.drawn else []
        kept = measure_sets([*files, *new], options)
    kept = shop_kept() and kept
    largest = max(files, key=_by_size, default=None)
    if largest is not None:
        print(f"serial schedules of {largest.stem}: {rate(largest):,.0f} a second of CPU time")
    return 0 if kept else 1


def _by_size(file: Path) -> tuple[int, str]:
    """Return the number in the name of a set, and the name."""
    return int(file.stem.split("_")[0].removeprefix("j")), file.stem


if __name__ == "__main__":
    sys.exit(main())
