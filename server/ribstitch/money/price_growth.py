"""Prices that may grow until the vendor has looked inside: what to expect, and run by run.

The price of a send-out is what its cost lines of kind "vendor" come to, whatever is paid of
them already; all of it grows, and what it grows by is added to the line.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from ribstitch.money.cost_lines import CostLines, LinePart, booked
from ribstitch.money.entries import Bucket, Origin
from ribstitch.money.minor_units import in_minor_units, worth
from ribstitch.planning.exchange import exchange_of
from ribstitch.planning.model import Cost, Plan
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.uncertainty.price_growth import (
    MOST_GROWN,
    drawn_ratios,
    is_price_open,
    price_growths,
)
from ribstitch.planning.uncertainty.shapes import Floats
from ribstitch.planning.uncertainty.streams import Streams

_OPEN_STATES = frozenset({"estimate", "quoted", "ordered"})


def open_lines(plan: Plan) -> dict[str, list[Cost]]:
    """Return the cost lines that may still grow, by send-out, in order of entry."""
    items = {item.id for item in plan.send_outs if is_price_open(item)}
    found: dict[str, list[Cost]] = {}
    for line in plan.costs:
        is_open = line.kind == "vendor" and line.state in _OPEN_STATES and line.amount > 0
        if is_open and line.send_out is not None and line.send_out in items:
            found.setdefault(line.send_out, []).append(line)
    return found


def expected_growth(prepared: Prepared) -> CostLines:
    """
    Return what open prices grow by on average, an entry for each line.

    The mean and not the median: it is what the courses draw on average, and means add up
    where medians do not.
    """
    plan, lines = prepared.plan, open_lines(prepared.plan)
    as_of = plan.project.as_of
    growths = price_growths(prepared) if lines else {}
    found: list[tuple[Cost, LinePart]] = []
    for send_out, mine in lines.items():
        share = growths[send_out].mean - 1
        for line in mine:
            units = in_minor_units(Fraction(line.amount) * share, line.currency)
            part = LinePart(Bucket.EXPECTED, line.on or as_of, as_of, units, origin=Origin.GROWTH)
            found.append((line, part))
    return booked(plan, [(line, part) for line, part in found if part.units])


def most_growth(plan: Plan) -> float:
    """Return what prices can grow by at most. [minor units of the project's currency]"""
    return (MOST_GROWN - 1) * sum(_worths(plan).values())


def drawn_growth(prepared: Prepared, seed: int, runs: int) -> Floats:
    """
    Draw what prices grow by in each run of a simulation, shape (runs,).

    Streams are named by send-out and vendor: no other draw of that seed depends on them.
    [minor units of the project's currency, not rounded]
    """
    worths = _worths(prepared.plan)
    growths = price_growths(prepared) if worths else {}
    streams = Streams(seed, runs)
    total = np.zeros(runs)
    for send_out, units in worths.items():
        total += units * (drawn_ratios(growths[send_out], streams) - 1)
    return total


def _worths(plan: Plan) -> dict[str, int]:
    """Return what open prices are worth, by send-out. [minor units of the project's currency]"""
    exchange, as_of = exchange_of(plan), plan.project.as_of
    return {
        send_out: sum(
            worth(in_minor_units(line.amount, line.currency), line.currency, exchange, as_of)
            for line in lines
        )
        for send_out, lines in open_lines(plan).items()
    }
