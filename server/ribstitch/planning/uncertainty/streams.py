"""Random draws by name.

Every source of uncertainty has a stream of its own, made from the seed and its name.
So adding a task changes no other task's draws, and a plan and its what-if cases meet
the same luck: their difference is what the case does, not noise.
"""

from __future__ import annotations

from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.shapes import POINTS, Floats, normal_edges, normal_table

Indices = NDArray[np.uint16]

_SHIFT = np.uint16(16 - (POINTS.bit_length() - 1))
_CHANCES = 1 << 16


class Streams:
    """
    All streams of some runs. The same question always has the same answer.

    The bits are those of numpy's SFC64, the same on every machine, set to a state that is
    a hash of seed and name. A longer draw begins with the shorter one.

    Parameters
    ----------
    seed
        Which draws.
    runs
        How many values each draw has.
    """

    def __init__(self, seed: int, runs: int) -> None:
        self.runs = runs
        self._prefix = f"{seed}/"
        self._bits = np.random.SFC64(0)
        self._state = np.ones(4, dtype=np.uint64)

    def indices(self, name: str) -> Indices:
        """Draw table indices, uniform over 0..POINTS - 1, shape (runs,)."""
        return self._words(name) >> _SHIFT

    def normals(self, name: str) -> Floats:
        """Draw standard normal values, shape (runs,)."""
        return normal_table().take(self.indices(name))

    def related_indices(self, name: str, group: str, share: float) -> Indices:
        """
        Draw table indices that are related within a group, shape (runs,).

        Each is uniform by itself; the normal scores of two names of one group have
        correlation `share` (a Gaussian copula).
        """
        score = np.sqrt(share) * self.normals(group) + np.sqrt(1 - share) * self.normals(name)
        indices: Indices = normal_edges().searchsorted(score).astype(np.uint16)
        return indices

    def struck(self, name: str, probability: float) -> NDArray[np.intp]:
        """Draw in which runs something happens, to 1 in 65,536: their numbers, ascending."""
        return np.flatnonzero(self._words(name) < np.int32(round(probability * _CHANCES)))

    def _words(self, name: str) -> Indices:
        """Draw 16 random bits for each run."""
        digest = blake2b((self._prefix + name).encode(), digest_size=24).digest()
        self._state[:3] = np.frombuffer(digest, dtype="<u8")
        self._bits.state = {
            "bit_generator": "SFC64",
            "state": {"state": self._state},
            "has_uint32": 0,
            "uinteger": 0,
        }
        words = self._bits.random_raw(-(-self.runs // 4)).astype("<u8", copy=False)
        halves: Indices = words.view("<u2")[: self.runs]
        return halves
