"""Amounts of money on a sheet: in words, and along an upright axis."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from ribstitch.charts.paper import INK, RULE


def money(amount: Decimal, currency: str) -> str:
    """Write an amount in whole units: ``EUR 2,350``."""
    return f"{currency} {amount:,.0f}"


def amount_axis(title: str = "", **axis: Any) -> dict[str, Any]:
    """Return an upright axis of amounts: ruled lines, whole units."""
    shared: dict[str, Any] = {
        **({"title": {"text": title, "standoff": 8}} if title else {}),
        "fixedrange": True,
        "zeroline": False,
        "nticks": 6,
        "tickformat": ",.0f",
        "separatethousands": True,
        "automargin": True,
        "gridcolor": RULE,
        "linecolor": INK,
        "ticks": "outside",
        "tickcolor": INK,
    }
    return shared | axis
