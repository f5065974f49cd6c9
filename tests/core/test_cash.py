"""When money is needed and when the account runs dry, by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.money.cash import CashNeed, Reach, cash_need
from ribstitch.money.ledger import ledger_of
from ribstitch.planning.model import (
    Cost,
    CostStep,
    Crew,
    Due,
    DueAt,
    ExchangeRate,
    Funding,
    Payment,
    Plan,
    SendOut,
    SendOutStatus,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, plan, status, task, ticks

AS_OF = date(2026, 3, 2)
"""A Monday."""
VENDOR = Vendor("V1", calendar="shop")
PARTS = (
    Due(Decimal(30), DueAt.ORDER),
    Due(Decimal(40), DueAt.APPROVED),
    Due(Decimal(30), DueAt.ACCEPTED, days=10),
)


def line(amount: str, currency: str = "EUR", **fields: Any) -> Cost:
    fields.setdefault("id", "C1")
    return Cost(amount=Decimal(amount), currency=currency, **fields)


def need(made: Plan, **reach: Reach) -> CashNeed:
    dates = schedule(made)
    return cash_need(dates, ledger_of(dates), **reach)


def dues(made: Plan) -> list[tuple[str, int]]:
    """Return what falls due when. [minor units of the line's currency]"""
    return [(one.when.on.isoformat(), one.native) for one in need(made).needs]


def costed(*costs: Cost, **fields: Any) -> Plan:
    fields.setdefault("as_of", AS_OF)
    return plan(fields.pop("tasks", [task("A", 5)]), costs=costs, vendors=[VENDOR], **fields)


def away(**facts: Any) -> SendOut:
    """Return an item: 5 days to prepare, 5 for the owner's yes, 10 at the vendor, 1 to accept."""
    return SendOut(
        "S1", "V1", prepare=ticks(5), approval=ticks(5), lead=ticks(10), accept=ticks(1),
        status=SendOutStatus(**facts),
    )  # fmt: skip


def test_parts_of_a_price_fall_due_at_events_of_the_send_out() -> None:
    """
    Prepared by Friday 6 March; the owner's yes takes 5 dates, to the 11th; ten working days
    at the vendor to the 25th, accepted on the 26th, and ten dates to pay.
    """
    made = costed(line("1000", send_out="S1", dues=PARTS, state="ordered"), send_outs=[away()])
    assert dues(made) == [("2026-03-06", 30000), ("2026-03-11", 40000), ("2026-04-05", 30000)]


def test_payments_settle_the_parts_in_turn() -> None:
    paid = (Payment(MONDAY, Decimal(300)), Payment(MONDAY, Decimal(150)))
    made = costed(
        line("1000", send_out="S1", dues=PARTS, state="ordered", payments=paid),
        send_outs=[away()],
    )
    assert dues(made) == [("2026-03-11", 25000), ("2026-04-05", 30000)]


def test_what_a_price_has_risen_falls_due_with_the_last_part() -> None:
    """
    The deposit was 30 % of 1,000, the progress payment 40 % of 1,200: 780, all paid. The
    price is 1,500 since; 720 is the balance.
    """
    price = line(
        "1500",
        send_out="S1",
        dues=PARTS,
        state="ordered",
        on=date(2026, 2, 20),
        earlier=(
            CostStep("estimate", Decimal(1000), MONDAY),
            CostStep("ordered", Decimal(1200), date(2026, 1, 20)),
        ),
        payments=(Payment(date(2026, 2, 1), Decimal(780)),),
    )
    facts = {"shipped": date(2026, 1, 9), "approved": date(2026, 1, 26)}
    made = costed(price, send_outs=[away(**facts, promised=date(2026, 3, 12))])
    assert dues(made) == [("2026-03-23", 72000)]


def test_what_was_due_is_needed_at_once_and_said_to_be_overdue() -> None:
    made = costed(
        line("1000", send_out="S1", dues=PARTS, state="ordered"),
        send_outs=[away(shipped=date(2026, 1, 9), approved=AS_OF)],
    )
    found = need(made)
    assert dues(made)[0] == ("2026-03-02", 30000)
    assert found.overdue == 30000


def test_a_rejected_item_is_paid_for_when_its_further_trip_is_accepted() -> None:
    back = {"shipped": MONDAY, "approved": MONDAY, "left_vendor": MONDAY, "rejected": MONDAY}
    again = SendOut("S1/2", "V1", trip_of="S1", lead=ticks(5))
    made = costed(
        line("1000", send_out="S1", dues=PARTS, state="ordered"), send_outs=[away(**back), again]
    )
    assert dues(made)[-1] == ("2026-03-16", 30000), "five working days, and ten dates to pay"


def test_a_line_without_parts_falls_due_thirty_days_after_what_it_pays_for() -> None:
    later = date(2026, 5, 4)
    for fields, due in (
        ({"send_out": "S1"}, "2026-04-25"),
        ({"task": "A"}, "2026-04-05"),
        ({"on": later}, "2026-06-03"),
        ({"on": MONDAY}, "2026-03-02"),
        ({}, "2026-04-01"),
    ):
        made = costed(line("10", **fields), send_outs=[away()])
        assert dues(made) == [(due, 1000)], fields


def test_parts_of_a_line_for_a_task_go_by_the_order_or_the_task() -> None:
    parts = (Due(Decimal(50), DueAt.ORDER), Due(Decimal(50), DueAt.ACCEPTED))
    to_come = costed(line("10", task="A", dues=parts))
    assert dues(to_come) == [("2026-03-02", 500), ("2026-03-06", 500)]
    ordered = line("10", task="A", dues=parts, state="ordered", on=date(2026, 3, 1))
    assert need(costed(ordered)).overdue == 500
    dated = (Due(Decimal(25), DueAt.DATE, on=date(2026, 7, 1)), Due(Decimal(75), DueAt.ACCEPTED))
    assert dues(costed(line("10", task="A", dues=dated))) == [
        ("2026-03-06", 750),
        ("2026-07-01", 250),
    ]


def test_what_comes_back_lessens_the_need() -> None:
    """A core's deposit of 200 comes back."""
    made = costed(
        line("1000", task="A", state="ordered"), line("-200", id="C2", task="A", state="ordered")
    )
    assert [month.committed for month in need(made).months] == [0, 80000]


def test_currencies_stand_by_month_in_their_own_money() -> None:
    """33 GBP at 1.15 is 37.95; thirds of 33 in two months."""
    parts = (Due(Decimal(50), DueAt.ORDER), Due(Decimal(50), DueAt.ACCEPTED, days=30))
    made = costed(
        line("33", "GBP", task="A", state="ordered", dues=parts),
        line("5", id="C2", task="A", state="ordered", on=AS_OF),
        exchange_rates=[ExchangeRate("GBP", MONDAY, Decimal("1.15"))],
    )
    months = need(made).months
    assert [month.native for month in months] == [
        (("GBP", 1650),),
        (("EUR", 500), ("GBP", 1650)),
    ]
    assert sum(month.committed for month in months) == 3795 + 500


def test_bands_stand_by_currency_what_is_expected_scaled_in_each() -> None:
    """33 GBP and 10 EUR are expected, 37.95 + 10 in all; possible: 2 x that, and 5 ordered."""
    made = costed(
        line("33", "GBP", task="A"),
        line("10", id="C2", task="A"),
        line("5", id="C3", task="A", state="ordered"),
        exchange_rates=[ExchangeRate("GBP", MONDAY, Decimal("1.15"))],
    )
    cost = 2 * (3795 + 1000) + 500
    (month,) = (
        one for one in need(made, possible=Reach(date(2026, 3, 6), cost)).months if one.likely
    )
    assert month.native == (("EUR", 500),)
    assert month.likely_native == (("EUR", 1500), ("GBP", 3300))
    assert month.possible_native == (("EUR", 2500), ("GBP", 6600))


def labour(as_of: date = AS_OF, **project: Any) -> Plan:
    """Return work for 100 an hour, 5 days: 4,000 to go; and 600 ordered for 1 June."""
    due = (Due(Decimal(100), DueAt.DATE, on=date(2026, 6, 1)),)
    return plan(
        [task("A", 5, trade="metal")],
        as_of=as_of,
        crew=[Crew("metal", rate=Decimal(100))],
        costs=[line("600", state="ordered", dues=due)],
        project=project,
    )


def by_month(found: CashNeed, band: str) -> dict[int, int]:
    return {one.month.month: getattr(one, band) for one in found.months if getattr(one, band)}


def test_bands_stretch_what_goes_with_the_schedule_and_scale_what_is_expected() -> None:
    """
    Written: done in 4 dates. Likely in 40, so that what is needed on the 6th (4 dates on)
    is needed on 11 April; the date of the order stays. Possible: 80 dates and 5,000 in all, of
    which 600 are committed.
    """
    found = need(
        labour(),
        likely=Reach(date(2026, 4, 11)),
        possible=Reach(date(2026, 5, 21), cost=500000),
    )
    assert by_month(found, "committed") == {6: 60000}
    assert by_month(found, "likely") == {4: 400000, 6: 60000}
    assert by_month(found, "possible") == {5: 440000, 6: 60000}


def test_a_cost_below_what_is_spent_and_ordered_leaves_only_what_is_ordered() -> None:
    found = need(labour(), possible=Reach(date(2026, 3, 6), cost=100))
    assert by_month(found, "possible") == {6: 60000}


def test_a_plan_that_is_finished_needs_what_is_still_owed() -> None:
    done = status("done", started=MONDAY, finished=MONDAY)
    made = costed(line("10", task="A", state="invoiced"), tasks=[task("A", status=done)])
    found = need(made, likely=Reach(MONDAY, 1000))
    assert by_month(found, "likely") == {3: 1000}
    assert found.overdue == 1000, "thirty dates after 5 January"


def funded(*funding: Funding, **project: Any) -> CashNeed:
    made = replace(labour(**project), funding=funding)
    return need(made)


def test_the_account_runs_dry_in_the_month_that_ends_below_zero() -> None:
    """4,100 and 250 on each 31st (the last of the month): 350 left, 600, 850; then 600 go."""
    monthly = Funding("N1", date(2026, 1, 31), Decimal(250), every_months=1)
    found = funded(
        replace(monthly, until=date(2026, 5, 1)), balance=Decimal(4100), balance_on=AS_OF
    )
    assert [(one.month.month, one.funding, one.balance) for one in found.months] == [
        (3, 25000, 35000),
        (4, 25000, 60000),
        (5, 0, 60000),
        (6, 0, 0),
    ]
    assert found.dry is None
    assert found.dry_sentence == "The account lasts to the end."
    short = funded(balance=Decimal("4500.01"), balance_on=AS_OF)
    assert short.dry == date(2026, 6, 1)
    assert short.dry_sentence == (
        "The account runs dry in June 2026: by its end, 99.99 EUR are likely to be missing."
    )


def test_an_account_that_may_run_dry_is_not_said_to_last() -> None:
    made = labour(balance=Decimal(4700), balance_on=AS_OF)
    found = need(made, possible=Reach(date(2026, 3, 6), cost=470100))
    assert (found.dry, found.dry_possible) == (None, date(2026, 6, 1))
    assert found.dry_sentence == (
        "The account is likely to last to the end, but may run dry in June 2026."
    )


def test_without_a_balance_it_is_said_how_to_get_an_answer() -> None:
    found = need(labour())
    assert (found.on_account, found.dry) == (None, None)
    assert {one.balance for one in found.months} == {None}
    assert found.dry_sentence.startswith("Enter what is on the account, and on which date")


def test_an_overdrawn_account_is_said_to_be_so() -> None:
    found = funded(balance=Decimal(-5), balance_on=AS_OF)
    assert found.dry_sentence == "The account is overdrawn by 5.00 EUR already."


def test_an_older_balance_is_brought_up_to_the_as_of_date() -> None:
    """100 on 1 February, 50 came in on the 15th; 30 were paid in money and 20 in kind."""
    since = date(2026, 2, 1)
    payments = (
        Payment(since, Decimal(7)),
        Payment(date(2026, 2, 10), Decimal(30)),
        Payment(date(2026, 2, 11), Decimal(20), in_kind="a pattern lent"),
    )
    made = replace(
        costed(
            line("57", state="paid", payments=payments),
            project={"balance": Decimal(100), "balance_on": since},
        ),
        funding=(
            Funding("N1", date(2026, 2, 15), Decimal(50)),
            Funding("N2", since, Decimal(99)),
        ),
    )
    assert need(made).on_account == 10000 + 5000 - 3000


def test_what_is_needed_soon_is_said_in_one_sentence() -> None:
    assert need(labour()).next_sentence == (
        "By the end of May 2026, 4000.00 EUR are likely to be needed; "
        "0.00 EUR of what is owed or ordered falls due."
    )
    assert need(plan([task("A")])).next_sentence == "Nothing is left to pay."


def test_every_band_comes_to_what_is_open() -> None:
    found = need(labour(), possible=Reach(date(2026, 8, 1), cost=1234567))
    assert sums(found.months, "likely") == 460000
    assert sums(found.months, "possible") == 1234567
    assert sum(one.worth for one in found.needs) == 460000


def sums(months: Sequence[object], band: str) -> int:
    return sum(getattr(one, band) for one in months)
