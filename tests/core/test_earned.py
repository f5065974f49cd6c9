"""Earned value of a plan against its baseline, rule by rule, by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from ribstitch.money.baseline import make_baseline
from ribstitch.money.earned import Earned, earned_of, in_months, missing_for_earned
from ribstitch.money.ledger import ledger_of
from ribstitch.planning.model import (
    Baseline,
    BudgetLine,
    Cost,
    Crew,
    EarningRule,
    Package,
    Payment,
    Plan,
    SendOut,
    SendOutStatus,
    Task,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, plan, status, task, ticks

METAL = Crew("metal", rate=Decimal(50))
VENDOR = Vendor("V1", calendar="shop")
AS_OF = date(2026, 1, 16)
"""Friday of the second week."""


def package(name: str, rule: EarningRule, amount: str = "100.01", **fields: Any) -> Package:
    """Return a package of the first two weeks, Monday to Friday."""
    dates = {"start": MONDAY, "finish": AS_OF} | fields
    return Package(name, Decimal(amount), rule=rule, **dates)


def baseline(*packages: Package) -> Baseline:
    return Baseline("B1", MONDAY, AS_OF, packages=packages)


def measured(made: Plan) -> Earned:
    dates = schedule(made)
    found = earned_of(dates, ledger_of(dates))
    assert found is not None
    return found


def earned(tasks: Sequence[Task], *packages: Package, **fields: Any) -> dict[str, int]:
    """Return what each package has earned at the as-of date. [cents]"""
    fields.setdefault("as_of", AS_OF)
    found = measured(plan(tasks, baselines=[baseline(*packages)], **fields))
    assert found.earned == sum(one.earned for one in found.packages)
    assert found.planned == sum(one.planned for one in found.packages)
    return {one.package.id: one.earned for one in found.packages}


ALL, HALF, WORK, LEGS, TIME = (
    EarningRule.ALL_AT_END,
    EarningRule.HALF_AND_HALF,
    EarningRule.WORK_DONE,
    EarningRule.LEGS,
    EarningRule.TIME,
)
DONE = status("done", started=MONDAY, finished=date(2026, 1, 8))


def test_tasks_earn_by_their_rule() -> None:
    """Three of ten days remain: 70.007, as money 70.01. Half is 50.01 with the odd cent."""
    begun = status("in_work", 3, started=MONDAY)
    held = status("held", 4, started=MONDAY, held_reason="no timber")
    states = {"done": DONE, "begun": begun, "held": held, "to come": status("not_started")}
    expected = {
        ALL: (10001, 0, 0, 0),
        HALF: (10001, 5001, 5001, 0),
        WORK: (10001, 7001, 6001, 0),
        LEGS: (10001, 7001, 6001, 0),
    }
    for rule, units in expected.items():
        tasks = [task(name, 10, status=one) for name, one in states.items()]
        found = earned(tasks, *(package(name, rule) for name in states))
        assert tuple(found.values()) == units, rule


def test_work_that_takes_longer_than_planned_has_earned_nothing_not_less() -> None:
    grown = task("A", 10, status=status("in_work", 14, started=MONDAY))
    assert earned([grown], package("A", WORK)) == {"A": 0}


def test_what_comes_with_time_is_earned_as_planned() -> None:
    """10 of 12 dates from 5 to 16 January are over on the 14th."""
    rent = package("chapter:91", TIME, "120")
    assert earned([task("A")], rent, as_of=date(2026, 1, 14)) == {"chapter:91": 10000}
    assert earned([task("A")], rent, as_of=date(2026, 3, 1)) == {"chapter:91": 12000}


def send_out(**facts: Any) -> SendOut:
    """Return legs of 1, 2, 20 and 2 days: 25 in all."""
    return SendOut(
        "S1", "V1", prepare=ticks(1), ship_out=ticks(2), lead=ticks(20), accept=ticks(2),
        status=SendOutStatus(**facts),
    )  # fmt: skip


def test_a_send_out_earns_by_the_time_of_its_legs() -> None:
    """
    Prepared and shipped: 3 of 25 days. Eight working days at the vendor by the morning of
    the 16th, so 12 of 20 remain: 8 more. A promise that leaves 15 working days: 5.
    """
    legs = package("S1", LEGS, "250")
    there = {"shipped": MONDAY, "arrived": date(2026, 1, 5)}

    def by_now(*trips: SendOut) -> int:
        return earned([], legs, vendors=[VENDOR], send_outs=trips)["S1"]

    assert by_now(send_out()) == 0
    assert by_now(send_out(shipped=AS_OF)) == 1000
    assert by_now(send_out(**there)) == 3000 + 8000
    late = date(2026, 2, 5)
    assert by_now(send_out(**there, promised=late)) == 3000 + 5000
    assert by_now(send_out(**there, promised=date(2026, 12, 1))) == 3000
    gone = there | {"left_vendor": AS_OF, "received": AS_OF}
    assert by_now(send_out(**gone)) == 23000
    assert by_now(send_out(**gone, accepted=AS_OF)) == 25000


def test_what_is_turned_down_earns_with_its_further_trip() -> None:
    """23 of 25 days, and none of 10 more; once that is accepted, all."""
    back = {"shipped": MONDAY, "arrived": MONDAY, "left_vendor": MONDAY, "received": MONDAY}
    first = send_out(**back, rejected=MONDAY)
    again = SendOut("S1/2", "V1", trip_of="S1", prepare=ticks(10))
    legs = package("S1", LEGS, "350")

    def by_now(second: SendOut) -> int:
        return earned([], legs, vendors=[VENDOR], send_outs=[first, second])["S1"]

    assert by_now(again) == 23000
    accepted = SendOutStatus(shipped=AS_OF, accepted=AS_OF)
    assert by_now(replace(again, status=accepted)) == 35000


def test_dropped_and_gone_work_earns_nothing_and_is_named() -> None:
    made = plan(
        [
            replace(task("A", status=status("dropped")), name="Rib"),
            task("B", status=DONE),
        ],
        as_of=AS_OF,
        vendors=[VENDOR],
        send_outs=[SendOut("S1", "V1", lead=1440, dropped=True)],
        baselines=[
            baseline(package("A", ALL), package("B", ALL), package("C", ALL), package("S1", LEGS))
        ],
    )
    found = measured(made)
    assert found.earned == 10001
    assert (found.dropped, found.gone, found.unplanned) == (("A", "S1"), ("C",), ())
    assert list(found.sentences()) == [
        "“Rib” and “S1” were dropped and earn nothing. A new baseline takes account of that.",
        "“C” is no longer in the plan and earns nothing. A new baseline takes account of that.",
    ]


def test_work_that_came_later_costs_but_earns_nothing_and_is_named() -> None:
    """Two days of 8 h at 50 are 800; milestones and further trips are no work of their own."""
    made = plan(
        [
            task("A", status=DONE, trade="metal"),
            task("B", 2, status=DONE, trade="metal"),
            task("M", 0, milestone="finish"),
            *(task(f"X{n}") for n in range(5)),
        ],
        as_of=AS_OF,
        crew=[METAL],
        baselines=[baseline(package("A", ALL))],
    )
    found = measured(made)
    assert (found.earned, found.actual) == (10001, 40000 + 80000)
    assert found.unplanned == ("B", "X0", "X1", "X2", "X3", "X4")
    (sentence,) = found.sentences()
    assert sentence.startswith("“B”, “X0”, “X1”, “X2”, “X3” and 1 more came after")


def test_actual_cost_is_what_is_paid_owed_and_worked() -> None:
    paid = Payment(AS_OF, Decimal(30))
    made = plan(
        [task("A", status=DONE, trade="metal")],
        as_of=AS_OF,
        crew=[METAL],
        costs=[
            Cost("C1", Decimal(100), "EUR", state="ordered", payments=(paid,)),
            Cost("C2", Decimal(7), "EUR", state="invoiced"),
            Cost("C3", Decimal(9), "EUR"),
        ],
        baselines=[baseline(package("A", ALL))],
    )
    found = measured(made)
    assert found.actual == 40000 + 3000 + 700
    assert found.value.actual == 437
    assert found.value.cost_index == Fraction(10001, 43700)


def test_before_its_start_the_baseline_has_no_figures_yet() -> None:
    made = plan(
        [task("A")],
        baselines=[baseline(package("A", ALL, start=date(2026, 2, 2), finish=date(2026, 2, 6)))],
    )
    found = measured(made)
    assert found.planned == found.earned == found.pace.time == 0
    assert (found.pace.index, found.finish_by_pace) == (None, None)
    assert [month.earned for month in found.months] == [None]


def test_without_a_baseline_it_is_said_how_to_get_one() -> None:
    made = plan([task("A")])
    dates = schedule(made)
    assert earned_of(dates, ledger_of(dates)) is None
    assert missing_for_earned(made) == (
        "There is no baseline yet: enter the budget by chapter and approve the plan; "
        "from then on it shows what is earned of it."
    )
    for nothing in ("0", "0.004"):
        empty = replace(made, baselines=(baseline(package("A", ALL, nothing)),))
        assert (missing_for_earned(empty) or "").startswith("The baseline plans no money: ")
        assert earned_of(schedule(empty), ledger_of(dates)) is None


def finished(late: int) -> Plan:
    """Return a plan of ten dates from Monday that was finished some dates late."""
    last = date(2026, 1, 14) + timedelta(days=late)
    work = task("A", 8, status=status("done", started=MONDAY, finished=last))
    rent = package("chapter:91", TIME, finish=date(2026, 1, 14))
    return plan(
        [work],
        as_of=date(2026, 3, 31),
        baselines=[baseline(package("A", WORK, finish=date(2026, 1, 14)), rent)],
    )


def test_a_finished_aircraft_has_earned_all_however_late_and_the_pace_tells() -> None:
    """Planned 10 dates. On the day: 1; after 12.5, 20 or 5 dates: 10 by them."""
    for late, took in ((0, 10), (10, 20), (-5, 5)):
        found = measured(finished(late))
        assert found.earned == found.budget
        assert found.as_of == date(2026, 1, 14) + timedelta(days=late)
        assert found.pace.index == Fraction(10, took)
        assert found.pace.estimate == took
        assert found.finish_by_pace == found.as_of
        if late >= 0:
            assert found.value.schedule_index == 1


def test_earned_schedule_steps_over_stretches_without_plan() -> None:
    """100 by 9 January, nothing until 100 more on 16 March; all of the first is done."""
    later = date(2026, 3, 16)
    made = plan(
        [task("A", status=DONE), task("B")],
        as_of=date(2026, 1, 12),
        baselines=[
            baseline(
                package("A", ALL, "100", finish=date(2026, 1, 9)),
                package("B", ALL, "100", start=later, finish=later),
            )
        ],
    )
    found = measured(made)
    assert found.pace.duration == (later - date(2026, 1, 9)).days + 1
    before_more = (date(2026, 3, 15) - found.start).days + 1
    assert found.pace.earned == before_more, "the last date before more was to be done"
    assert found.start == date(2026, 1, 9), "the first date on which something was to be earned"


def test_a_new_baseline_counts_and_the_old_one_stays() -> None:
    made = plan(
        [task("A", 2, chapter="53", trade="metal"), task("B", 2, chapter="53", trade="metal")],
        crew=[METAL],
        budget=[BudgetLine("53", Decimal(100), "EUR")],
    )
    first = make_baseline(
        made, schedule(made), baseline_id="B1", approved_on=MONDAY, reason="first"
    )
    later = replace(
        made,
        project=replace(made.project, as_of=AS_OF),
        budget=(BudgetLine("53", Decimal(300), "EUR"),),
        baselines=(first,),
    )
    second = make_baseline(
        later, schedule(later), baseline_id="B2", approved_on=AS_OF, reason="another rib"
    )
    again = replace(later, baselines=(*later.baselines, second))
    assert again.baselines[0] == first
    assert measured(later).budget == 10000
    found = measured(again)
    assert (found.budget, found.baseline.reason) == (30000, "another rib")
    assert second.packages[0].start == AS_OF


def test_months_hold_running_totals_and_end_at_the_as_of_date() -> None:
    """A: 100 evenly over 60 dates from 1 January; half the work done, begun on 21 January."""
    as_of = date(2026, 2, 9)
    made = plan(
        [task("A", 20, status=status("in_work", 10, started=date(2026, 1, 21)))],
        start=date(2026, 1, 1),
        as_of=as_of,
        baselines=[
            baseline(package("A", WORK, "60", start=date(2026, 1, 1), finish=date(2026, 3, 1)))
        ],
    )
    found = measured(made)
    rows = [(one.month.month, one.planned, one.earned, one.actual) for one in found.months]
    # 30.00 over 20 dates from 21 January to 9 February: 11 of them are in January
    assert rows == [(1, 3100, 1650, 0), (2, 5900, 3000, 0), (3, 6000, None, None)]
    assert found.planned == 4000
    assert found.months[-2].earned == found.earned


def test_days_are_told_in_months_of_average_length() -> None:
    assert in_months(Fraction(3, 4) * Fraction("30.4375")) == Fraction(3, 4)
