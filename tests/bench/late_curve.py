"""A late curve of 120 columns on 1,000 activities against one single pass.

Run with ``python -m tests.bench.late_curve``. A single pass is forward and backward, as
in `tests.bench.passes`; the figure against a forward pass alone is printed too. Ends
with status 1 if the curve disagrees with re-scheduling, or if it takes more than ten
times the single pass.
"""

from __future__ import annotations

import sys

from ribstitch.planning import late_curve, schedule
from ribstitch.planning.model import Plan
from ribstitch.planning.passes import forward
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.bench.passes import both_passes, fastest
from tests.bench.plans import lanes, windows, with_vendor

TARGET = 10.0
COLUMNS = 120

SHAPES: dict[str, Plan] = {
    "20 lanes of 50": with_vendor(lanes(20, 50, seed=1)),
    "10 lanes of 100": with_vendor(lanes(10, 100, seed=2)),
    "random, window 60": with_vendor(windows(1_000, 60, seed=3)),
    "20 lanes, 1 link in 3 mixed": with_vendor(lanes(20, 50, seed=4, mixed=0.33)),
}


def measure(name: str, plan: Plan) -> float:
    """Measure one shape, print a line, return the ratio to a single pass."""
    result = schedule(plan)
    legs = [f"{item.id}/vendor_work" for item in plan.send_outs]
    curve = late_curve(result, legs, COLUMNS - 1)
    for days in (0, 1, 30, COLUMNS - 1):
        again = schedule(plan, delays=dict.fromkeys(legs, days * TICKS_PER_DAY))
        if again.project_finish != curve.finish[days]:
            raise SystemExit(f"{name}: {days} days late: {again.project_finish} is not the curve's")
    prepared = result.prepared
    one = fastest(lambda: forward(prepared.network, prepared.values), 50)
    both = fastest(lambda: both_passes(prepared), 50)
    many = fastest(lambda: late_curve(result, legs, COLUMNS - 1), 20)
    print(
        f"{name:29} levels {len(prepared.network.levels):4}  forward {one:5.2f} ms  "
        f"forward and backward {both:5.2f} ms  curve of {COLUMNS} {many:6.2f} ms = "
        f"{many / one:4.1f} x forward, {many / both:4.1f} x both"
    )
    return many / both


def main() -> int:
    """Measure every shape."""
    most = max(measure(name, plan) for name, plan in SHAPES.items())
    print(f"most: {most:.1f} x a single pass, forward and backward (target at most {TARGET:.0f} x)")
    return 0 if most <= TARGET else 1


if __name__ == "__main__":
    sys.exit(main())
