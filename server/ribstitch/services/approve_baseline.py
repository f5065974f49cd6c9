"""Approve the plan and its budget as they stand: a baseline to measure by."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from ribstitch.money.baseline import make_baseline
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    refuse_stale_plan,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import BASELINE


def approve_baseline(
    forecasts: Forecasts,
    project_id: int,
    reason: str,
    person: Person,
    at: datetime,
    plan_version: int | None = None,
) -> Recorded:
    """
    Keep the plan and its budget as a new baseline; the ones before stay.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    reason
        Why: what has changed since the last one.
    person, at
        Who approves, and when; the baseline holds from the as-of date.
    plan_version
        Of the plan that was looked at, if no other may be approved unseen.

    Raises
    ------
    UnknownProjectError, StaleEditError, PlanError
        Nothing is stored; `PlanError` without a budget that can be shared out.
    """

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        if plan_version is not None:
            refuse_stale_plan(current, plan_version, work)
        key = _next_key(current.versions[BASELINE.name])
        baseline = make_baseline(
            current.plan,
            current.schedule,
            baseline_id=key,
            approved_on=current.as_of,
            reason=reason,
        )
        edit = Edit(BASELINE.name, key, None, baseline)
        return Change("baseline.approve", [edit], f"Baseline {key} approved")

    return change_plan(forecasts, project_id, Author(person, at, reason), decide)


def _next_key(taken: Mapping[str, int]) -> str:
    """Return the first free id: B1, B2, ..."""
    number = len(taken) + 1
    while f"B{number}" in taken:
        number += 1
    return f"B{number}"
