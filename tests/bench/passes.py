"""Forward and backward pass against the yardstick at 10,000 activities.

Run with ``python -m tests.bench.passes``. Prints milliseconds (the fastest of several
runs, side by side in one process) and how many times faster the passes are: with the
structure prepared once, as when a status changes, and with preparation counted. The
targets are for finish-start links, which nearly all links of a restoration are; shapes
with other relations and lags are measured beside them. Ends with status 1 if the two
disagree on a single tick or a target is missed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import perf_counter

from ribstitch.planning.model import Plan
from ribstitch.planning.network import network_of
from ribstitch.planning.passes import backward, forward
from ribstitch.planning.prepared import Prepared, prepare
from tests.bench.plans import lanes, windows
from tests.bench.yardstick import PlainDates, Yardstick

PREPARED_TARGET = 20.0
WHOLE_TARGET = 1.0

SHAPES: dict[str, Callable[[], Plan]] = {
    "100 lanes of 100": lambda: lanes(100, 100, seed=1),
    "200 lanes of 50": lambda: lanes(200, 50, seed=2),
    "random, window 1,000": lambda: windows(10_000, 1_000, seed=3),
    "random, window 300": lambda: windows(10_000, 300, seed=4),
}
MIXED_SHAPES: dict[str, Callable[[], Plan]] = {
    "100 lanes, 1 link in 20 mixed": lambda: lanes(100, 100, seed=7, mixed=0.05),
    "100 lanes, 1 link in 3 mixed": lambda: lanes(100, 100, seed=5, mixed=0.33),
    "window 300, 1 link in 3 mixed": lambda: windows(10_000, 300, seed=6, mixed=0.33),
}


def fastest(work: Callable[[], object], runs: int) -> float:
    """Return the shortest time of several runs. [ms]"""
    times = []
    for _ in range(runs):
        begun = perf_counter()
        work()
        times.append(perf_counter() - begun)
    return 1000 * min(times)


def both_passes(prepared: Prepared) -> None:
    """Compute early and late dates with the structure in hand."""
    backward(prepared.network, prepared.values, forward(prepared.network, prepared.values))


def from_the_plan(plan: Plan) -> None:
    """Compute early and late dates with nothing in hand but the plan."""
    network_of.cache_clear()
    both_passes(prepare(plan))


def check_equal(prepared: Prepared, dates: PlainDates) -> None:
    """Compare every date of the two, to the tick."""
    early = forward(prepared.network, prepared.values)
    late = backward(prepared.network, prepared.values, early)
    begin, end = early.begin.ravel(), early.end.ravel()
    late_begin, late_end = late.begin.ravel(), late.end.ravel()
    for name in prepared.number:
        rank = prepared.rank(name)
        ours = [int(one) for one in (begin[rank], end[rank], late_begin[rank], late_end[rank])]
        theirs = [
            dates.start[name],
            dates.finish[name],
            dates.late_start[name],
            dates.late_finish[name],
        ]
        if ours != theirs:
            raise SystemExit(f"{name}: {ours} is not {theirs}")


def measure(name: str, plan: Plan) -> tuple[float, float]:
    """Measure one shape, print a line, return both ratios."""
    prepared = prepare(plan)
    first, days = prepared.network.tables.first, prepared.network.tables.days
    yardstick = Yardstick(plan, first, days)
    check_equal(prepared, yardstick.passes())
    reference = fastest(yardstick.passes, 5)
    reference_whole = fastest(lambda: Yardstick(plan, first, days).passes(), 3)
    ready = fastest(lambda: both_passes(prepared), 20)
    whole = fastest(lambda: from_the_plan(plan), 5)
    print(
        f"{name:31} levels {len(prepared.network.levels):4}  links {len(plan.links):6}  "
        f"yardstick {reference:6.1f} ms ({reference_whole:6.1f} with its preparation)  "
        f"prepared {ready:6.2f} ms = {reference / ready:5.1f} x  "
        f"from the plan {whole:6.1f} ms = {reference_whole / whole:4.2f} x"
    )
    return reference / ready, reference_whole / whole


def main() -> int:
    """Measure every shape; judge those with finish-start links."""
    ratios = [measure(name, shape()) for name, shape in SHAPES.items()]
    for name, shape in MIXED_SHAPES.items():
        measure(name, shape())
    ready, whole = min(one[0] for one in ratios), min(one[1] for one in ratios)
    print(
        f"least with finish-start links: {ready:.1f} x prepared (target {PREPARED_TARGET:.0f} x), ",
        end="",
    )
    print(f"{whole:.2f} x with preparation (target more than {WHOLE_TARGET:.0f} x)")
    return 0 if ready >= PREPARED_TARGET and whole > WHOLE_TARGET else 1


if __name__ == "__main__":
    sys.exit(main())
