"""How long vendors still take over the items they have, or will have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass

import numpy as np

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.lead_times import LeadTime, lead_times
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store import UnknownThingError

_LEVELS = np.arange(0.01, 0.995, 0.01)


@dataclass(frozen=True, slots=True)
class Lead:
    """How long a vendor may take, in working days of the vendor since its work began."""

    quoted_days: float
    promised_days: float | None
    """What the vendor's last word means; None without one."""
    ratio: float
    """Median of actual over quoted (or promised) time."""
    jobs: int
    """Finished jobs of this vendor that this rests on."""
    kind_jobs: int
    """Finished jobs of this kind by other vendors that this rests on."""
    p10_days: int
    p50_days: int
    p80_days: int
    p90_days: int
    elapsed_days: float
    basis: str
    """quote or promise"""
    rejected: float
    """Chance that the item is turned down on arrival and goes back."""
    sentence: str


@dataclass(frozen=True, slots=True)
class LeadCurve:
    """The chance that a vendor's work is done, by working days since it began."""

    lead: Lead
    points: list[tuple[float, float]]


def leads(current: CurrentPlan) -> Mapping[str, Lead]:
    """Return by send-out how long vendors whose work is not over may take."""
    return {item: _lead(one) for item, one in _lead_times(current).items()}


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
    return LeadCurve(_lead(found), list(zip(days.tolist(), _LEVELS.tolist(), strict=True)))


def _lead_times(current: CurrentPlan) -> Mapping[str, LeadTime]:
    """Return the lead times of a plan, computed when first asked for."""
    return current.derived(
        "lead_times", lambda: lead_times(current.plan, current.schedule.prepared)
    )


def _lead(found: LeadTime) -> Lead:
    """Return a lead time in days."""
    figures = found.figures
    return Lead(**asdict(figures), sentence=figures.sentence)
