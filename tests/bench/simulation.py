"""The simulation of 1,000 activities on three calendars, 10,000 runs, against two yardsticks.

Run with ``python -m tests.bench.simulation``. Measured are the runs of a plan that has been
laid out: works are drawn, every run is dated on a five-day week with holidays, a four-day
week and elapsed time, and the finish of every activity gets its percentiles and its
criticality. Beside it stands `simulate` as a caller meets it, which checks, schedules and
lays out the plan first, at the same cost for one run as for all. The yardsticks, in the
same process:

- drawing alone: ten million beta variates of numpy's generator, the activities' own alphas
  and betas, 10,000 of each; drawn activity by activity or all at once, whichever is
  faster. One single shape is printed beside it;
- a loop run by run over the same plan (`tests.bench.run_by_run`), on fewer runs and scaled.

Before anything is timed the two simulations are compared: means, percentiles and
criticality must agree within sampling error. Times are the fastest of several. Ends with
status 1 if they disagree or a target is missed.
"""

from __future__ import annotations

import sys
from bisect import bisect_left, bisect_right
from collections.abc import Callable
from itertools import pairwise
from math import sqrt

import numpy as np

from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import start_of
from ribstitch.planning.uncertainty import Simulation, simulate
from ribstitch.planning.uncertainty.answers import run_courses
from ribstitch.planning.uncertainty.simulate import horizon_days
from ribstitch.planning.uncertainty.sources import model_of
from tests.bench.passes import fastest
from tests.bench.run_by_run import LEVELS, Found, RunByRun
from tests.bench.simulation_memory import peak_of_a_simulation
from tests.bench.uncertain_plans import uncertain_lanes

SIZE, RUNS = 1_000, 10_000
LOOP_RUNS = 100
ROUNDS = 9
COMPARED_RUNS = 3_000
ERRORS = 4.0
ERRORS_OF_THE_WORST = 5.0
"""Allowed to the worst of thousands of figures."""
DRAWING_TARGET = 0.2
LOOP_TARGET = 25.0
MEMORY_TARGET_MB = 700.0


def runs_of(plan: Plan) -> Callable[[], object]:
    """Return what goes through the runs of a plan that has been scheduled and laid out."""
    planned = schedule(plan)
    model = model_of(planned)
    days = horizon_days(planned)
    return lambda: run_courses(model, runs=RUNS, seed=1, horizon_days=days)


def measured(plan: Plan, related: Plan, loop: RunByRun) -> dict[str, float]:
    """Return the fastest times of all that is compared, taken in turns. [ms]"""
    draw = np.random.default_rng(1)
    shapes = list(zip(loop.alpha.tolist(), loop.beta.tolist(), strict=True))
    alpha, beta = loop.alpha[:, None], loop.beta[:, None]
    works: dict[str, Callable[[], object]] = {
        "activity by activity": lambda: [draw.beta(a, b, RUNS) for a, b in shapes],
        "all at once": lambda: draw.beta(alpha, beta, (SIZE, RUNS)),
        "one shape": lambda: draw.beta(1.8, 4.2, SIZE * RUNS),
        "loop": lambda: loop.simulate(LOOP_RUNS, seed=1),
        "runs alone": runs_of(plan),
        "runs alone, shared factors": runs_of(related),
        "simulate": lambda: simulate(plan, runs=RUNS),
        "simulate, shared factors": lambda: simulate(related, runs=RUNS),
    }
    rounds = [{name: fastest(work, 1) for name, work in works.items()} for _ in range(ROUNDS)]
    best = {name: min(times[name] for times in rounds) for name in works}
    best["loop"] *= RUNS / LOOP_RUNS
    return best


