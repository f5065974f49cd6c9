"""Random draws by name.

Every source of uncertainty has a stream of its own, made from the seed and its name.
So adding a task changes no other task's draws, and a plan and its what-if cases meet
the same luck: their difference is what the case does, not noise.
"""

from __future__ import annotations

from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.shapes import POINTS, normal_edges, normal_table

Indices = NDArray[np.uint16]
Floats32 = NDArray[np.float32]

_SHIFT = np.uint16(16 - (POINTS.bit_length() - 1))


def draw_indices(seed: int, name: str, block: int, runs: int) -> Indices:
    """
    Draw table indices, uniform over 0..POINTS - 1, shape (runs,).

    A longer draw begins with the shorter one.
    """
    return np.right_shift(_draw_words(seed, name, block, runs), _SHIFT)


def draw_struck(
    seed: int, name: str, probability: float, block: int, runs: int
) -> NDArray[np.intp]:
    """Draw in which runs something happens, to 1 in 65,536: their numbers, ascending."""
    words = _draw_words(seed, name, block, runs)
    return np.flatnonzero(words < np.int32(round(probability * (1 << 16))))


def draw_normals(seed: int, name: str, block: int, runs: int) -> NDArray[np.float64]:
    """Draw standard normal values, shape (runs,)."""
    return normal_table().take(draw_indices(seed, name, block, runs))


def draw_related_indices(
    seed: int, name: str, group: str, share: float, block: int, runs: int
) -> Indices:
    """
    Draw table indices that are related within a group, shape (runs,).

    Each is uniform by itself; the normal scores of two names of one group have
    correlation `share` (a Gaussian copula).
    """
    common = draw_normals(seed, group, block, runs)
    own = draw_normals(seed, name, block, runs)
    score = np.sqrt(share) * common + np.sqrt(1 - share) * own
    return normal_edges().searchsorted(score).astype(np.uint16)


def _draw_words(seed: int, name: str, block: int, runs: int) -> Indices:
    """
    Draw 16 random bits for each run.

    The bits are those of numpy's SFC64, whose stream is the same on every machine.
    """
    digest = blake2b(f"{seed}/{block}/{name}".encode(), digest_size=16).digest()
    bits = np.random.SFC64(int.from_bytes(digest, "little"))
    words: NDArray[np.uint64] = bits.random_raw(-(-runs // 4)).astype("<u8", copy=False)
    return words.view("<u2")[:runs].astype(np.uint16, copy=False)
