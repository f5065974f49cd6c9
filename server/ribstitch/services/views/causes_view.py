"""What makes the finish uncertain, in days and in sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ribstitch.charts.paper import plural
from ribstitch.planning.trades import trade_work
from ribstitch.planning.uncertainty import Cause, pace_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import people_of_trade, send_outs, vendor_names, zone_names


@dataclass(frozen=True, slots=True)
class CauseLine:
    """One source of uncertainty, and what the finish would gain if it went as planned."""

    kind: str
    """task, send_out, vendor, zone, trade or risk"""
    id: str
    name: str
    gain_days: float
    """Calendar days on average; negative: the plan is more careful than what is likely."""
    standard_error_days: float
    rank_correlation: float | None
    """Spearman's, with the finish; None for a source of several draws."""
    criticality: float
    """Share of the courses in which what it touches is on a chain that sets the finish."""
    sentence: str


def cause_lines(current: CurrentPlan, causes: Sequence[Cause]) -> list[CauseLine]:
    """Return the causes, the largest gain first."""
    names, pace = names_by_kind(current), _pace(current)
    return [
        CauseLine(
            kind=one.kind,
            id=one.id,
            name=names[one.kind].get(one.id, one.id),
            gain_days=one.gain_days,
            standard_error_days=one.standard_error_days,
            rank_correlation=one.rank_correlation,
            criticality=one.criticality,
            sentence=_sentence(one, names[one.kind].get(one.id, one.id))
            + pace.get((one.kind, one.id), ""),
        )
        for one in causes
    ]


_IF = {
    "task": 'If "{}" took exactly the planned time',
    "send_out": 'If "{}" came back exactly as planned',
    "vendor": "If {} did everything exactly as planned",
    "zone": "If the work in {} went as planned and nothing more were found",
    "trade": "If all {} went at the planned pace",
    "risk": 'If "{}" did not happen',
}


def _sentence(cause: Cause, name: str) -> str:
    """Say what the finish would gain."""
    premise, days = _IF[cause.kind].format(name), round(cause.gain_days)
    if days == 0:
        return f"{premise}, the finish would hardly move."
    direction = "sooner" if days > 0 else "later"
    return f"{premise}, the finish would come {plural(abs(days), 'day')} {direction} on average."


def _pace(current: CurrentPlan) -> Mapping[tuple[str, str], str]:
    """Say of zones and trades how their finished work did against its estimates."""
    found = pace_of(current.plan, current.schedule.prepared)
    return {
        (one.kind, one.id): f" So far it has taken {one.ratio:.1f} times what was estimated "
        f"({plural(one.tasks, 'finished task')} seen)."
        for one in found.summary
        if one.tasks and round(one.ratio, 1) != 1
    }


def names_by_kind(current: CurrentPlan) -> Mapping[str, Mapping[str, str]]:
    """Return what things are called, by kind and id."""
    plan = current.plan
    return {
        "task": {one.id: one.name or one.id for one in plan.tasks},
        "send_out": {key: one.name or key for key, one in send_outs(current).items()},
        "vendor": vendor_names(current),
        "zone": zone_names(current),
        "trade": {one.trade: _work_of(current, one.trade) for one in plan.crew},
        "risk": {one.id: one.name or one.id for one in plan.risks},
    }


def _work_of(current: CurrentPlan, trade: str) -> str:
    """Return what the work of a trade is called, and whose it is."""
    people = people_of_trade(current, trade)
    work = trade_work(trade)
    return work if people == trade else f"{work} ({people})"
