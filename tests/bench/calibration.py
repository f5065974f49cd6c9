"""Are the tool's chances true? Hundreds of made-up restorations walked through month by month.

Run with ``python -m tests.bench.calibration --restorations 300``. On the first day and on
the first of each month until all is finished, the tool and its rivals forecast the finish
from what is known that morning; afterwards they are held against what happened. Ends with
status 1 if the 10-to-90 band holds the truth in less than 74 or more than 86 of 100
forecasts, or if a rival has a lower score (CRPS, calendar days).

``--tell`` and ``--hide`` say which source the tool misjudges: what is told beforehand is
no source of error any more, what is hidden cannot mislead.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from multiprocessing import Pool
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.model import Plan
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty import simulate
from tests.bench.hidden_truth import draw_restoration
from tests.bench.rivals import EarnedSchedule, critical_path, pert, pert_with_allowances
from tests.bench.scoring import Forecast, Sample, Score, Share, score, share_by_cluster
from tests.bench.walker import HIDEABLE, SOURCES, Walk

Floats = NDArray[np.float64]

LEAST_COVERAGE, MOST_COVERAGE = 0.74, 0.86
TOOL = "the tool"
RIVALS = ("critical path", "PERT", "PERT, allowances", "earned schedule")
JUDGED = ("critical path", "PERT", "earned schedule")
"""The rivals that are taught; PERT with allowances is shown beside them."""
STAGES = ("first third", "middle third", "last third")
SEED = 20260105


@dataclass(frozen=True, slots=True)
class Options:
    """What is walked through, and how."""

    seed: int
    runs: int
    told: frozenset[str]
    hidden: frozenset[str]


@dataclass(frozen=True, slots=True)
class Row:
    """One morning's forecasts, held against the truth."""

    restoration: int
    share_of_time: float
    scores: dict[str, Score]
    rank: float
    """Share of the tool's runs that finish before the truth."""
    seconds: float
    """What the tool took."""


def walk_through(options: Options, number: int) -> list[Row]:
    """Walk through one restoration and forecast each month."""
    restoration = draw_restoration(options.seed, number)
    walk = Walk(restoration, number, options.told, options.hidden)
    days = list(walk.dates())
    baseline = EarnedSchedule.of(walk.plan_on(days[0]))
    rows = []
    for day in days:
        plan = walk.plan_on(day)
        begun = perf_counter()
        sample = Sample(simulate(plan, runs=options.runs).finish / TICKS_PER_DAY)
        seconds = perf_counter() - begun
        forecasts = {TOOL: sample, **_rivals(plan, baseline)}
        scores = {name: score(one, walk.finish) for name, one in forecasts.items()}
        rows.append(Row(number, walk.share_of_time(day), scores, sample.rank(walk.finish), seconds))
    return rows


def _rivals(plan: Plan, baseline: EarnedSchedule) -> dict[str, Forecast]:
    """Let every rival forecast."""
    found = (critical_path(plan), pert(plan), pert_with_allowances(plan), baseline.forecast(plan))
    return dict(zip(RIVALS, found, strict=True))


class Results:
    """All forecasts of all restorations, as columns."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.rows = rows
        self.restoration = np.array([row.restoration for row in rows], dtype=np.int64)
        self.time = np.array([row.share_of_time for row in rows])
        self.rank = np.array([row.rank for row in rows])

    def column(self, name: str, value: Callable[[Score], float]) -> Floats:
        """Return one figure of one forecaster."""
        return np.array([value(row.scores[name]) for row in self.rows], dtype=np.float64)

    def share(self, name: str, hit: Callable[[Score], float], part: NDArray[np.bool_]) -> Share:
        """Return in how many forecasts of a part something is true."""
        return share_by_cluster(self.column(name, hit)[part], self.restoration[part])

    def stages(self) -> Iterator[tuple[str, NDArray[np.bool_]]]:
        """Yield each third of the time, and the whole."""
        third = np.minimum((self.time * 3).astype(np.int64), 2)
        for number, name in enumerate(STAGES):
            yield name, third == number
        yield "all", np.ones(self.time.size, dtype=bool)


def print_coverage(results: Results) -> None:
    """Print how often the tool's bands hold the truth."""
    print("\nHow often the truth is where the tool says (± standard error, by restoration)")
    print(f"{'':14}{'forecasts':>10}{'25-75 (50 %)':>17}{'10-90 (80 %)':>17}"
          f"{'by 80 (80 %)':>17}{'width 10-90':>13}{'bias':>8}")  # fmt: skip
    for stage, part in results.stages():
        shares = (
            results.share(TOOL, lambda one: one.within_50, part),
            results.share(TOOL, lambda one: one.within_80, part),
            results.share(TOOL, lambda one: one.by_80, part),
        )
        width = results.column(TOOL, lambda one: one.width_80)[part].mean()
        bias = results.column(TOOL, lambda one: one.error)[part].mean()
        print(f"{stage:14}{int(part.sum()):10}", *(f"{one!s:>16}" for one in shares),
              f"{width:9.0f} d {bias:+6.1f} d")  # fmt: skip


