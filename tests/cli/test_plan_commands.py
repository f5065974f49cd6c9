"""schedule, grace and whatif on a plan worked out by hand.

Monday 2026-01-05 is the start, Wednesday the as-of date. T010 takes Wednesday to Friday
(9 Jan); S1 is prepared on Monday 12th, on the road the 13th to 15th, in work for twenty
days from Friday 16th with the week of 2 February closed (to Thursday 19 February), on the
road Friday 20th to Sunday 22nd, accepted on Monday 23rd; T090 takes the 24th and 25th.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran

Run = Callable[..., Ran]
Write = Callable[..., Path]


def test_schedule_prints_one_json_object(ribstitch: Run, plan_file: Write) -> None:
    """Every date of the plan as worked out above."""
    ran = ribstitch("schedule", plan_file(), "--json")
    assert (ran.status, ran.err) == (0, "")
    assert ran.json["finish"] == "2026-02-25"
    dates = {one["id"]: (one["start"], one["finish"]) for one in ran.json["tasks"]}
    assert dates == {
        "T010": ("2026-01-07", "2026-01-09"),
        "T020": ("2026-01-12", "2026-01-14"),
        "T090": ("2026-02-24", "2026-02-25"),
        "S1/prepare": ("2026-01-12", "2026-01-12"),
        "S1/ship_out": ("2026-01-13", "2026-01-15"),
        "S1/vendor_work": ("2026-01-16", "2026-02-19"),
        "S1/ship_back": ("2026-02-20", "2026-02-22"),
        "S1/accept": ("2026-02-23", "2026-02-23"),
    }
    assert ran.json["critical_path"] == [
        "T010", "S1/prepare", "S1/ship_out", "S1/vendor_work", "S1/ship_back", "S1/accept", "T090",
    ]  # fmt: skip
    assert set(ran.json["tasks"][0]) == {
        "id", "start", "finish", "late_start", "late_finish", "total_float_days",
        "free_float_days", "critical", "driven_by",
    }  # fmt: skip


def test_floats_are_in_days_of_the_tasks_calendar(ribstitch: Run, plan_file: Write) -> None:
    """Cleaning the bay (Mon 12th to Wed noon) can end on Monday 23 February."""
    tasks = {one["id"]: one for one in ribstitch("schedule", plan_file(), "--json").json["tasks"]}
    cleaning = tasks["T020"]
    assert (cleaning["total_float_days"], cleaning["free_float_days"]) == (28.5, 28.5)
    assert cleaning["late_finish"] == "2026-02-23"
    assert not cleaning["critical"]
    assert tasks["T090"]["driven_by"] == ["S1/accept"]


def test_grace_is_nothing_on_the_critical_path(ribstitch: Run, plan_file: Write) -> None:
    """The engine sets the finish, so any late day moves it."""
    ran = ribstitch("grace", plan_file(), "--json")
    assert ran.json == {
        "send_outs": [
            {
                "id": "S1",
                "grace_days": 0,
                "need_by": "2026-02-23",
                "last_safe_ship": "2026-01-12",
            }
        ],
        "vendors": [{"id": "V1", "grace_days": 0}],
    }


def test_late_vendor_moves_the_finish_over_the_weekend(ribstitch: Run, plan_file: Write) -> None:
    """One day late leaves the vendor on Friday, is back on Monday, accepted on Tuesday."""
    ran = ribstitch("whatif", plan_file(), "--late", "V1=1", "--json")
    assert ran.json == {
        "plan": {"finish": "2026-02-25"},
        "case": {"finish": "2026-02-26"},
        "moved_days": 1,
    }


def test_late_vendor_within_grace_keeps_the_finish(ribstitch: Run, plan_file: Write) -> None:
    """With a bay that takes until April the engine can be late."""
    slow = plan_file(lambda plan: plan["tasks"][1].update(days=60))
    grace = ribstitch("grace", slow, "--json").json["vendors"][0]["grace_days"]
    assert grace > 20
    within = ribstitch("whatif", slow, "--late", f"V1={grace}", "--json").json
    beyond = ribstitch("whatif", slow, "--late", f"V1={grace + 1}", "--json").json
    assert within["moved_days"] == 0
    assert beyond["moved_days"] > 0


@pytest.mark.parametrize("command", ["schedule", "grace"])
def test_without_json_the_screen_names_what_it_shows(
    ribstitch: Run, plan_file: Write, command: str
) -> None:
    """People read names, not ids alone."""
    ran = ribstitch(command, plan_file())
    assert ran.status == 0
    assert "Engine" in ran.out


def test_help_says_what_each_command_is_for(ribstitch: Run) -> None:
    """A restorer reads the help, so it is in words."""
    ran = ribstitch("--help")
    assert ran.status == 0
    for command in ("schedule", "grace", "whatif", "import", "export", "demo", "serve"):
        assert command in ran.out
