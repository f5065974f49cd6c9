"""A plan that is written and read again is the same plan, to the byte and to the digit."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planfile import PlanFileError, dump_plan, parse_plan, plan_document
from ribstitch.planfile.document import LONGEST_DAYS
from ribstitch.planning.model import Plan, WorkShape
from ribstitch.planning.ticks import EIGHTH
from tests.store.plans import full_plan, short_plan

BARE = b"""{
 "format": "ribstitch-plan/1",
 "project": {"start": "2026-01-05"},
 "zones": [{"id": "tail"}],
 "tasks": [{"id": "T1", "days": 2}],
 "vendors": [{"id": "V1", "history": [{"kind": "fin", "quoted_days": 10, "actual_days": 12}]}],
 "crew": [{"trade": "metal"}],
 "risks": [{"id": "R1", "task": "T1", "probability": 0.5, "impact_days": 3}]
}"""
"""A file as it was written before plans knew of uncertainty and of the order of the crew."""


def whole_plan() -> Plan:
    """Return a plan in which every field is set, with durations and money that a file takes."""
    plan = full_plan()
    first, second = plan.costs
    return replace(
        plan,
        costs=(replace(first, amount=Decimal("12345678901234.567891")), second),
        tasks=tuple(
            replace(one, duration=-(-one.duration // EIGHTH) * EIGHTH) for one in plan.tasks
        ),
        send_outs=tuple(
            replace(one, return_leg=-(-one.return_leg // EIGHTH) * EIGHTH) for one in plan.send_outs
        ),
    )


def test_plan_with_every_field_comes_back_equal() -> None:
    data = dump_plan(whole_plan())
    back = parse_plan(data, "whole")
    assert back == whole_plan()
    assert dump_plan(back) == data


def test_every_field_of_the_model_differs_somewhere_from_its_default() -> None:
    """Else the test above would not see one that is lost on the way."""
    untouched: set[str] = set()
    touched: set[str] = set()

    def look(thing: Any) -> None:
        for one in fields(thing):
            value = getattr(thing, one.name)
            name = f"{type(thing).__name__}.{one.name}"
            default = one.default_factory() if callable(one.default_factory) else one.default
            (untouched if value == default else touched).add(name)
            for part in value if isinstance(value, tuple) else (value,):
                if is_dataclass(part):
                    look(part)

    look(whole_plan())
    assert untouched - touched == {"Project.calendar", "SendOutStatus.accepted"}


def test_older_file_is_read_with_nothing_uncertain_added() -> None:
    plan = parse_plan(BARE, "bare")
    project, (zone,), (vendor,), (crew,), (risk,) = (
        plan.project, plan.zones, plan.vendors, plan.crew, plan.risks,
    )  # fmt: skip
    assert project.work_shape is WorkShape.PERT
    assert (project.zone_spread, project.trade_spread) == (0.15, 0.2)
    assert project.standing_per_month is None
    assert (zone.hidden_work_percent, zone.opened_by) == (0, None)
    assert (vendor.history[0].trips, vendor.history[0].promised_days) == (1, None)
    assert (vendor.history[0].quoted_price, vendor.history[0].final_price) == (None, None)
    assert crew.rate is None
    assert (risk.send_out, risk.impact_range, risk.closed) == (None, None, False)
    assert (plan.kinds, plan.exchange_rates, plan.crew_links, plan.expedites) == ((), (), (), ())
    assert plan.tasks[0].places == ()


def test_what_is_not_given_is_not_written() -> None:
    given = json.loads(BARE)
    written = plan_document(parse_plan(BARE, "bare"))
    for name in ("zones", "tasks", "vendors", "crew", "risks"):
        assert written[name] == given[name]
    assert set(written["project"]) <= {"start", "as_of", "calendar"}
    unused = {"kinds", "exchange_rates", "crew_links", "expedites"}
    unused |= {"hours", "funding", "baselines", "over_and_above"}
    unused |= {"cards", "standing_jobs", "findings", "evidence", "sign_offs", "drafts"}
    unused |= {"drawings"}
    assert not unused & set(plan_document(short_plan()))


@pytest.mark.parametrize("amount", ["0.034012", "1450.50", "1E+2", "0"])
def test_rates_keep_their_digits(amount: str) -> None:
    document = json.loads(BARE)
    document["crew"][0]["rate"] = amount
    plan = parse_plan(json.dumps(document).encode(), "rates")
    assert plan.crew[0].rate == Decimal(amount)
    assert parse_plan(dump_plan(plan), "again") == plan


@pytest.mark.parametrize(
    ("part", "where"),
    [
        ({"kinds": [{"id": "fin", "over_median": 1.2}]}, "kinds[0].over_p90"),
        (
            {"kinds": [{"id": "fin", "over_median": 1.2, "over_p90": 2, "growth_p90": "1.5"}]},
            "kinds[0].growth_p90",
        ),
        ({"exchange_rates": [{"currency": "USD", "rate": "1"}]}, "exchange_rates[0].on"),
        ({"exchange_rates": [{"currency": "usd", "on": "2026-01-05", "rate": "1"}]}, "currency"),
        ({"risks": [{"id": "R1", "task": "T1", "impact_days_range": [1, 2]}]}, "range"),
        ({"risks": [{"id": "R1", "task": "T1", "impact_days_range": [0, 0.1, 1]}]}, "range[1]"),
        ({"risks": [{"id": "R1", "task": "T1", "closed": "yes"}]}, "risks[0].closed"),
        ({"project": {"start": "2026-01-05", "work_shape": "normal"}}, "project.work_shape"),
        ({"project": {"start": "2026-01-05", "zone_spread": "0.1"}}, "project.zone_spread"),
        ({"crew": [{"trade": "metal", "rate": "dear"}]}, "crew[0].rate"),
        ({"crew": [{"trade": "metal", "rate": "NaN"}]}, "crew[0].rate"),
        ({"crew_links": [{"from": "T1", "to": "T2", "kind": "mood"}]}, "crew_links[0].kind"),
        ({"crew_links": [{"from": "T1", "units": 2}]}, "crew_links[0].to"),
        ({"expedites": [{"id": "E1", "gains_days": 1, "cost": "dear"}]}, "expedites[0].cost"),
        ({"expedites": [{"id": "E1", "cost": "10"}]}, "expedites[0].gains_days"),
        ({"findings": [{"id": "F1"}]}, "findings[0].seen"),
        ({"findings": [{"id": "F1", "seen": "", "grade": 6}]}, "findings[0].grade"),
        ({"findings": [{"id": "F1", "seen": "", "treatment": "hope"}]}, "findings[0].treatment"),
        ({"findings": [{"id": "F1", "seen": "", "own_hours": ["1"]}]}, "findings[0].own_hours"),
        ({"cards": [{"id": "M1", "name": "", "driver": "m2", "steps": [{}]}]}, "steps[0].number"),
        ({"evidence": [{"id": "E1", "sha256": "../passwd"}]}, "evidence[0].sha256"),
    ],
)
def test_a_part_that_is_not_as_the_page_says_is_refused_by_its_place(
    part: dict[str, Any], where: str
) -> None:
    data = json.dumps({**json.loads(BARE), **part}).encode()
    with pytest.raises(PlanFileError) as refused:
        parse_plan(data, "wrong.json")
    assert str(refused.value).startswith("wrong.json: ")
    assert where in refused.value.where


def test_longest_past_job_is_as_long_as_the_longest_task() -> None:
    document = json.loads(BARE)
    document["vendors"][0]["history"][0]["promised_days"] = LONGEST_DAYS + 1
    with pytest.raises(PlanFileError, match=r"history\[0\]\.promised_days"):
        parse_plan(json.dumps(document).encode(), "long")