def print_scores(results: Results) -> None:
    """Print errors and scores of all forecasters."""
    for title, value in (
        ("Mean absolute error of the likely date", lambda one: abs(one.error)),
        ("Bias of the likely date (plus: too late)", lambda one: one.error),
        ("CRPS", lambda one: one.crps),
    ):
        print(f"\n{title} [calendar days]")
        print(f"{'':20}" + "".join(f"{stage:>14}" for stage, _ in results.stages()))
        for name in (TOOL, *RIVALS):
            column = results.column(name, value)
            cells = (column[part].mean() for _, part in results.stages())
            print(f"{name:20}" + "".join(f"{cell:14.1f}" for cell in cells))


def print_comparison(results: Results) -> None:
    """Print how much better the tool's score is, restoration by restoration."""
    print("\nCRPS of the tool over that of its rivals; mean of (rival - tool) ± standard error")
    tool = results.column(TOOL, lambda one: one.crps)
    for name in RIVALS:
        rival = results.column(name, lambda one: one.crps)
        gain = share_by_cluster(rival - tool, results.restoration)
        bands = results.share(name, lambda one: one.within_80, np.ones(tool.size, dtype=bool))
        print(f"{name:20}{tool.mean() / rival.mean():6.2f}   {gain.share:+6.1f} ± "
              f"{gain.standard_error:.1f} d   its 80 % band holds {bands}")  # fmt: skip


def print_ranks(results: Results) -> None:
    """Print where the truth falls among the tool's runs: flat if the chances are true."""
    print(
        "\nWhere the truth falls among the runs, in ten parts (10 % each if the chances are true)"
    )
    for stage, part in results.stages():
        counts, _ = np.histogram(results.rank[part], bins=10, range=(0, 1))
        print(f"{stage:14}" + "".join(f"{100 * one / part.sum():6.1f}" for one in counts))


def judge(results: Results) -> list[str]:
    """Return what is not as it must be."""
    whole = np.ones(results.time.size, dtype=bool)
    faults = []
    coverage = results.share(TOOL, lambda one: one.within_80, whole).share
    if not LEAST_COVERAGE <= coverage <= MOST_COVERAGE:
        faults.append(f"the 80 % band holds {100 * coverage:.1f} % of the truths, not 74 to 86")
    tool = results.column(TOOL, lambda one: one.crps).mean()
    for name in JUDGED:
        rival = results.column(name, lambda one: one.crps).mean()
        if tool >= rival:
            faults.append(f"{name} scores {rival:.1f} d, the tool {tool:.1f} d")
    return faults


def main(arguments: Sequence[str] | None = None) -> int:
    """Walk through all restorations, print tables, judge."""
    chosen = _parser().parse_args(arguments)
    told, hidden = frozenset(chosen.tell), frozenset(chosen.hide)
    options = Options(chosen.seed, chosen.runs, told, hidden)
    begun = perf_counter()
    with Pool(chosen.processes) as pool:
        work = partial(walk_through, options)
        rows = [row for one in pool.imap(work, range(chosen.restorations)) for row in one]
    results = Results(rows)
    tool = sum(row.seconds for row in rows) / len(rows)
    print(
        f"{chosen.restorations} restorations, {len(rows)} forecasts of {chosen.runs} runs, "
        f"seed {chosen.seed}: {perf_counter() - begun:.0f} s; a forecast {1000 * tool:.0f} ms"
    )
    if told or hidden:
        print(
            f"told beforehand: {sorted(told) or 'nothing'}; hidden: {sorted(hidden) or 'nothing'}"
        )
    print("The truth's spreads, biases and shapes are drawn shop by shop; none is the tool's own.")
    print_coverage(results)
    print_scores(results)
    print_comparison(results)
    print_ranks(results)
    faults = judge(results)
    print("\n" + ("; ".join(faults) if faults else "as it must be"))
    return 1 if faults else 0


def _parser() -> argparse.ArgumentParser:
    """Return the options of the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.calibration")
    parser.add_argument("--restorations", type=int, default=300)
    parser.add_argument("--runs", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--tell", nargs="*", choices=SOURCES, default=[])
    parser.add_argument("--hide", nargs="*", choices=HIDEABLE, default=[])
    return parser


if __name__ == "__main__":
    sys.exit(main())
