"""Three-point networks of textbooks, and slow independent answers to compare with.

PERT-1 is Hillier & Lieberman's construction network with their estimates in weeks; PERT-2
Render, Stair & Hanna's foundry; PERT-3 Heizer & Render's stadium job, printed with its
figures. The first two from memory, recomputed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.signal import fftconvolve

Floats = NDArray[np.float64]
REFERENCE_RUNS = 1_000_000
_STEP = 1 / 200


@dataclass(frozen=True)
class ThreePoint:
    """Activities in the order of the work: low, likely, high, what comes before."""

    estimates: dict[str, tuple[float, float, float]]
    before: dict[str, tuple[str, ...]]


def three_point(table: str) -> ThreePoint:
    """Read rows of ``activity preds low likely high``."""
    rows = [line.split() for line in table.strip().splitlines()]
    return ThreePoint(
        {row[0]: (float(row[2]), float(row[3]), float(row[4])) for row in rows},
        {row[0]: () if row[1] == "-" else tuple(row[1].split(",")) for row in rows},
    )


PERT_1 = three_point("""
A -    1  2   3
B A    2 3.5  8
C B    6  9  18
D C    4 5.5 10
E C    1 4.5  5
F E    4  4  10
G D    5 6.5 11
H E,G  5  8  17
I C    3 7.5  9
J F,I  3  9   9
K J    4  4   4
L J    1 5.5  7
M H    1  2   3
N K,L  5 5.5  9
""")

PERT_2 = three_point("""
A -   1 2  3
B -   2 3  4
C A   1 2  3
D A,B 2 4  6
E C   1 4  7
F C   1 2  9
G D,E 3 4 11
H F,G 1 2  3
""")

PERT_3 = three_point("""
A -   20  30  40
B A   20  65  80
C A   50  60 100
D C   30  50 100
E B   25  30  35
F E   0.1 0.1 0.1
G D,E 25  30  35
H G   10  20  30
I H   20  25  60
J H    8  10  12
K J   0.1 0.1 0.1
L I,K 20  25  60
""")


def beta_of(low: float, likely: float, high: float) -> Any:
    """Return scipy's modified beta of an estimate: alpha = 1 + 4 (m - a) / (b - a)."""
    mode = (likely - low) / (high - low)
    return stats.beta(1 + 4 * mode, 5 - 4 * mode, loc=low, scale=high - low)


@dataclass(frozen=True)
class SumOf:
    """The distribution of a sum of independent betas, on a fine grid."""

    values: Floats
    mass: Floats

    def chance_by(self, value: float) -> float:
        """Return the probability of a sum no larger than `value`."""
        cumulative = np.cumsum(self.mass) - self.mass / 2
        return float(np.interp(value, self.values, cumulative))


def sum_of(estimates: list[tuple[float, float, float]]) -> SumOf:
    """Convolve modified betas by fast Fourier transform (scipy.signal)."""
    mass: Floats = np.ones(1)
    begin = 0.0
    for low, likely, high in estimates:
        edges = np.linspace(low, high, round((high - low) / _STEP) + 1)
        mass = np.asarray(
            fftconvolve(mass, np.diff(beta_of(low, likely, high).cdf(edges))), dtype=np.float64
        )
        begin += low + _STEP / 2
    values: Floats = begin + _STEP * np.arange(mass.size, dtype=np.float64)
    return SumOf(values, mass)


@dataclass(frozen=True)
class ManyRuns:
    """A network drawn a million times the plain way, in floating point."""

    length: Floats
    criticality: dict[str, float]
    kurtosis: float

    def density_at(self, p: float) -> float:
        """Return the density at a quantile, from the slope between its neighbours."""
        low, high = np.quantile(self.length, [p - 0.005, p + 0.005])
        return float(0.01 / (high - low))


@cache
def _no_time(runs: int) -> Floats:
    return np.zeros(runs)


def many_runs(network: ThreePoint, seed: int) -> ManyRuns:
    """
    Draw every activity with numpy's beta generator; forward and backward pass.

    Nothing here is shared with the simulation: no tables, no ticks, no driving links. An
    activity is critical in a run if its total float is zero.
    """
    draw = np.random.default_rng(seed)
    none = _no_time(REFERENCE_RUNS)
    work: dict[str, Floats] = {}
    finish: dict[str, Floats] = {}
    for name, (low, likely, high) in network.estimates.items():
        mode = (likely - low) / (high - low) if high > low else 0.0
        work[name] = low + (high - low) * draw.beta(1 + 4 * mode, 5 - 4 * mode, REFERENCE_RUNS)
        start = none
        for one in network.before[name]:
            start = np.maximum(start, finish[one])
        finish[name] = start + work[name]
    length = none
    for end in finish.values():
        length = np.maximum(length, end)
    latest = dict.fromkeys(finish, length)
    criticality = {}
    for name in reversed(list(finish)):
        criticality[name] = float((latest[name] - finish[name] < 1e-9).mean())
        for one in network.before[name]:
            latest[one] = np.minimum(latest[one], latest[name] - work[name])
    return ManyRuns(length, criticality, float(stats.kurtosis(length, fisher=False)))
