"""How sure the dates are: asked while it is computed, cancelled, ready, wrong."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from threading import Event
from typing import Any

import pytest
from plotly.graph_objects import Figure

from ribstitch.api.deps import Service
from ribstitch.api.hourly import Hourly
from ribstitch.planfile import parse_plan
from ribstitch.planning.model import Plan
from ribstitch.planning.uncertainty import Simulation, lead_times, simulate
from ribstitch.services.simulations import Simulations
from tests.api.asking import Api, assert_problem, small_plan
from tests.api.conftest import RUNS
from tests.services.drawn import one_cause, up_to_nine_days_late

LONG = 30.0
LEVELS = ("p10", "p50", "p80", "p90")


def uncertain_plan(**changes: Any) -> dict[str, Any]:
    """Return the small plan with a range of work, a rate, and a vendor's record."""
    plan = small_plan(**changes)
    plan["tasks"][2]["days_range"] = [8, 10, 30]
    plan["tasks"][3]["days_range"] = [2, 3, 9]
    plan["tasks"][4]["deadline"] = "2026-04-30"
    plan["crew"] = [{"trade": "metal", "rate": "45"}, {"trade": "engine", "rate": "60"}]
    plan["vendors"][0]["history"] = [
        {"kind": "engine", "quoted_days": 40, "actual_days": actual} for actual in (44, 60, 52)
    ]
    return plan


class Held:
    """Simulations that go on until they are let go."""

    def __init__(self) -> None:
        self.let_go = Event()
        self.going = Event()
        self.failure: Exception | None = None

    def __call__(
        self,
        plan: Plan,
        *,
        runs: int,
        seed: int,
        delays: Mapping[str, int] | None = None,
        on_progress: Callable[[float], None] = print,
    ) -> Simulation:
        on_progress(0.25)
        self.going.set()
        while not self.let_go.wait(0.002):
            on_progress(0.25)
        if self.failure is not None:
            raise self.failure
        return up_to_nine_days_late(
            plan, runs=runs, seed=seed, delays=delays, on_progress=on_progress
        )


def service_of(api: Api) -> Service:
    """Return the service behind a client."""
    service: Service = api.client.app.state.service  # type: ignore[attr-defined]
    return service


@pytest.fixture
def held(lone_api: Api) -> Iterator[Held]:
    """Hold the simulations of the client's service."""
    service, held = service_of(lone_api), Held()
    service.simulations.close()
    service.simulations = Simulations(RUNS, 1, simulate=held, find_causes=one_cause)
    yield held
    held.let_go.set()
    service.simulations.close()


@pytest.fixture
def sure_api(lone_api: Api) -> Api:
    """Return a client whose plan has ranges, rates and a record, and is simulated."""
    number = lone_api.client.post("/api/v1/projects", json=uncertain_plan()).json()["id"]
    lone_api.project, lone_api.root = number, f"/api/v1/projects/{number}"
    lone_api.settle()
    return lone_api


def test_answer_is_what_the_planning_core_finds(sure_api: Api) -> None:
    plan = parse_plan(json.dumps(uncertain_plan()).encode(), "small")
    found = simulate(plan, runs=RUNS, seed=1)
    answer = sure_api.read("/simulation")
    assert (answer["state"], answer["progress"], answer["plan_version"]) == ("ready", 1.0, 1)
    result = answer["result"]
    assert (result["runs"], result["seed"]) == (RUNS, 1)
    assert result["planned"] == sure_api.read("/schedule")["finish"]
    spread = found.finish_spread
    assert result["finish"] == {name: getattr(spread, name).isoformat() for name in LEVELS}
    assert result["standard_error_days"]["p80"] == found.standard_error_days(80)
    target = found.chance_by(plan.project.target_finish or plan.project.start)
    assert result["target"] == {
        "date": "2026-05-29",
        "probability": target.probability,
        "standard_error": target.standard_error,
    }
    (flight,) = result["milestones"]
    assert (flight["id"], flight["p50"]) == ("T5", found.spread_of("T5").p50.isoformat())
    assert flight["deadline"]["probability"] == found.met_deadlines["T5"].probability
    assert (result["certain_tasks"], result["open_tasks"]) == (0, 3)


def test_send_outs_tell_how_long_the_vendor_may_take(sure_api: Api) -> None:
    plan = parse_plan(json.dumps(uncertain_plan()).encode(), "small")
    found = simulate(plan, runs=RUNS, seed=1)
    figures = lead_times(plan, found.prepared)["S1"].figures
    engine, propeller = sure_api.read("/simulation")["result"]["send_outs"]
    assert engine["lead"]["sentence"] == figures.sentence
    assert (engine["lead"]["jobs"], engine["lead"]["quoted_days"]) == (3, 40)
    assert engine["p80"] == found.spread_of("S1/accept").p80.isoformat()
    assert propeller["vendor_name"] == "Invented Propellers"
    shares = {
        one["id"]: one["criticality"] for one in sure_api.read("/simulation")["result"]["vendors"]
    }
    assert shares["V1"] == found.vendor_criticality["V1"]


