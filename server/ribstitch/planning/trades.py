"""What trades and their work are called. A code that is not listed reads as it is."""

from __future__ import annotations

_NAMES = {
    "metal": "Metal",
    "wood": "Wood",
    "fabric": "Fabric",
    "engine": "Engine and mechanical",
    "elec": "Electrical",
    "paint": "Paint",
    "help": "Helpers",
    "insp": "Inspector",
    "pilot": "Pilot",
}
WORK = {
    "metal": "metal work",
    "wood": "wood work",
    "fabric": "fabric work",
    "engine": "engine and mechanical work",
    "elec": "electrical work",
    "paint": "paint work",
    "help": "helpers' work",
    "insp": "inspection",
    "pilot": "flying",
}
"""What the work of a trade is called, by its code."""


def trade_name(trade: str) -> str:
    """Return what a trade is called on a sheet."""
    return _NAMES.get(trade, trade)


def trade_work(trade: str) -> str:
    """Return what the work of a trade is called in a sentence."""
    return WORK.get(trade) or f"{trade} work"
