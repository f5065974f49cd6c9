"""Hold a scheduled plan against the rules of plan health."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from ribstitch.planning.health.baseline import approved_finishes, look_at_baseline
from ribstitch.planning.health.check import Check, Found
from ribstitch.planning.health.contents import look_at_contents
from ribstitch.planning.health.dates import look_at_dates
from ribstitch.planning.health.logic import look_at_logic
from ribstitch.planning.health.look import Look
from ribstitch.planning.health.rules import RULES
from ribstitch.planning.health.trials import try_out
from ribstitch.planning.schedule import Schedule


def assess(schedule: Schedule, baseline: Mapping[str, date] | None = None) -> tuple[Check, ...]:
    """
    Check a scheduled plan.

    Parameters
    ----------
    schedule
        The plan's schedule; its own limits are those of its project.
    baseline
        When each task finishes in the plan that was approved, by id; if None, the newest
        baseline of the plan. Without either, what is late against it cannot be said yet.

    Returns
    -------
    tuple of Check
        One for each rule, in their order.

    Notes
    -----
    The trials take two forward passes for each step of the critical path; all else is one
    look at each activity, link, and date of an open task.
    """
    look = Look(schedule)
    approved = approved_finishes(look.plan) if baseline is None else baseline
    found: dict[str, Found] = dict(look_at_logic(look))
    found |= dict(look_at_contents(look))
    found |= dict(look_at_dates(look))
    found |= dict(try_out(look))
    found |= dict(look_at_baseline(look, approved))
    return tuple(
        Check(rule, look.limits[rule.id], one.count, one.of, one.offenders)
        for rule in RULES
        for one in (found[rule.id],)
    )
