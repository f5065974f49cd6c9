"""What is drawn in all runs."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.courses import Draw, Factor, RiskDraw, Step
from ribstitch.planning.uncertainty.grains import Ints32
from ribstitch.planning.uncertainty.shapes import Floats, hidden_work_table
from ribstitch.planning.uncertainty.streams import Indices, Streams

Floats32 = NDArray[np.float32]

_MOST = np.float32(1 << 30)
"""Work beyond this is beyond all calendars, and sums of it would overflow. [grains]"""


class Luck:
    """
    The draws of some runs; the same question always has the same answer.

    Parameters
    ----------
    factors
        The shared factors, by name.
    seed
        Which draws.
    runs
        How many runs there are; the first do not depend on how many follow.
    unit
        What drawn work is rounded to. [grains]
    """

    def __init__(self, factors: Mapping[str, Factor], seed: int, runs: int, unit: int = 1) -> None:
        self._factors = factors
        self._streams = Streams(seed, runs)
        self.runs = runs
        self._unit = unit
        self._products: dict[tuple[str, ...], Floats32] = {}
        self._shared: dict[str, Floats] = {}

    def work(self, step: Step) -> Ints32:
        """Draw the work of a step, shape (runs,), or (1,) if it is certain. [grains]"""
        certain = np.array([step.work], dtype=np.int32)
        work = certain if step.draw is None else self.drawn(step.draw)
        for risk in step.risks:
            work = self._with_risk(work, risk)
        return work

    def take(self, name: str, table: Floats) -> Ints32:
        """Draw from a table, shape (runs,), rounded to units. [grains]"""
        indices = self._streams.indices(name)
        return self._whole(table, 0).take(indices)

    def struck(self, name: str, probability: float) -> NDArray[np.intp]:
        """Draw in which runs something happens."""
        return self._streams.struck(name, probability)

    def drawn(self, draw: Draw) -> Ints32:
        """Draw work with its factors and without what risks add, shape (runs,). [grains]"""
        indices = self.places(draw)
        if not draw.factors:
            return self._whole(draw.table, draw.least).take(indices, mode="clip")
        work = (draw.table / self._unit).astype(np.float32).take(indices, mode="clip")
        work *= self.product(draw.factors)
        np.minimum(work, _MOST / self._unit, out=work)
        np.rint(work, out=work)
        if draw.least > 0:
            np.maximum(work, np.float32(1), out=work)
        whole = work.astype(np.int32)
        return whole if self._unit == 1 else whole * np.int32(self._unit)

    def _whole(self, table: Floats, least: int) -> Ints32:
        """Round a table to units, `least` of them at least. [grains]"""
        exact = table + 0.5 if self._unit == 1 else table / self._unit + 0.5
        whole: Ints32 = exact.astype(np.int32)
        if least > 0 and whole[0] < least:
            np.maximum(whole, np.int32(least), out=whole)
        return whole if self._unit == 1 else whole * np.int32(self._unit)

    def places(self, draw: Draw) -> Indices:
        """Draw where in its table the work of a step stands, shape (runs,): its own luck."""
        if draw.group is None or draw.share == 0:
            return self._streams.indices(draw.name)
        return self._streams.related_indices(draw.name, draw.group, draw.share)

    def _with_risk(self, work: Ints32, risk: RiskDraw) -> Ints32:
        """Add what a risk costs where it strikes."""
        struck = self.struck(f"{risk.id}/strikes", risk.probability)
        if struck.size == 0:
            return work
        longer = np.broadcast_to(work, (self.runs,)).copy()
        longer[struck] += self.take(f"{risk.id}/impact", risk.table)[struck]
        return longer

    def product(self, names: tuple[str, ...]) -> Floats32:
        """Return the product of shared factors in each run, shape (runs,)."""
        known = self._products.get(names)
        if known is None:
            product = self._factor(names[0])
            for name in names[1:]:
                product = product * self._factor(name)
            known = self._products[names] = product.astype(np.float32)
        return known

    def _factor(self, name: str) -> Floats:
        """Draw a shared factor."""
        factor = self._factors[name]
        if factor.hidden_share:
            indices = self._streams.indices(name)
            return np.asarray(1 + factor.hidden_share * hidden_work_table().take(indices))
        exponent = np.full(self.runs, factor.mean)
        for normal, loading in factor.loadings.items():
            exponent += loading * self._normals(normal)
        return np.asarray(np.exp(exponent))

    def _normals(self, name: str) -> Floats:
        """Draw standard normal values that several factors may share."""
        known = self._shared.get(name)
        if known is None:
            known = self._streams.normals(name)
            self._shared[name] = known
        return known
