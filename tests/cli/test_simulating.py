"""simulate: when the project may be finished, as JSON and in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from ribstitch.planfile import read_plan_file
from ribstitch.planning.uncertainty import simulate
from ribstitch.services.forecast import Forecasts
from ribstitch.services.import_plan import import_plan
from ribstitch.services.log_forecast import log_forecast
from ribstitch.store import Person, Store, make_engine, upgrade
from tests.cli.conftest import Ran

Run = Callable[..., Ran]
Write = Callable[..., Path]


def uncertain(plan: dict[str, Any]) -> None:
    """Give the last task a range of work."""
    plan["tasks"][2]["days_range"] = [1, 2, 12]


def test_one_json_object_holds_what_the_core_finds(ribstitch: Run, plan_file: Write) -> None:
    file = plan_file(uncertain)
    ran = ribstitch("simulate", file, "--runs", 400, "--seed", 7, "--json")
    assert (ran.status, ran.err) == (0, "")
    found = simulate(read_plan_file(file), runs=400, seed=7)
    spread = found.finish_spread
    assert ran.json["finish"] == {
        "p10": spread.p10.isoformat(),
        "p50": spread.p50.isoformat(),
        "p80": spread.p80.isoformat(),
        "p90": spread.p90.isoformat(),
    }
    assert spread.p10 < spread.p90
    assert ran.json["planned"] == "2026-02-25"
    target = found.prepared.plan.project.target_finish
    assert target is not None
    chance = found.chance_by(target)
    assert ran.json["target"] == {"date": "2026-09-30", "probability": chance.probability}
    assert ran.json["standard_error"]["target"] == chance.standard_error
    assert ran.json["standard_error"]["p10"] == found.standard_error_days(10)
    assert ran.json["criticality"]["T090"] == 1.0
    assert (ran.json["runs"], ran.json["seed"]) == (400, 7)
    assert set(ran.json) == {
        "planned", "finish", "target", "criticality", "standard_error", "runs", "seed",
    }  # fmt: skip


def test_same_seed_gives_the_same_answer_and_another_one_another(
    ribstitch: Run, plan_file: Write
) -> None:
    file = plan_file(uncertain)
    first, again, other = (
        ribstitch("simulate", file, "--runs", 300, "--seed", seed, "--json").out
        for seed in (1, 1, 2)
    )
    assert first == again
    assert first != other


def test_without_a_wanted_finish_there_is_no_chance_of_it(ribstitch: Run, plan_file: Write) -> None:
    file = plan_file(lambda plan: plan["project"].pop("target_finish"))
    ran = ribstitch("simulate", file, "--runs", 100, "--json")
    assert ran.json["target"] is None
    assert ran.json["standard_error"]["target"] is None
    assert "wanted" not in ribstitch("simulate", file, "--runs", 100).out


def test_what_is_done_has_no_criticality(ribstitch: Run, plan_file: Write) -> None:
    done = {"state": "done", "started": "2026-01-05", "finished": "2026-01-07"}
    file = plan_file(lambda plan: plan["tasks"][0].update(status=done))
    ran = ribstitch("simulate", file, "--runs", 100, "--json")
    assert "T010" not in ran.json["criticality"]
    assert "T020" in ran.json["criticality"]


def test_screen_tells_it_in_words(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("simulate", plan_file(uncertain), "--runs", 200)
    assert ran.status == 0
    assert "As written  2026-02-25" in ran.out
    assert "8 chances in 10 lie between" in ran.out
    assert "The wanted 2026-09-30 is kept in" in ran.out
    assert "200 courses, seed 1" in ran.out
    assert "100%  T090  Hang the engine" in ran.out


def test_number_of_runs_and_seed_come_from_the_settings(
    ribstitch: Run, plan_file: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RIBSTITCH_RUNS", "150")
    monkeypatch.setenv("RIBSTITCH_SEED", "9")
    ran = ribstitch("simulate", plan_file(), "--json")
    assert (ran.json["runs"], ran.json["seed"]) == (150, 9)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--runs", 0), "--runs 0: is not between 1 and 100000"),
        (("--runs", 100_001), "--runs 100001: is not between 1 and 100000"),
        (("--seed", -1), "--seed -1: is not between 0 and 2147483647"),
    ],
)
def test_refused_numbers_are_named(
    ribstitch: Run, plan_file: Write, arguments: tuple[object, ...], sentence: str
) -> None:
    ran = ribstitch("simulate", plan_file(), *arguments, "--json")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == f"{sentence}\n"


@pytest.fixture
def logged(plan_file: Write, sqlite_url: str) -> str:
    """Address of a database whose only project has one logged forecast."""
    engine = make_engine(sqlite_url)
    upgrade(engine)
    store = Store(engine)
    at = datetime(2026, 1, 7, 9, tzinfo=UTC)
    project = import_plan(store, read_plan_file(plan_file(uncertain)), Person("Ada", "lead"), at)
    current = Forecasts(store).current(project)
    log_forecast(store, current, simulate(current.plan, runs=300, seed=4), at)
    store.close()
    return sqlite_url


def test_logged_forecast_is_computed_again(ribstitch: Run, plan_file: Write, logged: str) -> None:
    again = ribstitch("simulate", "--project", 1, "--logged", 1, "--database", logged, "--json")
    fresh = ribstitch("simulate", plan_file(uncertain), "--runs", 300, "--seed", 4, "--json")
    assert (again.status, again.err) == (0, "")
    assert again.json == fresh.json


def test_forecast_that_was_not_logged_is_named(ribstitch: Run, logged: str) -> None:
    ran = ribstitch("simulate", "--project", 1, "--logged", 7, "--database", logged)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == 'There is no forecast "7" in this project.\n'
    assert "--project N" in ribstitch("simulate", "--logged", 1).err
    huge = ribstitch("simulate", "--project", 1, "--logged", 2**40, "--database", logged)
    assert (huge.status, "--logged" in huge.err) == (2, True)


def test_forecast_that_comes_out_otherwise_is_told(
    ribstitch: Run, logged: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ribstitch.services import reproduce_forecast

    def other(plan: Any, *, runs: int, seed: int) -> Any:
        return simulate(plan, runs=runs, seed=seed + 1)

    monkeypatch.setattr(reproduce_forecast, "simulate", other)
    ran = ribstitch("simulate", "--project", 1, "--logged", 1, "--database", logged)
    assert (ran.status, ran.out) == (2, "")
    assert "was logged as likely" in ran.err