def check_equal(plan: Plan, result: Simulation, found: Found) -> None:
    """Compare what the two found, within the sampling errors of both."""
    begin = start_of(plan.project.start)
    ours = (result.finish - begin).astype(float)
    theirs = np.array(found.finish, dtype=float)
    error = sqrt(ours.var() / ours.size + theirs.var() / theirs.size)
    means = abs(float(ours.mean() - theirs.mean())) / error
    index = np.array(found.criticality)
    pooled = (index * theirs.size + result.criticality * ours.size + 1) / (
        theirs.size + ours.size + 2
    )
    errors = np.sqrt(pooled * (1 - pooled) * (1 / theirs.size + 1 / ours.size))
    chains = float((np.abs(result.criticality - index) / errors).max())
    percentiles = max(
        _percentiles_apart(row.tolist(), ordered, ours.size)
        for row, ordered in zip(result.percentile_finishes - begin, found.ordered, strict=True)
    )
    print(
        f"apart by standard errors, over {theirs.size:,} runs of the loop: mean finish "
        f"{means:.1f}; the worst of {index.size:,} activities: criticality {chains:.1f}, "
        f"percentiles {percentiles:.1f}"
    )
    if means > ERRORS or max(chains, percentiles) > ERRORS_OF_THE_WORST:
        raise SystemExit("the two do not agree")


def _percentiles_apart(row: list[int], ordered: list[int], runs: int) -> float:
    """
    Return by how many standard errors the percentiles of one activity are off.

    A percentile is judged by the share of the loop's runs on either side of it, so that a
    weekend or a holiday beside it does not matter.
    """
    worst, count = 0.0, len(ordered)
    for level, instant in zip(LEVELS, row, strict=True):
        p = level / 100
        error = sqrt(p * (1 - p) * (1 / count + 1 / runs))
        below, by = bisect_left(ordered, instant) / count, bisect_right(ordered, instant) / count
        worst = max(worst, (below - p) / error, (p - by) / error)
    return worst


def time_of(plan: Plan, runs: int) -> float:
    """Return how long a simulation takes, the fastest of three. [ms]"""
    return fastest(lambda: simulate(plan, runs=runs), 3)


def linearity() -> None:
    """Print times by runs and by activities."""
    by_runs = [(SIZE, runs) for runs in (2_500, 5_000, 10_000, 20_000, 40_000)]
    by_size = [(size, RUNS) for size in (250, 500, 1_000, 2_000, 4_000)]
    print("\nactivities    runs      ms   nanoseconds a cell")
    growth = []
    for rows in (by_runs, by_size):
        times = [time_of(uncertain_lanes(size, seed=1), runs) for size, runs in rows]
        for (size, runs), time in zip(rows, times, strict=True):
            print(f"{size:10,}  {runs:6,}  {time:6.1f}   {1e6 * time / (size * runs):6.1f}")
        growth.append(max(after / before for before, after in pairwise(times)))
    print(f"twice the runs: at most {growth[0]:.2f} x, twice the activities: {growth[1]:.2f} x")


def main() -> int:
    """Compare, then measure."""
    plan = uncertain_lanes(SIZE, seed=1)
    related = uncertain_lanes(SIZE, seed=1, spread=0.1)
    loop = RunByRun(plan)
    print(f"{SIZE:,} activities, {len(plan.links):,} links, {RUNS:,} runs")
    check_equal(plan, simulate(plan, runs=RUNS, seed=2), loop.simulate(COMPARED_RUNS, seed=3))
    best = measured(plan, related, loop)
    alone, looped = best["runs alone"], best["loop"]
    drawing = min(best["activity by activity"], best["all at once"])
    print(
        f"ten million beta variates: {best['activity by activity']:.0f} ms activity by activity, "
        f"{best['all at once']:.0f} ms at once; {best['one shape']:.0f} ms if all have one shape "
        f"(1.8, 4.2)\nrun by run: {looped / 1000:.1f} s (scaled from {LOOP_RUNS} runs)"
    )
    for name in [name for name in best if name.startswith(("runs alone", "simulate"))]:
        time = best[name]
        print(
            f"{name:26}: {time:6.1f} ms = {time / drawing:.3f} of drawing alone, "
            f"{looped / time:5.1f} x the loop"
        )
    linearity()
    memory = peak_of_a_simulation(SIZE, RUNS)
    print(f"\npeak memory {memory:.0f} MB (target below {MEMORY_TARGET_MB:.0f} MB)")
    print(
        f"targets: at most {DRAWING_TARGET} of drawing alone, {LOOP_TARGET:.0f} x the loop, "
        "both by the runs alone, without shared factors"
    )
    kept = alone / drawing <= DRAWING_TARGET and looped / alone >= LOOP_TARGET
    return 0 if kept and memory < MEMORY_TARGET_MB else 1


if __name__ == "__main__":
    sys.exit(main())
