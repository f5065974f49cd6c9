"""Job shops as projects with machines of capacity 1.

ft06 and ft10: H. Fisher & G. L. Thompson, in Muth & Thompson (eds), Industrial
Scheduling, 1963; la01: S. Lawrence, 1984. Shortest makespans 55, 930 and 666 are
published; all are compared exactly. ft10 takes longer and stands in tests/bench.
"""

from __future__ import annotations

import time

import pytest

from ribstitch.planning.levelling import level_project
from tests.support.job_shops import SHOPS, as_project, shop_faults


@pytest.mark.parametrize(("name", "shortest"), [("ft06", 55), ("la01", 666)])
def test_job_shop_is_solved_and_proven(name: str, shortest: int) -> None:
    project = as_project(SHOPS[name])
    found = level_project(project, seconds=20, clock=time.monotonic)
    assert shop_faults(SHOPS[name], found.starts) == []
    assert (found.makespan, found.bound) == (shortest, shortest)
