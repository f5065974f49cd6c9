"""How far each source swings the finish, and the what-if case of its worse end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

from ribstitch.planning.model import Risk
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.trades import trade_work
from ribstitch.planning.uncertainty import Simulation, Spread, Swing, find_swings
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.causes_view import names_by_kind

_LONGEST_NAME = 47
"""So many letters of a source's name a case of it has room for, its name having 60."""


@dataclass(frozen=True, slots=True)
class OfferedCase:
    """A what-if case, as it can be asked for."""

    name: str
    changes: list[dict[str, str | float | bool]]


@dataclass(frozen=True, slots=True)
class SwingLine:
    """The finish where a source goes best and worst, and what to try."""

    kind: str
    """task, send_out, vendor, zone, trade or risk"""
    id: str
    name: str
    best_days: float
    """Calendar days later than on average in the tenth of the courses in which it goes best, or
    where a risk does not strike; mostly negative: sooner."""
    worst_days: float
    """Likewise in the tenth in which it goes worst, or where the risk strikes."""
    standard_error_days: float
    """Sampling error of the less certain of the two."""
    case: OfferedCase | None
    """The worse end as a case; None where no sentence says it."""


@dataclass(frozen=True, slots=True)
class Swings:
    """What matters most for the finish."""

    runs: int
    finish: Spread
    lines: list[SwingLine]
    """The widest first."""


def swings(current: CurrentPlan, simulation: Simulation) -> Swings:
    """
    Return how far each source swings the finish.

    A vendor with a single item is left out: the item says the same.
    """
    names = names_by_kind(current)
    lines = [
        _line(current, one, _name(one, names))
        for one in find_swings(simulation)
        if one.kind != "vendor" or _open_items(current, one.id) > 1
    ]
    return Swings(simulation.runs, simulation.finish_spread, lines)


def _line(current: CurrentPlan, swing: Swing, name: str) -> SwingLine:
    """Return the line of one source."""
    change = _change(current, swing)
    return SwingLine(
        kind=swing.kind,
        id=swing.id,
        name=name,
        best_days=swing.best_days,
        worst_days=swing.worst_days,
        standard_error_days=swing.standard_error_days,
        case=None if change is None else OfferedCase(_title(swing, name), [change]),
    )


def _name(swing: Swing, names: Mapping[str, Mapping[str, str]]) -> str:
    """Return what a source is called; of a trade, its work."""
    name = names[swing.kind].get(swing.id, swing.id)
    words = trade_work(swing.id) if swing.kind == "trade" else name
    return words[:1].upper() + words[1:]


def _title(swing: Swing, words: str) -> str:
    """Return what the case is called, no longer than a case's name may be."""
    if len(words) > _LONGEST_NAME:
        words = words[: _LONGEST_NAME - 1].rstrip() + "…"
    return f"{words} strikes" if swing.kind == "risk" else f"{words} at its worst"


def _change(current: CurrentPlan, swing: Swing) -> dict[str, str | float | bool] | None:
    """Return the worse end of a source as a change; None where no sentence says it."""
    if swing.kind == "risk":
        return _strikes(current, swing.id)
    more = swing.worst_more
    if more is None or more <= 0:
        return None
    match swing.kind:
        case "task":
            return {"kind": "task_takes", "task": swing.id, "days": _days(current, swing.id, more)}
        case "send_out":
            return {"kind": "send_out_late", "send_out": swing.id, "days": ceil(more)}
        case "vendor":
            items = _open_items(current, swing.id)
            return {"kind": "vendor_late", "vendor": swing.id, "days": ceil(more / items)}
        case "zone":
            return {"kind": "zone_slower", "zone": swing.id, "percent": ceil(100 * more)}
        case _:
            return {"kind": "trade_slower", "trade": swing.id, "percent": ceil(100 * more)}


def _strikes(current: CurrentPlan, key: str) -> dict[str, str | float | bool] | None:
    """Return that a risk strikes; None where a vendor has promised a date, which comes first."""
    risk: Risk = next(one for one in current.plan.risks if one.id == key)
    promised = any(
        one.id == risk.send_out and one.status.promised is not None
        for one in current.plan.send_outs
    )
    return None if promised else {"kind": "risk_settled", "risk": key, "strikes": True}


def _days(current: CurrentPlan, key: str, more: float) -> float:
    """Return how long a task takes in all if what is left of it takes so many days more."""
    task = next(one for one in current.plan.tasks if one.id == key)
    whole, left = days_from_ticks(task.duration), task.status.remaining
    share = 1.0 if not left else task.duration / left
    return round(whole + more * share, 1)


def _open_items(current: CurrentPlan, vendor: str) -> int:
    """Count the open send-outs of a vendor."""
    legs = current.schedule.prepared.expansion.open_legs
    return sum(one.vendor == vendor and one.id in legs for one in current.plan.send_outs)
