"""Tables taken into a stored plan: tried first, then all in one action."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    Check,
    CheckKind,
    Cost,
    CostStep,
    Crew,
    Finding,
    SendOutKind,
    Task,
    Vendor,
)
from ribstitch.services.forecast import CurrentPlan, forecast
from ribstitch.services.import_table import (
    Existing,
    TakenIn,
    Trial,
    WhichRows,
    take_table,
    try_table,
)
from ribstitch.services.undo import undo_last
from ribstitch.spreadsheets.matching import find_head, headings, propose
from ribstitch.spreadsheets.reading import read_grid
from ribstitch.spreadsheets.tables import TABLES
from ribstitch.spreadsheets.telling import Telling, tell
from ribstitch.store import StaleEditError, Store, StoredPlan
from ribstitch.store.kinds import PLAN_KINDS
from tests.services.shop import Shop
from tests.store.plans import AT, PLANNER, short_plan

DAY = 1440
KINDS = PLAN_KINDS.values()
F1 = Finding("F1", "Dent", zone="tail", grade=2)


PLAN = replace(
    short_plan(),
    kinds=(SendOutKind("fin", 1, 2), SendOutKind("spar", 1, 2)),
    crew=(Crew("metal", label="Metalworker 1"),),
    findings=(F1,),
    costs=(Cost("C1", Decimal(100), "EUR", state="quoted", on=date(2026, 1, 5)),),
)


@pytest.fixture
def shop(store: Store) -> Shop:
    return Shop(store, PLAN)


@pytest.fixture
def bare() -> CurrentPlan:
    """The same plan beside any store, for what stores nothing."""
    versions = {kind.name: dict.fromkeys(kind.keys(kind.things(PLAN)), 1) for kind in KINDS}
    return forecast(StoredPlan(1, 1, PLAN, versions))


def told(name: str, text: str, **styles: str) -> Telling:
    grid, table = read_grid(text.encode()), TABLES[name]
    head = find_head(grid, table)
    return tell(grid, head, table, propose(headings(grid, head), table), styles)


def tried(
    current: CurrentPlan, name: str, text: str, existing: Existing = "update", **styles: str
) -> Trial:
    return try_table(current, TABLES[name], told(name, text, **styles), existing)


def take(
    shop: Shop, name: str, text: str, which: WhichRows = "all", existing: Existing = "update",
    version: int | None = None,
) -> TakenIn:  # fmt: skip
    version = shop.current.plan_version if version is None else version
    return take_table(
        shop.forecasts, shop.project_id, TABLES[name], told(name, text), existing, which, version,
        PLANNER, AT, "from the shop",
    )  # fmt: skip


def counts(trial: Trial) -> tuple[int, int, int, int]:
    return trial.added, trial.changed, trial.unchanged, trial.kept


def said(trial: Trial) -> list[tuple[int | None, str, str, str]]:
    return [(one.row, one.column, one.value, one.sentence) for one in trial.problems]


FOUND = "Snag no;Area;Defect;Condition\nF1;tail;Dent, 20 mm;3\nF2;tail;Crack;4\nF3;;Dirt;1\n"


def test_a_trial_counts_what_would_come_and_stores_nothing(shop: Shop) -> None:
    before = shop.picture()
    assert counts(tried(shop.current, "findings", FOUND)) == (2, 1, 0, 0)
    assert counts(tried(shop.current, "findings", FOUND, "keep")) == (2, 0, 0, 1)
    assert counts(tried(shop.current, "findings", "id;seen\nF1;Dent\n", "keep")) == (0, 0, 1, 0)
    assert shop.picture() == before


def test_rows_come_in_as_one_action_that_one_undo_takes_back(shop: Shop) -> None:
    before = shop.current.plan
    done = take(shop, "findings", FOUND)
    assert shop.thing("finding", "F1") == replace(F1, seen="Dent, 20 mm", grade=3)
    assert shop.thing("finding", "F3") == Finding("F3", "Dirt", grade=1)
    changes = shop.changes(plan_version=done.recorded.plan_version)
    assert [(one.action, one.reason) for one in changes] == [("table.import", "from the shop")] * 3
    assert shop.log()[-1].reason == "Table findings: 2 added, 1 changed"
    shop.check_kept_plan()
    undo_last(shop.forecasts, shop.project_id, "finding", done.recorded.key, PLANNER, AT)
    assert shop.current.plan == before


def test_the_same_file_again_changes_nothing(shop: Shop) -> None:
    take(shop, "findings", FOUND)
    version = shop.current.plan_version
    again = take(shop, "findings", FOUND)
    assert (counts(again.trial), again.recorded.change_number) == ((0, 0, 3, 0), None)
    assert shop.current.plan_version == version


def test_every_fault_is_listed_by_row_and_the_good_rows_can_come_in_alone(shop: Shop) -> None:
    text = (
        "id;zone;seen;grade;trade\n"
        "F2;nose;Dent;1;\nF3;tail;;2;\nF4;tail;Dent;7;\nF5;tail;Dent;1;\nF5;tail;Dent;1;\n"
        "F6;tail;Dent;1;metal\n"
    )
    trial = tried(shop.current, "findings", text)
    assert said(trial) == [
        (2, "zone", "nose", 'there is no zone "nose" in the plan'),
        (3, "seen", "", "is missing"),
        (4, "grade", "7", "7: input should be less than or equal to 5"),
        (6, "", "", '"F5" stands in row 5 already'),
        (7, "trade", "metal", '"F6" needs hours and a trade, or neither'),
    ]
    before = shop.picture()
    with pytest.raises(PlanError, match=r'5 of them .* row 2: there is no zone "nose"'):
        take(shop, "findings", text)
    assert shop.picture() == before
    assert counts(take(shop, "findings", text, "good").trial) == (1, 0, 0, 0)
    assert [one.id for one in shop.current.plan.findings] == ["F1", "F5"]


def test_a_plan_that_was_changed_since_the_trial_is_left_alone(shop: Shop) -> None:
    version = shop.current.plan_version
    take(shop, "vendors", "id;name\nV9;Ninth\n")
    with pytest.raises(StaleEditError):
        take(shop, "findings", FOUND, version=version)


def test_what_has_to_be_asked_is_asked_before_anything_comes_in(shop: Shop) -> None:
    text = "id;seen;date seen\nF2;Dent;03/01/2026\n"
    trial = tried(shop.current, "findings", text)
    assert [one.about for one in trial.questions] == ["dates"]
    assert trial.finish_after is None
    with pytest.raises(PlanError, match="say first how they are written"):
        take(shop, "findings", text)
    assert counts(tried(shop.current, "findings", text, dates="day_first")) == (1, 0, 0, 0)
    (late,) = said(tried(shop.current, "findings", text, dates="month_first"))
    assert late[3] == '2026-03-01 of "F2" is after the as-of date 2026-01-09'


def test_tasks_bring_their_days_and_move_the_finish(shop: Shop) -> None:
    text = "id,name,days,low_days,high_days,places\nT9,Weigh,200,150.5,300,\npaint,,2.5,,,\n"
    trial = tried(shop.current, "tasks", text)
    assert trial.finish_after is not None
    assert trial.finish_after > trial.finish_before
    take(shop, "tasks", text)
    assert shop.task("T9") == Task(
        "T9", 200 * DAY, "Weigh", duration_range=(DAY * 301 // 2, 200 * DAY, 300 * DAY)
    )
    assert shop.task("paint") == replace(short_plan().tasks[2], duration=DAY * 5 // 2)


def test_a_task_keeps_its_likely_days_unless_the_row_says_other_days(shop: Shop) -> None:
    ranged = replace(shop.task("paint"), duration_range=(DAY, 3 * DAY, 4 * DAY))
    shop.edit("task", "paint", ranged)
    take(shop, "tasks", "id,name,days,low_days,high_days\npaint,Gloss,1,1,4\n")
    assert shop.task("paint") == replace(ranged, name="Gloss")
    take(shop, "tasks", "id,days\npaint,2\n")
    assert shop.task("paint").duration_range == (2 * DAY, 6 * DAY, 8 * DAY)
    take(shop, "tasks", "id,days,low_days,high_days\npaint,3,1,4\n")
    assert shop.task("paint").duration_range == (DAY, 3 * DAY, 4 * DAY)


@pytest.mark.parametrize(
    ("name", "text", "fault"),
    [
        ("tasks", "id,name\nT9,Weigh", (2, "", "", '"T9" needs days or a milestone')),
        ("tasks", "id,days\nT9,1.3", (2, "days", "1.3", "1.3 is not a whole number of eighths")),
        ("tasks", "id,days,low\nT9,1,1", (2, "low", "1", "low, likely and high belong together")),
        ("tasks", "id,days\nS1/accept,1", (2, "id", "S1/accept", '"S1/accept" is the name of')),
        ("tasks", "id,days,bay\nT9,1,b1", (2, "bay", "b1", 'there is no place "b1"')),
        ("tasks", "id,state\nclose,done", (2, "finished", "", '"close" is done, so it needs')),
        ("costs", "id,amount,currency\nC2,5,XYZ", (2, "currency", "XYZ", '"XYZ" is no current')),
        ("costs", "id,amount,currency,task\nC2,5,EUR,T9", (2, "task", "T9", "there is no task")),
        ("costs", "id,name\nC2,Paint", (2, "amount", "", "is missing")),
        ("vendors", "id,calendar\nV3,moon", (2, "calendar", "moon", 'there is no calendar "moon"')),
        (
            "vendors",
            'id,takes\nV3,"fin, moon"',
            (2, "takes", "fin, moon", 'there is no kind of send-out "moon"'),
        ),
        ("exchange-rates", "currency,date,rate\nGBP,2026-01-05,0", (2, "rate", "0", "0 for one")),
        ("hours", "id,date,task,hours\nH1,2026-01-06,open,25", (2, "hours", "25", "25 hours on")),
        (
            "hours",
            "id,date,task,hours,person\nH1,2026-01-06,open,5,Nobody",
            (2, "person", "Nobody", 'nobody of the crew is called "Nobody"'),
        ),
    ],
)  # fmt: skip
def test_a_row_that_makes_no_sense_says_why(
    bare: CurrentPlan, name: str, text: str, fault: tuple[int, str, str, str]
) -> None:
    ((row, column, value, sentence),) = said(tried(bare, name, text))
    assert (row, column, value) == fault[:3]
    assert sentence.startswith(fault[3])


def test_a_check_holds_a_row_back_as_it_does_a_person(shop: Shop) -> None:
    checked = replace(shop.task("open"), check=Check(CheckKind.BUY_OFF))
    shop.edit("task", "open", checked)
    text = "id,state,started,finished\nopen,done,2026-01-05,2026-01-07\npaint,in_work,2026-01-08,\n"
    found = said(tried(shop.current, "tasks", text))
    assert [one[:2] for one in found] == [(2, "state"), (3, "state")]
    assert "buy-off" in found[0][3]


def test_a_cost_line_remembers_what_it_was(shop: Shop) -> None:
    take(shop, "costs", "id;state;amount;date\nC1;ordered;110,50;2026-01-08\n")
    cost: Any = shop.thing("cost", "C1")
    assert (cost.amount, cost.state) == (Decimal("110.50"), "ordered")
    assert cost.earlier == (CostStep("quoted", Decimal(100), date(2026, 1, 5)),)


def test_exchange_rates_hours_and_vendors_come_in(shop: Shop) -> None:
    take(shop, "exchange-rates", "Currency;Valid from;Rate\nGBP;2026-01-05;1,15\n")
    take(shop, "hours", "No;Day;Worker;Job;Hrs\nH1;08.01.2026;Metalworker 1;open;7,5\n"
         "H2;31.12.2025;;open;1\n")  # fmt: skip
    take(shop, "vendors", "Supplier no;Supplier;Land;Takes\nV3;Third;IE;spar, fin\n")
    plan = shop.current.plan
    assert [(one.currency, one.on, one.rate) for one in plan.exchange_rates] == [
        ("GBP", date(2026, 1, 5), Decimal("1.15"))
    ]
    assert [(one.id, one.on, one.label, one.hours) for one in plan.hours] == [
        ("H1", date(2026, 1, 8), "Metalworker 1", Decimal("7.5")),
        ("H2", date(2025, 12, 31), "", Decimal(1)),
    ]
    assert plan.vendors[-1] == Vendor("V3", "Third", country="IE", kinds=("spar", "fin"))


def test_twenty_thousand_rows_are_tried_and_each_bad_one_named(bare: CurrentPlan) -> None:
    """Less than ten seconds of this process's time, however busy the machine is."""
    rows = (f"X{n};{'nowhere' if n % 100 == 0 else 'tail'};Dent {n};1,5" for n in range(20_000))
    text = "No;Area;Defect;Qty\n" + "\n".join(rows)
    began = time.process_time()
    trial = tried(bare, "findings", text)
    assert time.process_time() - began < 10
    assert counts(trial) == (19_800, 0, 0, 0)
    assert [one.row for one in trial.problems] == [2 + n for n in range(0, 20_000, 100)]
