"""Peak memory of a simulation in a process of its own.

Run with ``python -m tests.bench.simulation_memory``. Each size is simulated in a fresh
interpreter, which reports the most memory it ever held (VmHWM of Linux), imports and plan
included. Ends with status 1 if 10,000 runs of 1,000 activities take 700 MB or more.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from ribstitch.planning.uncertainty import simulate
from tests.bench.uncertain_plans import uncertain_lanes

TARGET_MB = 700.0
JUDGED = (1_000, 10_000)
SIZES = ((1, 1), JUDGED, (1_000, 40_000), (4_000, 10_000))


def peak_of_a_simulation(size: int, runs: int) -> float:
    """Return the peak memory of a fresh process that simulates a plan. [MB]"""
    answer = subprocess.run(
        [sys.executable, "-m", "tests.bench.simulation_memory", str(size), str(runs)],
        check=True,
        capture_output=True,
        text=True,
    )
    return float(answer.stdout)


def own_peak() -> float:
    """Return the most memory this process has held. [MB]"""
    lines = Path("/proc/self/status").read_text().splitlines()
    kilobytes = next(line.split()[1] for line in lines if line.startswith("VmHWM"))
    return int(kilobytes) * 1024 / 1e6


def main(arguments: list[str]) -> int:
    """Simulate one size and print the peak, or measure all sizes."""
    if arguments:
        size, runs = map(int, arguments)
        simulate(uncertain_lanes(size, seed=1, spread=0.1), runs=runs)
        print(own_peak())
        return 0
    peaks = {}
    for size, runs in SIZES:
        peaks[size, runs] = peak_of_a_simulation(size, runs)
        print(f"{size:6,} activities, {runs:6,} runs: {peaks[size, runs]:7.1f} MB")
    print(f"target below {TARGET_MB:.0f} MB for {JUDGED[0]:,} activities and {JUDGED[1]:,} runs")
    return 0 if peaks[JUDGED] < TARGET_MB else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
