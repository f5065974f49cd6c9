"""Cases beside a plan of some 3,000 tasks: how long several take at first, and after an edit.

Run with ``python -m tests.bench.cases``. The service alone is measured, without the network, in
seconds of the processor: medians of three, each with cases that nobody has asked for before. Ends
with status 1 if a target is missed.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from statistics import median

from ribstitch.planfile import read_plan_file
from ribstitch.planning.model import State
from ribstitch.planning.whatif import TaskTakes, VendorLate
from ribstitch.services.compare_cases import AskedCase, compare
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.simulate_cases import CaseSimulations
from ribstitch.services.simulations import Simulations
from tests.bench.levelled_plans import DEMO, copies
from tests.services.views.plans import current_of

COPIES = 12
RUNS = 10_000
CASES = 6
"""The late one and as many as fit beside the plan."""
FIRST_SECONDS = 6.0
EDITED_SECONDS = 1.5


def main() -> int:
    """Measure; return 1 if a target is missed."""
    current = current_of(copies(read_plan_file(DEMO), COPIES))
    known = CaseSimulations(Simulations(RUNS, seed=1), keep=100)
    took = [one_round(current, known, number) for number in range(3)]
    first, edited = (median(side) for side in zip(*took, strict=True))
    print(
        f"{len(current.plan.tasks)} tasks, {CASES} cases: {first:.1f} s at first "
        f"(target {FIRST_SECONDS:.0f}), {edited:.2f} s after one was changed "
        f"(target {EDITED_SECONDS:.1f})"
    )
    return 0 if first <= FIRST_SECONDS and edited <= EDITED_SECONDS else 1


def one_round(current: CurrentPlan, known: CaseSimulations, number: int) -> tuple[float, float]:
    """Return what new cases take, and what they take once more with one of them changed."""
    asked = [case(current, CASES * number + place) for place in range(CASES)]
    changed = [*asked[1:], case(current, 1_000 + number)]
    return seconds(current, asked, known), seconds(current, changed, known)


def case(current: CurrentPlan, number: int) -> AskedCase:
    """Return a case that no other number gives."""
    open_tasks = [one.id for one in current.plan.tasks if one.status.state is State.NOT_STARTED]
    longer = TaskTakes(open_tasks[number % len(open_tasks)], 20.0)
    return AskedCase(f"Case {number}", [longer, VendorLate("V01", 1 + number)])


def seconds(current: CurrentPlan, cases: Sequence[AskedCase], known: CaseSimulations) -> float:
    """Return what a comparison takes. [s of the processor]"""
    began = time.process_time()
    compare(current, cases, known)
    return time.process_time() - began


if __name__ == "__main__":
    sys.exit(main())
