"""What matters most: each source by name, and its worse end as a case that can be tried."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ribstitch.api.routers.what_if import change_of
from ribstitch.api.schemas.bodies import CaseAsked
from ribstitch.planning.model import Plan, Risk, SendOutStatus, TaskStatus
from ribstitch.planning.model.words import State
from ribstitch.planning.uncertainty import simulate
from ribstitch.planning.whatif import Change, apply_changes
from ribstitch.services.views.swings_view import SwingLine, swings
from tests.services.views.plans import current_of
from tests.store.plans import DAY, short_plan


def risky() -> Plan:
    """Return the short plan with two items at one vendor, work in hand and two risks."""
    plan = short_plan()
    (item,) = plan.send_outs
    begun = TaskStatus(State.IN_WORK, started=date(2026, 1, 5), remaining=2 * DAY)
    opened, close, paint = plan.tasks
    return replace(
        plan,
        tasks=(
            replace(opened, duration=4 * DAY, status=begun),
            replace(close, duration_range=(DAY, 2 * DAY, 9 * DAY)),
            replace(paint, duration=30 * DAY),
        ),
        send_outs=(item, replace(item, id="S2", name="Rudder")),
        risks=(
            Risk("R1", "Cracked rib", task="close", probability=0.3, impact=10 * DAY),
            Risk("R2", "Lost mould", send_out="S1", probability=0.3, impact=20 * DAY),
        ),
    )


def lines_of(plan: Plan) -> dict[tuple[str, str], SwingLine]:
    """Return the lines by kind and id."""
    found = swings(current_of(plan), simulate(plan, runs=600)).lines
    widths = [one.worst_days - one.best_days for one in found]
    assert widths == sorted(widths, reverse=True)
    return {(one.kind, one.id): one for one in found}


def changes_of(line: SwingLine) -> list[Change]:
    """Return the changes of a line's case as the service takes them."""
    assert line.case is not None
    asked = CaseAsked.model_validate({"name": line.case.name, "changes": line.case.changes})
    return [change_of(one) for one in asked.changes]


def test_the_worse_end_of_every_source_is_a_case_that_can_be_tried() -> None:
    plan = risky()
    found = lines_of(plan)
    assert {kind for kind, _ in found} == {"task", "send_out", "vendor", "zone", "trade", "risk"}
    for line in found.values():
        if line.case is not None:
            case = apply_changes(plan, changes_of(line)).schedule()
            assert case.finish_on >= current_of(plan).finish_on


def test_what_is_left_of_work_in_hand_takes_longer_in_its_case() -> None:
    """Two of four days are left; the case says how long all of it takes."""
    line = lines_of(risky())["task", "open"]
    (change,) = changes_of(line)
    case = apply_changes(risky(), [change]).plan.tasks[0]
    assert case.status.remaining is not None
    assert case.status.remaining / case.duration == 0.5
    assert case.duration > 4 * DAY


def test_a_vendor_with_one_item_says_nothing_that_the_item_does_not() -> None:
    plan = risky()
    alone = replace(plan, send_outs=plan.send_outs[:1])
    assert ("vendor", "V1") not in lines_of(alone)
    assert ("send_out", "S1") in lines_of(alone)


def test_a_risk_at_a_vendor_who_has_promised_a_date_has_no_case() -> None:
    plan = risky()
    promised = replace(plan.send_outs[0], status=SendOutStatus(promised=date(2026, 3, 2)))
    plan = replace(plan, send_outs=(promised, plan.send_outs[1]))
    found = lines_of(plan)
    assert found["risk", "R2"].case is None
    assert found["risk", "R1"].case is not None
