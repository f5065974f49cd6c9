"""The whole schedule, as pages and charts read it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ribstitch.planning.model import Milestone
from ribstitch.services.views.schedule_view import (
    ActivityLine,
    ScheduleView,
    schedule_view,
)
from tests.services.views.plans import current_of, hangar, with_task


def lines(view: ScheduleView) -> dict[str, ActivityLine]:
    """Return the lines by id."""
    return {line.id: line for line in view.activities}


def test_tasks_and_legs_stand_in_the_plans_order() -> None:
    view = schedule_view(current_of(hangar()))
    assert [line.id for line in view.activities][:2] == ["survey", "frame"]
    assert [line.id for line in view.activities if line.kind == "leg"] == [
        "S1/prepare", "S1/ship_out", "S1/vendor_work", "S1/ship_back", "S1/accept",
    ]  # fmt: skip
    assert [(zone.id, zone.name) for zone in view.zones][-1] == ("bare", "bare")


def test_task_line_holds_dates_float_and_state() -> None:
    """Five days of covering from Tue 13 January; the finish on 5 February leaves 13 days."""
    line = lines(schedule_view(current_of(hangar())))["cover"]
    assert (line.start, line.finish) == (date(2026, 1, 13), date(2026, 1, 19))
    assert (line.late_start, line.late_finish) == (date(2026, 1, 30), date(2026, 2, 5))
    assert (line.total_float_days, line.free_float_days) == (13, 13)
    assert (line.state, line.critical, line.driven_by) == ("not_started", False, ["frame"])
    assert (line.zone, line.trade, line.days, line.remaining_days) == ("tail", "fabric", 5, 5)
    assert (line.deadline, line.missed_days, line.milestone) == (None, None, None)


def test_leg_line_names_item_vendor_and_quoted_days() -> None:
    """The promise stands for what remains; ten days were quoted."""
    line = lines(schedule_view(current_of(hangar())))["S1/vendor_work"]
    assert (line.name, line.vendor, line.leg) == ("Engine: at work", "V1", "vendor_work")
    assert (line.zone, line.send_out, line.state) == ("nose", "S1", "in_work")
    assert (line.days, line.remaining_days, line.critical) == (10, None, True)
    assert line.finish == date(2026, 1, 30)


def test_milestone_and_done_task_say_so() -> None:
    seen = lines(schedule_view(current_of(hangar())))
    assert seen["flight"].milestone is Milestone.FINISH
    assert (seen["survey"].state, seen["survey"].remaining_days) == ("done", None)
    assert (seen["spare"].state, seen["spare"].critical) == ("dropped", False)


def test_critical_path_runs_through_the_legs() -> None:
    view = schedule_view(current_of(hangar()))
    assert view.critical_path == [
        "S1/vendor_work", "S1/ship_back", "S1/accept", "hang", "flight",
    ]  # fmt: skip


def test_near_critical_chains_come_with_their_float() -> None:
    """An engine promised for Mon 12 January leaves little more time than frame and cover take."""
    plan = hangar()
    item = plan.send_outs[0]
    early = replace(item, status=replace(item.status, promised=date(2026, 1, 12)))
    view = schedule_view(current_of(replace(plan, send_outs=(early,))))
    assert view.critical_path[-1] == "flight"
    nearest = view.near_critical[0]
    assert nearest.float_days > 0
    assert nearest.float_days <= 10
    assert not set(nearest.activities) & set(view.critical_path)


def test_missed_deadline_is_counted_in_calendar_days() -> None:
    """Covering ends on Mon 19 January: three days after the 16th."""
    plan = hangar()
    for deadline, missed in ((date(2026, 1, 16), 3), (date(2026, 1, 30), 0)):
        tasks = with_task(plan, replace(plan.tasks[2], deadline=deadline))
        line = lines(schedule_view(current_of(replace(plan, tasks=tasks))))["cover"]
        assert (line.deadline, line.missed_days) == (deadline, missed)