def test_money_is_simulated_where_there_are_rates(sure_api: Api) -> None:
    result = sure_api.read("/simulation")["result"]
    assert result["cost_reason"] is None
    assert (result["budget"]["amount"], result["budget"]["currency"]) == ("5000.00", "EUR")
    assert float(result["cost"]["p10"]) <= float(result["cost"]["p90"])
    assert result["both"]["probability"] <= min(
        result["budget"]["probability"], result["target"]["probability"]
    )


def test_without_rates_the_cost_is_not_known_and_says_why(lone_api: Api) -> None:
    lone_api.settle()
    result = lone_api.read("/simulation")["result"]
    assert (result["cost"], result["budget"], result["both"]) == (None, None, None)
    assert "rate" in result["cost_reason"]


def test_while_it_runs_the_page_is_told_so_and_nothing_is_kept(lone_api: Api, held: Held) -> None:
    answer = lone_api.get("/simulation")
    assert held.going.wait(LONG)
    assert (answer.json()["state"], answer.json()["result"]) == ("running", None)
    for path in ("/simulation", "/title-block", "/schedule", "/today", "/away",
                 "/charts/finish-curve", "/charts/schedule", "/charts/away"):  # fmt: skip
        answer = lone_api.get(path)
        assert answer.status_code == 200, path
        assert "etag" not in answer.headers, path
        assert answer.headers["cache-control"] == "no-store", path
    assert lone_api.read("/simulation")["progress"] == 0.25
    assert lone_api.read("/title-block")["likely"] is None
    held.let_go.set()
    lone_api.settle()
    ready = lone_api.get("/simulation")
    tag = {"If-None-Match": ready.headers["etag"]}
    assert lone_api.get("/simulation", headers=tag).status_code == 304
    block = lone_api.read("/title-block")
    assert block["likely"] == ready.json()["result"]["finish"]["p50"]
    assert block["by80"] == ready.json()["result"]["finish"]["p80"]
    assert block["chance_of_target"] == ready.json()["result"]["target"]["probability"]


def test_simulation_is_cancelled_and_begun_again(lone_api: Api, held: Held) -> None:
    lone_api.get("/simulation")
    assert lone_api.delete("/simulation").json()["state"] == "cancelled"
    assert lone_api.read("/simulation")["state"] == "cancelled"
    assert lone_api.read("/causes")["state"] == "cancelled"
    held.let_go.set()
    lone_api.client.post(f"{lone_api.root}/simulation")
    lone_api.settle()
    assert lone_api.read("/simulation")["state"] == "ready"


def test_search_for_causes_is_cancelled_and_begun_again(lone_api: Api, held: Held) -> None:
    held.let_go.set()
    lone_api.settle()
    assert lone_api.delete("/causes").json()["state"] == "cancelled"
    lone_api.client.post(f"{lone_api.root}/causes")
    (cause,) = causes(lone_api)
    assert (cause["name"], cause["gain_days"]) == ("Take the engine off", 3.6)
    assert cause["sentence"] == (
        'If "Take the engine off" took exactly the planned time, the finish would come 4 days '
        "sooner on average."
    )


def causes(api: Api) -> list[dict[str, Any]]:
    """Return the causes once they are found."""
    service = service_of(api)
    found = service.simulations.causes(service.forecasts.current(api.project), LONG)
    assert found.state == "ready"
    result: list[dict[str, Any]] = api.read("/causes")["result"]
    return result


def test_causes_are_told_in_sentences_with_the_names_of_the_plan(sure_api: Api) -> None:
    found = causes(sure_api)
    assert {one["kind"] for one in found} <= {
        "task", "send_out", "vendor", "zone", "trade", "risk",
    }  # fmt: skip
    assert all(one["sentence"].endswith(".") for one in found)
    named = {one["id"]: one["name"] for one in found}
    assert named["V1"] == "Invented Engines"
    gains = [one["gain_days"] for one in found]
    assert gains == sorted(gains, reverse=True)


def test_what_matters_most_has_two_ends_and_a_case_that_can_be_asked_for(sure_api: Api) -> None:
    service = service_of(sure_api)
    service.simulations.current(service.forecasts.current(sure_api.project), LONG)
    found = sure_api.read("/swings")
    assert (found["state"], found["result"]["runs"]) == ("ready", RUNS)
    lines = found["result"]["lines"]
    assert lines[0]["best_days"] < 0 < lines[0]["worst_days"]
    offered = next(one["case"] for one in lines if one["case"] is not None)
    assert sure_api.post("/cases", {"cases": [offered]}).status_code == 200


