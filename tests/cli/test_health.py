"""health: what the checks of plan health count, as JSON and in words."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ribstitch.planning.health.rules import RULES
from tests.cli.conftest import Ran, small_plan

Run = Callable[..., Ran]
Write = Callable[..., Path]


def by_id(ran: Ran) -> dict[str, dict[str, Any]]:
    """Return the printed checks by id."""
    assert (ran.status, ran.err) == (0, "")
    return {one["id"]: one for one in ran.json["checks"]}


def test_one_json_object_holds_every_check(ribstitch: Run, plan_file: Write) -> None:
    """The three tasks of the small plan: nothing before the first, nothing after the last."""
    found = by_id(ribstitch("health", plan_file(), "--json"))
    assert list(found) == [rule.id for rule in RULES]
    assert found["missing_links"] == {
        "id": "missing_links",
        "practice": 2,
        "count": 2,
        "of": 3,
        "limit": 0.05,
        "ok": False,
        "tasks": ["T010", "T090"],
    }
    assert found["leads"]["ok"] is True
    assert found["merge_points"]["tasks"] == ["T090"]
    assert (found["merge_points"]["limit"], found["merge_points"]["ok"]) == (None, None)
    assert (found["execution_index"]["of"], found["execution_index"]["ok"]) == (0, None)


def test_a_task_is_named_once_however_many_links_are_meant(
    ribstitch: Run, plan_file: Write
) -> None:
    def lead_twice(plan: dict[str, Any]) -> None:
        plan["links"] = [
            {"from": "T010", "to": "T090", "lag_days": -1},
            {"from": "T020", "to": "T090", "lag_days": -1},
        ]

    leads = by_id(ribstitch("health", plan_file(lead_twice), "--json"))["leads"]
    assert (leads["count"], leads["of"], leads["tasks"]) == (2, 2, ["T090"])


def test_limits_of_the_file_are_those_that_count(ribstitch: Run, plan_file: Write) -> None:
    def lenient(plan: dict[str, Any]) -> None:
        plan["project"]["health_limits"] = {"missing_links": 0.7}

    missing = by_id(ribstitch("health", plan_file(lenient), "--json"))["missing_links"]
    assert (missing["limit"], missing["ok"]) == (0.7, True)


def test_limit_of_nothing_that_is_checked_is_refused(ribstitch: Run, plan_file: Write) -> None:
    def misspelt(plan: dict[str, Any]) -> None:
        plan["project"]["health_limits"] = {"lagz": 0.7}

    file = plan_file(misspelt)
    ran = ribstitch("health", file)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == (
        f'{file}: project.health_limits.lagz: there is no health check "lagz" in the plan\n'
    )


def test_approved_plan_says_what_is_late_against_it(
    ribstitch: Run, plan_file: Write, tmp_path: Path
) -> None:
    """Cleaning was to be done by Wed 14 January; two days later it is not."""
    approved = tmp_path / "approved.json"
    approved.write_text(json.dumps(small_plan()))

    def later(plan: dict[str, Any]) -> None:
        plan["project"]["as_of"] = "2026-01-16"
        done = {"state": "done", "started": "2026-01-07", "finished": "2026-01-09"}
        plan["tasks"][0]["status"] = done

    found = by_id(ribstitch("health", plan_file(later), "--baseline", approved, "--json"))
    late, index = found["late_against_baseline"], found["execution_index"]
    assert (late["count"], late["of"], late["tasks"]) == (1, 2, ["T020"])
    assert (index["count"], index["of"], index["ok"]) == (1, 2, False)


def test_approved_plan_that_is_not_there_is_named(
    ribstitch: Run, plan_file: Write, tmp_path: Path
) -> None:
    missing = tmp_path / "nowhere.json"
    ran = ribstitch("health", plan_file(), "--baseline", missing)
    assert (ran.status, ran.out) == (2, "")
    assert str(missing) in ran.err


def test_screen_says_the_worst_first_with_names_and_what_to_do(
    ribstitch: Run, plan_file: Write
) -> None:
    """
    Six limits are not kept: chapter, crew, zone, both loose ends and the tasks that have one.

    Of 26 checks three are lists; crew hours and the two on an approved plan have nothing to count.
    """
    ran = ribstitch("health", plan_file())
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert lines[0] == "6 of 20 limits are not kept."
    assert ran.out.index("Beyond the limit") < ran.out.index("Not yet") < ran.out.index("Kept")
    assert "    T010 Take the engine off: nothing comes before it" in lines
    assert any(line.startswith("    Link each to what must come first") for line in lines)
    assert "  Tasks finished for each that the approved plan has finished by now: not yet" in lines


def test_long_lists_are_cut_on_the_screen(ribstitch: Run, plan_file: Write) -> None:
    def many(plan: dict[str, Any]) -> None:
        plan["tasks"] += [{"id": f"X{number}", "days": 1} for number in range(9)]

    ran = ribstitch("health", plan_file(many))
    assert "    and 6 more" in ran.out.splitlines()
