"""How long vendors still take over the items they have, or will have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.lead_times import LeadFigures, LeadTime, lead_times
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store import UnknownThingError

_LEVELS = np.arange(0.01, 0.995, 0.01)


@dataclass(frozen=True, slots=True)
class LeadCurve:
    """The chance that a vendor's work is done, by working days since it began."""

    lead: LeadFigures
    points: list[tuple[float, float]]


def leads(current: CurrentPlan) -> Mapping[str, LeadFigures]:
    """Return by send-out how long vendors whose work is not over may take."""
    return {item: one.figures for item, one in _lead_times(current).items()}


def lead_curve(current: CurrentPlan, send_out: str) -> LeadCurve:
    """
    Return how long the vendor of one send-out may take, chance by chance.

    Raises
    ------
    UnknownThingError
        If there is no such send-out.
    InvalidValueError
        If the vendor's work on it is over.
    """
    if send_out not in current.versions["send_out"]:
        raise UnknownThingError("send_out", send_out)
    found = _lead_times(current).get(send_out)
    if found is None:
        reason = f'"{send_out}" is in no vendor\'s hands any more'
        raise InvalidValueError("send_out", reason, send_out)
    days = found.total_quantiles(_LEVELS) / TICKS_PER_DAY
    return LeadCurve(found.figures, list(zip(days.tolist(), _LEVELS.tolist(), strict=True)))


def _lead_times(current: CurrentPlan) -> Mapping[str, LeadTime]:
    """Return the lead times of a plan, computed when first asked for."""
    return current.derived(
        "lead_times", lambda: lead_times(current.plan, current.schedule.prepared)
    )
