"""Plan health as the page shows it."""

from __future__ import annotations

from dataclasses import replace

from ribstitch.planning.health.check import Offender
from ribstitch.planning.health.rules import RULES, THRESHOLDS
from ribstitch.planning.model import Plan, SendOut
from ribstitch.services.views.health_view import HealthCheck, HealthView, health_view, offender
from tests.services.views.plans import current_of, hangar
from tests.store.plans import DAY


def seen(plan: Plan) -> HealthView:
    return health_view(current_of(plan))


def check(plan: Plan, name: str) -> HealthCheck:
    return next(one for one in seen(plan).checks if one.id == name)


def test_every_check_is_shown_the_worst_first() -> None:
    view = seen(hangar())
    assert sorted(one.id for one in view.checks) == sorted(rule.id for rule in RULES)
    verdicts = [one.verdict.value for one in view.checks]
    order = ["beyond", "listed", "not_yet", "kept"]
    assert verdicts == sorted(verdicts, key=order.index)
    assert view.beyond == verdicts.count("beyond") > 0
    assert view.judged == sum(one.ok is not None for one in view.checks)
    excess = [(one.share or 0) - (one.limit or 0) for one in view.checks if one.ok is False]
    assert excess == sorted(excess, reverse=True)


def test_tasks_are_named_with_what_is_the_matter() -> None:
    """Seats and sweep hang on nothing; all other work ends at the flight."""
    missing = check(hangar(), "missing_links")
    assert (missing.count, missing.of, missing.ok) == (2, 6, False)
    assert [(one.id, one.name, one.note, one.kind) for one in missing.offenders] == [
        ("seats", "Seats", "linked to nothing", "task"),
        ("sweep", "Sweep", "linked to nothing", "task"),
    ]
    assert missing.practice_name == "Work is in order"
    assert missing.advice.endswith(".")


def test_item_away_is_named_as_one() -> None:
    plan = hangar()
    loose = SendOut("S2", "V2", "Seat frames", lead=3 * DAY)
    named = check(replace(plan, send_outs=(*plan.send_outs, loose)), "loose_send_outs")
    assert [(one.id, one.name, one.kind) for one in named.offenders] == [
        ("S2", "Seat frames", "send_out")
    ]


def test_leg_that_is_named_leads_to_its_item() -> None:
    shown = offender(current_of(hangar()), Offender("S1/vendor_work", "why"))
    assert (shown.id, shown.note, shown.kind) == ("S1", "why", "send_out")
    assert shown.name.startswith("Engine: ")


def test_limits_tell_the_usual_and_the_own() -> None:
    plan = hangar()
    own = replace(plan.project, health_limits=(("lags", 0.2), ("long_task_days", 30.0)))
    limits = {one.id: one for one in seen(replace(plan, project=own)).limits}
    assert len(limits) == len(RULES) + len(THRESHOLDS)
    assert (limits["lags"].usual, limits["lags"].own, limits["lags"].unit) == (0.05, 0.2, "share")
    assert (limits["leads"].usual, limits["leads"].own) == (0, None)
    assert (limits["long_task_days"].usual, limits["long_task_days"].own) == (44, 30)
    assert limits["long_task_days"].unit == "days"
    assert limits["merge_points"].usual is None


def test_plan_without_work_is_neither_well_nor_ill() -> None:
    view = seen(Plan(hangar().project, hangar().calendars))
    assert (view.beyond, view.judged) == (0, 0)
    assert {one.verdict.value for one in view.checks} == {"not_yet"}
