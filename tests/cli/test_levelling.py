"""level: dates that people can keep, as JSON and in words; published instances as well."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ran
from tests.support.levelling_checks import faults, read_instance

Run = Callable[..., Ran]
Write = Callable[..., Path]
INSTANCE = Path(__file__).parents[1] / "published" / "data" / "j30_1_1.rcp"


def one_hand(plan: dict[str, Any]) -> None:
    """Two tasks that could go side by side ask for the same mechanic."""
    plan["tasks"][0]["trade"] = plan["tasks"][1]["trade"] = "engine"
    plan["tasks"][1]["id"] = "T020"
    plan["links"] = [{"from": "T020", "to": "T090"}]
    plan["crew"] = [{"trade": "engine", "people": 1, "calendar": "shop"}]


def test_one_json_object_has_dates_bound_load_and_links(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("level", plan_file(one_hand), "--seconds", "0.2", "--json")
    assert (ran.status, ran.err) == (0, "")
    found = ran.json
    assert found["unlimited_finish"] <= found["earliest_finish"] <= found["finish"]
    assert found["lower_bound_days"] <= found["makespan_days"]
    assert found["gap"] == pytest.approx(1 - found["lower_bound_days"] / found["makespan_days"])
    assert sorted((found["starts"]["T010"], found["starts"]["T020"])) == [
        "2026-01-07", "2026-01-12",
    ]  # fmt: skip
    assert sum(one["used_days"] for one in found["load"]) == 5.5
    assert found["links"] == [
        {"from": "T010", "to": "T020", "kind": "trade", "names": ["engine"], "units": 1}
    ]


def test_words_say_what_waits_for_what(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("level", plan_file(one_hand), "--seconds", "0")
    assert ran.status == 0
    assert ran.out.startswith("Finish         2026-")
    assert "T020 waits for T010 to give up trade engine" in ran.out


def test_people_who_are_away_for_a_year_are_named(ribstitch: Run, plan_file: Write) -> None:
    def away(plan: dict[str, Any]) -> None:
        one_hand(plan)
        plan["calendars"].append({"id": "away", "closed": [["2026-01-12", "2027-01-10"]]})
        plan["crew"][0]["calendar"] = "away"

    file = plan_file(away)
    (note,) = ribstitch("level", file, "--seconds", "0", "--json").json["notes"]
    assert note.startswith('Nobody of "engine" works from 2026-01-10 to 2027-01-10, and tasks wait')
    assert note in ribstitch("level", file, "--seconds", "0").out


def test_instance_is_proven_and_its_starts_hold(ribstitch: Run) -> None:
    ran = ribstitch("level", "--patterson", INSTANCE, "--seconds", "20", "--json")
    found = ran.json
    assert (found["makespan_days"], found["lower_bound_days"], found["gap"]) == (43, 43, 0)
    starts = [found["starts"][str(n + 1)] for n in range(32)]
    assert faults(read_instance(INSTANCE.read_text()), starts) == []
    assert [max(one["used"]) <= one["capacity"] for one in found["load"]] == [True] * 4
    assert found["best_rule"] >= 43


def test_instance_in_words(ribstitch: Run) -> None:
    ran = ribstitch("level", "--patterson", INSTANCE, "--seconds", "0")
    assert ran.status == 0
    assert ran.out.startswith("Finish     ")
    assert len(ran.out.splitlines()) == 3 + 32


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"people": 2}, 'tasks[0].people: "T010" needs 2 people of "engine" at once and the crew'),
        (
            {"trade": "wood"},
            'tasks[0].people: "T010" needs 1 person of "wood" at once and the crew',
        ),
    ],
)
def test_what_can_never_be_is_one_sentence(
    ribstitch: Run, plan_file: Write, change: dict[str, Any], sentence: str
) -> None:
    def changed(plan: dict[str, Any]) -> None:
        one_hand(plan)
        plan["tasks"][0] |= change

    file = plan_file(changed)
    ran = ribstitch("level", file, "--json")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"{file}: {sentence}")
    assert ran.err.count("\n") == 1


def test_crew_without_calendar_is_one_sentence(ribstitch: Run, plan_file: Write) -> None:
    def changed(plan: dict[str, Any]) -> None:
        one_hand(plan)
        del plan["crew"][0]["calendar"]

    ran = ribstitch("level", plan_file(changed), "--json")
    assert ran.status == 2
    assert 'crew[0].calendar: nobody knows when the people of "engine" work' in ran.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--patterson", INSTANCE, INSTANCE], "give either a plan or --patterson FILE"),
        ([], "give either a plan FILE or --project N"),
        (["--patterson", "no.rcp"], "no.rcp: cannot be read (No such file or directory)"),
        (["--patterson", INSTANCE, "--seconds", "-1"], "--seconds -1: is not between 0 and 86400"),
        (["--patterson", INSTANCE, "--seconds", "nan"], "--seconds nan: is not between"),
        (["--patterson", INSTANCE, "--seed", "-1"], "--seed -1: is not between 0 and 2147483647"),
        (["--patterson", Path(__file__)], '.py: line 1: """"level:" stands where the number of'),
    ],
)
def test_refused_arguments_are_one_sentence(
    ribstitch: Run, arguments: list[object], sentence: str
) -> None:
    ran = ribstitch("level", *arguments, "--json")
    assert (ran.status, ran.out) == (2, "")
    assert sentence in ran.err


def test_text_that_is_no_ascii_is_refused(ribstitch: Run, tmp_path: Path) -> None:
    file = tmp_path / "odd.rcp"
    file.write_bytes(b"\xff\xfe1 0")
    ran = ribstitch("level", "--patterson", file)
    assert (ran.status, ran.err) == (2, f"{file}: is no plain text of numbers\n")