def test_failure_is_told_in_one_sentence(lone_api: Api, held: Held) -> None:
    held.failure = ZeroDivisionError("on purpose")
    held.let_go.set()
    service = service_of(lone_api)
    service.simulations.current(service.forecasts.current(lone_api.project), LONG)
    answer = lone_api.read("/simulation")
    assert (answer["state"], answer["result"]) == ("failed", None)
    assert answer["reason"] == "The simulation failed; the service's log tells why."
    assert lone_api.read("/causes")["state"] == "failed"


def test_change_begins_another_simulation(lone_api: Api, held: Held) -> None:
    lone_api.get("/simulation")
    assert held.going.wait(LONG)
    assert lone_api.patch("/tasks/T3", {"days": 100}).status_code == 200
    held.let_go.set()
    lone_api.settle()
    answer = lone_api.read("/simulation")
    assert (answer["plan_version"], answer["state"]) == (2, "ready")
    assert answer["result"]["planned"] == lone_api.read("/schedule")["finish"]


def test_cases_are_compared_on_the_same_draws(sure_api: Api) -> None:
    late = {"kind": "vendor_late", "vendor": "V1", "days": 60}
    asked = {"cases": [{"changes": [late]}, {"changes": []}]}
    compared = sure_api.post("/cases", asked).json()
    assert compared["runs"] == RUNS
    plan = sure_api.read("/simulation")["result"]
    assert compared["plan"]["uncertainty"] == {"finish": plan["finish"], "target": plan["target"]}
    later, same = (case["uncertainty"] for case in compared["cases"])
    assert same["finish"] == plan["finish"]
    assert same["moved"]["mean_days"] == same["moved"]["standard_error_days"] == 0
    assert later["moved"]["mean_days"] > 30
    assert later["moved"]["later"]["probability"] > 0.9
    assert later["target"]["probability"] < plan["target"]["probability"]


@pytest.mark.parametrize("chart", ["finish-curve", "lead-time?send_out=S1", "forecast-log"])
def test_chart_of_chances_is_a_figure_that_plotly_takes(sure_api: Api, chart: str) -> None:
    assert Figure(sure_api.read(f"/charts/{chart}")).data


def test_chances_of_plan_and_cases_are_drawn_together(sure_api: Api) -> None:
    late = {"kind": "vendor_late", "vendor": "V1", "days": 60}
    asked = {"cases": [{"name": "Engine late", "changes": [late]}]}
    figure = sure_api.post("/charts/what-if", asked)
    assert figure.status_code == 200, figure.text
    names = [trace.name for trace in Figure(figure.json()).data]
    assert any("The plan" in name for name in names)
    assert any("Engine late" in name for name in names)
    wrong = {"cases": [{"changes": [{**late, "vendor": "V9"}]}]}
    assert_problem(sure_api.post("/charts/what-if", wrong), 422, "cases[0]", '"V9"')


def test_lead_time_is_drawn_of_open_items_only(lone_api: Api) -> None:
    assert_problem(lone_api.get("/charts/lead-time?send_out=S9"), 404, '"S9"')
    assert_problem(lone_api.get("/charts/lead-time"), 422, "send_out")
    done = {"status": {"left_vendor": "2026-01-30"}}
    assert lone_api.patch("/send-outs/S1", done).status_code == 200
    assert_problem(lone_api.get("/charts/lead-time?send_out=S1"), 422, '"S1"')


def test_forecast_log_tells_how_sure_each_forecast_was(sure_api: Api) -> None:
    service = service_of(sure_api)
    service.log_the_day()
    (entry,) = sure_api.read("/forecast")["log"]
    finish = sure_api.read("/simulation")["result"]["finish"]
    assert {name: entry[name] for name in LEVELS} == finish
    assert (entry["runs"], entry["seed"], entry["forecast_engine"]) == (RUNS, 1, 1)
    assert 0 <= entry["chance_of_target"] <= 1
    assert sure_api.patch("/tasks/T3", {"days": 40, "days_range": None}).status_code == 200
    assert sure_api.read("/forecast")["log"][-1]["p50"] is None
    sure_api.settle()
    service.simulations.close()
    last = sure_api.read("/forecast")["log"][-1]
    assert last["p50"] is not None
    assert last["plan_version"] == 2


def test_what_is_done_every_hour_goes_on_after_a_failure(
    caplog: pytest.LogCaptureFixture,
) -> None:
    done: list[int] = []
    again = Event()

    def fail_first() -> None:
        done.append(len(done))
        if len(done) == 1:
            raise OSError("on purpose")
        again.set()

    hourly = Hourly(fail_first, seconds=0.0)
    hourly.start()
    assert again.wait(LONG)
    hourly.stop()
    assert "on purpose" in caplog.text
    count = len(done)
    assert count >= 2
