"""The finish against days late, for a vendor and for one item."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import SendOutStatus
from ribstitch.planning.whatif import VendorLate
from ribstitch.services.compare_cases import AskedCase, compare
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.late_curves import (
    LONGEST_DAYS,
    curve_of_send_out,
    curve_of_vendor,
)
from ribstitch.store import UnknownThingError
from tests.services.drawn import case_simulations
from tests.services.shop import FIRST_FINISH
from tests.services.views.plans import current_of
from tests.store.plans import short_plan


def short() -> CurrentPlan:
    """Return the forecast of the short plan."""
    return current_of(short_plan())


def test_curve_begins_at_the_plan_and_agrees_with_a_case_for_every_day() -> None:
    """Each point is the finish of the case in which the vendor is that late."""
    current = short()
    curve = curve_of_vendor(current, "V1", 8)
    assert curve.days == list(range(9))
    assert (curve.finish[0], curve.moved_days[0]) == (FIRST_FINISH, 0)
    cases = [AskedCase(str(days), [VendorLate("V1", days)]) for days in curve.days]
    compared = compare(current, cases, case_simulations())
    assert curve.finish == [case.finish for case in compared.cases]
    assert curve.moved_days[5] == 7


def test_curve_of_the_item_that_sets_the_finish_has_no_grace() -> None:
    curve = curve_of_send_out(short(), "S1", 1)
    assert curve.grace_days == 0
    assert curve.moved_days[1] > 0


def test_grace_is_where_the_curve_leaves_its_tread() -> None:
    """Painting is made to end 60 days later: the item can be late for many days."""
    plan = short_plan()
    slow = tuple(
        replace(task, duration=60 * 1440) if task.id == "paint" else task for task in plan.tasks
    )
    curve = curve_of_vendor(current_of(replace(plan, tasks=slow)), "V1", 80)
    grace = int(curve.grace_days)
    assert 0 < grace < 80
    assert curve.moved_days[grace] == 0
    assert curve.moved_days[grace + 1] > 0


@pytest.mark.parametrize(("vendor", "sentence"), [("V2", '"V2" has no open item')])
def test_vendor_with_nothing_open_is_refused(vendor: str, sentence: str) -> None:
    with pytest.raises(InvalidValueError, match=sentence):
        curve_of_vendor(short(), vendor, 5)


def test_item_that_is_back_is_refused() -> None:
    plan = short_plan()
    back = replace(plan.send_outs[0], status=SendOutStatus(accepted=date(2026, 1, 8)))
    with pytest.raises(InvalidValueError, match='"S1" is not open any more'):
        curve_of_send_out(current_of(replace(plan, send_outs=(back,))), "S1", 5)


@pytest.mark.parametrize("days", [-1, LONGEST_DAYS + 1])
def test_days_out_of_range_are_refused(days: int) -> None:
    with pytest.raises(InvalidValueError, match=f"{days} is not between 0 and 730 days"):
        curve_of_vendor(short(), "V1", days)


def test_unknown_vendor_and_item_are_named() -> None:
    with pytest.raises(UnknownThingError, match='no vendor "V9"'):
        curve_of_vendor(short(), "V9", 5)
    with pytest.raises(UnknownThingError, match='no send-out "S9"'):
        curve_of_send_out(short(), "S9", 5)
