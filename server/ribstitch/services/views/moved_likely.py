"""How the likely date moved since an earlier plan, beside the date as written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ribstitch.charts.paper import plural
from ribstitch.services.views.moved_shape import LikelyMoved, MovedSince
from ribstitch.services.views.statement_shape import Moved
from ribstitch.store import LoggedSpread


def with_likely(
    found: MovedSince, spreads: Sequence[LoggedSpread], plan_version: int, likely: date | None
) -> MovedSince:
    """
    Return what moved, with the likely date where it is known of both plans.

    Parameters
    ----------
    found
        What moved the date as written.
    spreads
        How sure the forecasts of the project were, in the order they were logged.
    plan_version
        Of the earlier plan.
    likely
        The likely date of today; None while it is worked out.
    """
    before = _likely_of(spreads, plan_version, found.moved)
    if before is None or likely is None:
        return found
    days = (likely - before).days
    surer = days - (found.moved.days or 0)
    return replace(
        found, likely=LikelyMoved(before, likely, days, surer, _sentence(days, before, likely))
    )


def _likely_of(spreads: Sequence[LoggedSpread], plan_version: int, moved: Moved) -> date | None:
    """
    Return the likely date of an earlier plan.

    Only what is news is logged: the last entry up to the version counts, unless the date as
    written has been another one since.
    """
    last = next((one for one in reversed(spreads) if one.plan_version <= plan_version), None)
    return None if last is None or last.finish != moved.finish_before else last.p50


def _sentence(days: int, before: date, now: date) -> str:
    """Say in one sentence how the likely date moved."""
    if not days:
        return f"The likely date is {now} all the same."
    apart = plural(abs(days), "day")
    if days > 0:
        return f"The likely date moved from {before} to {now}, {apart} later."
    return f"The likely date moved from {before} to {now}, {apart} sooner."
