"""The ledger by hand: what is paid, owed, ordered, worked and expected, to the minor unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.money import Bucket, Entry, Flag, Origin, exposures
from ribstitch.money.entries import SPENT
from ribstitch.planning.model import (
    BudgetLine,
    Cost,
    CostStep,
    Crew,
    ExchangeRate,
    HoursWorked,
    Payment,
    SendOut,
    Vendor,
    Zone,
)
from tests.core.costed import AS_OF, METAL, booked, costed, line, paid
from tests.core.making import MONDAY, status, task, ticks

JANUARY, FEBRUARY = date(2026, 1, 20), date(2026, 2, 20)


def entry(cost: Cost, **project: Any) -> Entry:
    """Return the one entry of a plan with one cost line."""
    (found,) = booked(costed(cost, **project)).entries
    return found


@pytest.mark.parametrize(
    ("state", "bucket"),
    [
        ("estimate", Bucket.EXPECTED),
        ("quoted", Bucket.EXPECTED),
        ("ordered", Bucket.COMMITTED),
        ("invoiced", Bucket.INVOICED),
        ("paid", Bucket.PAID),
    ],
)
def test_a_line_is_as_firm_as_its_state(state: str, bucket: Bucket) -> None:
    found = entry(line("12.34", id="C", kind="freight", chapter="92", state=state, on=JANUARY))
    assert found == Entry(
        "C", Origin.LINE, bucket, "freight", JANUARY, "EUR", 1234, 1234, chapter="92"
    )
    assert found.month == date(2026, 1, 1)


def test_a_line_knows_its_vendor_and_the_chapter_of_its_task() -> None:
    made = costed(
        line("1", id="freight", send_out="S", task="A"),
        line("2", id="own chapter", task="A", chapter="28"),
        tasks=[task("A", chapter="53")],
        vendors=[Vendor("V")],
        send_outs=[SendOut("S", "V", lead=ticks(3))],
    )
    freight, own = booked(made).entries
    assert (freight.vendor, freight.send_out, freight.task, freight.chapter) == (
        "V",
        "S",
        "A",
        "53",
    )
    assert (own.vendor, own.chapter) == (None, "28")


def test_part_payments_keep_their_own_rates_and_the_rest_takes_todays() -> None:
    """100 GBP at 1.16 (20 January), 50 at 1.14 (20 February), the other 50 at 1.14."""
    order = line(
        "200", "GBP", state="ordered", on=JANUARY, payments=paid((JANUARY, "100"), (FEBRUARY, "50"))
    )
    found = booked(costed(order)).entries
    assert [(one.bucket, one.on, one.amount, one.worth) for one in found] == [
        (Bucket.PAID, JANUARY, 10000, 11600),
        (Bucket.PAID, FEBRUARY, 5000, 5700),
        (Bucket.COMMITTED, JANUARY, 5000, 5700),
    ]


@pytest.mark.parametrize(
    ("cost", "parts"),
    [
        (line("100", payments=paid((JANUARY, "100"))), [(Bucket.PAID, 10000)]),
        (line("100", payments=paid((JANUARY, "130"))), [(Bucket.PAID, 13000)]),
        (line("100", state="paid", payments=paid((JANUARY, "90"))), [(Bucket.PAID, 9000)]),
        (line("100", state="paid"), [(Bucket.PAID, 10000)]),
        (
            line("-100", state="invoiced", payments=paid((JANUARY, "-30"))),
            [(Bucket.PAID, -3000), (Bucket.INVOICED, -7000)],
        ),
        (
            line("100", state="invoiced", payments=paid((JANUARY, "60"), (FEBRUARY, "-10"))),
            [(Bucket.PAID, 6000), (Bucket.PAID, -1000), (Bucket.INVOICED, 5000)],
        ),
        (line("0"), []),
    ],
)
def test_the_rest_is_what_is_not_paid(cost: Cost, parts: list[tuple[Bucket, int]]) -> None:
    """Paid too much leaves no rest, and a line that is paid has none."""
    found = booked(costed(cost)).entries
    assert [(one.bucket, one.worth) for one in found] == parts


def test_what_is_given_in_kind_counts_as_paid() -> None:
    """A pattern lent against a new part is worth what it saves."""
    pattern = Payment(FEBRUARY, Decimal(30), in_kind="pattern lent")
    found = booked(costed(line("100", state="ordered", payments=(pattern,)))).entries
    assert [(one.bucket, one.worth, one.in_kind) for one in found] == [
        (Bucket.PAID, 3000, True),
        (Bucket.COMMITTED, 7000, False),
    ]


@pytest.mark.parametrize(
    ("currency", "amount", "native", "worth"),
    [
        ("EUR", "1.005", 101, 101),
        ("EUR", "-1.005", -101, -101),
        ("GBP", "0.25", 25, 29),
        ("GBP", "-0.25", -25, -29),
        ("JPY", "1234", 1234, 740),
        ("JPY", "1234.5", 1235, 741),
        ("KWD", "1.234", 1234, 358),
        ("KWD", "1.2345", 1235, 358),
    ],
)
def test_amounts_are_rounded_to_their_own_minor_unit_and_converted_as_shown(
    currency: str, amount: str, native: int, worth: int
) -> None:
    """0.25 x 1.14 = 0.285; 1235 x 0.006 = 7.41; 1.235 x 2.9 = 3.5815."""
    found = entry(line(amount, currency))
    assert (found.amount, found.worth) == (native, worth)


@pytest.mark.parametrize(("currency", "worth"), [("JPY", 1140), ("KWD", 1140000)])
def test_the_projects_currency_need_not_have_cents(currency: str, worth: int) -> None:
    """1,000 GBP at 1.14 are 1,140 of a currency without minor units, and 1,140.000."""
    assert entry(line("1000", "GBP"), currency=currency).worth == worth


def test_huge_amounts_are_exact() -> None:
    found = entry(line("1000000000000000.01", "GBP"))
    assert found.worth == 114000000000000001
    assert booked(costed(line("123456789012345678901234567.89"))).amount(
        12345678901234567890123456789
    ) == Decimal("123456789012345678901234567.89")


def test_money_without_a_rate_is_named_and_in_no_total() -> None:
    ledger = booked(costed(line("7", "CZK", id="C1", state="ordered"), line("5")))
    assert ledger.missing == (
        'The cost line "C1" is in CZK, of which no exchange rate into EUR is given.',
    )
    assert [(one.of, one.amount, one.worth) for one in ledger.without_rate] == [("C1", 700, 0)]
    assert ledger.total() == 500


def test_nothing_is_counted_twice() -> None:
    """1,217.50 a month are 40 a day; the aircraft is finished on Tuesday evening, in two days."""
    made = costed(
        line("1", kind="labour", id="wages", state="paid", on=JANUARY),
        line("2", kind="labour", id="metalwork", task="A"),
        line("4", kind="labour", id="contractor", task="B"),
        line("8", kind="standing", id="past", state="invoiced", on=AS_OF - timedelta(days=1)),
        line("16", kind="standing", id="rent", payments=paid((JANUARY, "6"))),
        line("32", kind="contingency", id="reserve", payments=paid((JANUARY, "2"))),
        standing="1217.50",
        tasks=[task("A", 2, trade="metal"), task("B", 1, trade="trim")],
    )
    ledger = booked(made)
    assert ledger.left_out == ("wages", "metalwork", "rent", "reserve")
    assert ledger.sums(lambda one: (one.origin, one.of)) == {
        (Origin.LINE, "contractor"): 400,
        (Origin.LINE, "past"): 800,
        (Origin.LINE, "rent"): 600,
        (Origin.LINE, "reserve"): 200,
        (Origin.WORK_TO_GO, "A"): 2 * 8 * 4800,
        (Origin.STANDING, "standing"): 8000,
    }


def test_standing_to_come_is_spread_over_the_months_it_falls_into() -> None:
    """From 2 March to 15 April: 30 and 15 days at 40; under the chapter that has its budget."""
    made = costed(
        standing="1217.50",
        calendar="elapsed",
        tasks=[task("A", 45)],
        budget=[BudgetLine("91", Decimal(1), "EUR", kind="standing")],
    )
    found = [(one.on, one.worth, one.chapter) for one in booked(made).entries]
    assert found == [(date(2026, 3, 31), 120000, "91"), (date(2026, 4, 15), 60000, "91")]


def test_standing_of_a_finished_aircraft_is_nothing() -> None:
    done = task("A", 1, status=status("done", finished=MONDAY))
    assert booked(costed(standing="1000", tasks=[done])).entries == ()
    assert booked(costed(standing="1000")).entries == ()


def test_work_is_worked_or_to_go() -> None:
    """Three of five days are done: 24 h and 16 h of two people at 48."""
    begun = task("A", 5, trade="metal", people=2, chapter="53",
                 status=status("in_work", 2, started=FEBRUARY))  # fmt: skip
    done, to_go = booked(costed(tasks=[begun])).entries
    assert done == Entry(
        "A", Origin.WORK_DONE, Bucket.WORKED, "labour", AS_OF, "EUR", 230400, 230400, "53", task="A"
    )
    assert (to_go.origin, to_go.bucket) == (Origin.WORK_TO_GO, Bucket.EXPECTED)
    assert (to_go.worth, to_go.on) == (153600, date(2026, 3, 3))


def test_hours_of_the_timesheet_stand_in_for_the_planned_ones() -> None:
    begun = task("A", 5, trade="metal", chapter="53", status=status("in_work", 2, started=FEBRUARY))
    made = costed(
        tasks=[begun], hours=[HoursWorked("H", "A", FEBRUARY, Decimal("7.25"), label="anybody")]
    )
    ledger = booked(made)
    assert ledger.entries[0] == Entry(
        "H", Origin.TIMESHEET, Bucket.WORKED, "labour", FEBRUARY, "EUR", 34800, 34800, "53",
        task="A",
    )  # fmt: skip
    assert ledger.total(SPENT) == 34800
    assert ledger.total([Bucket.EXPECTED]) == 2 * 8 * 4800
    assert ledger.total() == 34800 + 76800


def test_hidden_work_is_allowed_for_until_its_zone_is_opened() -> None:
    """Ten days in the tail grow by 35 %, what opens it and what is begun do not."""
    tasks = [
        task("open", 1, zone="tail", trade="metal"),
        task("A", 10, zone="tail", trade="metal", chapter="55"),
        task("B", 5, zone="tail", trade="metal", status=status("in_work", 4, started=FEBRUARY)),
        task("C", 5, zone="bow", trade="metal"),
    ]
    zones = [
        Zone("tail", hidden_work_percent=35, opened_by="open"),
        Zone("bow", hidden_work_percent=50, opened_by="D"),
    ]
    opened = task("D", 1, status=status("done", finished=MONDAY))
    ledger = booked(costed(tasks=[*tasks, opened], zones=zones))
    allowed = [one for one in ledger.entries if one.origin is Origin.ALLOWANCE]
    assert [(one.of, one.chapter, one.bucket) for one in allowed] == [("A", "55", Bucket.EXPECTED)]
    assert allowed[0].worth == 10 * 8 * 4800 * 35 // 100


def test_sums_go_by_whatever_is_asked() -> None:
    ledger = booked(
        costed(
            line("1", id="a", state="paid", on=JANUARY, kind="freight"),
            line("2", id="b", state="paid", on=FEBRUARY),
            line("4", "GBP", id="c", state="ordered", on=FEBRUARY),
        )
    )
    assert ledger.sums(lambda one: one.month) == {date(2026, 1, 1): 100, date(2026, 2, 1): 656}
    assert ledger.sums(lambda one: one.currency) == {"EUR": 300, "GBP": 456}
    assert ledger.sums(lambda one: (one.bucket, one.kind)) == {
        (Bucket.PAID, "freight"): 100,
        (Bucket.PAID, "other"): 200,
        (Bucket.COMMITTED, "other"): 456,
    }
    assert (ledger.total([Bucket.PAID]), ledger.total(), ledger.amount(756)) == (
        300,
        756,
        Decimal("7.56"),
    )


FLAGGED = {
    "invoice above the order": (
        line(
            "130.5",
            id="C",
            state="invoiced",
            earlier=(
                CostStep("quoted", Decimal(140)),
                CostStep("ordered", Decimal(90)),
                CostStep("ordered", Decimal(100)),
            ),
        ),
        'The invoice of "C", 130.5 EUR, is 30.5 EUR above the order.',
    ),
    "paid more than the amount": (
        line("100", id="C", payments=paid((JANUARY, "60"), (FEBRUARY, "60"))),
        '120 EUR are paid of "C", more than its 100 EUR.',
    ),
    "more came back than was to": (
        line("-100", id="C", state="invoiced", payments=paid((JANUARY, "-130"))),
        '-130 EUR are paid of "C", more than its -100 EUR.',
    ),
    "paid, but not in full": (
        line("100", id="C", state="paid", payments=paid((JANUARY, "60"))),
        '"C" is paid, but its payments add up to 60 EUR, not 100 EUR.',
    ),
    "paid in the future": (
        line("100", id="C", state="paid", on=AS_OF + timedelta(days=1)),
        'A payment of "C" is dated 2026-03-03, after the as-of date 2026-03-02.',
    ),
    "part paid in the future": (
        line("100", id="C", payments=paid((AS_OF + timedelta(days=1), "60"))),
        'A payment of "C" is dated 2026-03-03, after the as-of date 2026-03-02.',
    ),
    "no rate for the date": (
        line("100", "GBP", id="C", state="paid", on=MONDAY),
        (
            '"C" is converted at the rate of 2026-01-12, the first of GBP: none is given for '
            "2026-01-05."
        ),
    ),
    "more decimals than the currency has": (
        line("100.5", "JPY", id="C"),
        '100.5 JPY of "C" cannot be paid: JPY has 0 decimal places.',
    ),
    "payment of more decimals than the currency has": (
        line("100", id="C", payments=paid((JANUARY, "60.005"))),
        '60.005 EUR of "C" cannot be paid: EUR has 2 decimal places.',
    ),
    "order on a send-out that is dropped": (
        line("100", id="C", state="ordered", send_out="S"),
        'The send-out "S" is dropped, but "C" of vendor "V" is still ordered: 100 EUR.',
    ),
}


@pytest.mark.parametrize(("cost", "sentence"), FLAGGED.values(), ids=FLAGGED)
def test_what_is_odd_is_kept_and_flagged(cost: Cost, sentence: str) -> None:
    made = costed(
        cost, vendors=[Vendor("V")], send_outs=[SendOut("S", "V", lead=ticks(3), dropped=True)]
    )
    ledger = booked(made)
    assert ledger.flags == (Flag("C", sentence),)
    assert ledger.entries
    assert ledger.missing == ()


@pytest.mark.parametrize(
    "cost",
    [
        line("100", state="invoiced", earlier=(CostStep("ordered", Decimal(100)),)),
        line(
            "100",
            state="invoiced",
            earlier=(CostStep("ordered", Decimal(90)), CostStep("ordered", Decimal(100))),
        ),
        line("130", state="ordered", earlier=(CostStep("ordered", Decimal(100)),)),
        line("100", payments=paid((JANUARY, "60"), (FEBRUARY, "40"))),
        line("-100", state="paid", payments=paid((JANUARY, "-100"))),
        line("100", "GBP", state="paid", on=date(2026, 1, 12)),
        line("100.0000"),
        line("1.001", "KWD"),
        line("100", state="estimate", send_out="S"),
        line("100", state="paid", send_out="S"),
    ],
)
def test_what_is_in_order_is_not_flagged(cost: Cost) -> None:
    dropped = SendOut("S", "V", lead=ticks(3), dropped=True)
    assert booked(costed(cost, vendors=[Vendor("V")], send_outs=[dropped])).flags == ()


def test_the_same_invoice_on_two_lines_is_flagged() -> None:
    """Twice the document and the amount; an order with the number of the order is none."""
    invoice = line("90", id="C1", state="invoiced", document="R-7")
    others = [
        replace(invoice, id="C2", state="paid"),
        replace(invoice, id="C3", amount=Decimal(80)),
        replace(invoice, id="C4", state="ordered"),
        replace(invoice, id="C5", document=""),
        replace(invoice, id="C6", document=""),
    ]
    ledger = booked(costed(invoice, *others))
    assert ledger.flags == (
        Flag("C2", '"C2" has the document and the amount of "C1": R-7, 90 EUR.'),
    )
    assert ledger.total([Bucket.PAID, Bucket.INVOICED]) == 2 * 9000 + 8000 + 2 * 9000


def test_open_money_is_flagged_where_the_first_rate_is_of_later() -> None:
    made = costed(line("1", "GBP", id="C"), start=date(2025, 12, 1), as_of=date(2026, 1, 2))
    assert [one.sentence for one in booked(made).flags] == [
        (
            '"C" is converted at the rate of 2026-01-12, the first of GBP: none is given for '
            "2026-01-02."
        )
    ]


def test_hours_that_cost_nothing_for_want_of_a_rate_are_flagged_by_trade() -> None:
    crew = [METAL, Crew("help", rate=Decimal(0)), Crew("trim")]
    hours = [
        HoursWorked(f"H{number}", "A", FEBRUARY, Decimal("1.5"), trade)
        for number, trade in enumerate(("metal", "help", "trim", "trim", "glass", None))
    ]
    ledger = booked(costed(crew=crew, tasks=[task("A")], hours=hours))
    assert ledger.flags == (
        Flag("H2", '3.0 hours of the trade "trim" cost nothing here: no rate is known.'),
        Flag("H4", '1.5 hours of the trade "glass" cost nothing here: no rate is known.'),
        Flag("H5", "1.5 hours without a trade cost nothing here: no rate is known."),
    )
    assert ledger.total() == 7200


def test_a_rate_of_the_projects_own_currency_changes_nothing_and_is_flagged() -> None:
    made = costed(line("1", "EUR", id="C"))
    own = ExchangeRate("EUR", date(2026, 1, 12), Decimal("1.1"))
    one = replace(own, on=date(2026, 2, 1), rate=Decimal(1))
    ledger = booked(replace(made, exchange_rates=(*made.exchange_rates, own, one)))
    assert [flag.sentence for flag in ledger.flags] == [
        "The exchange rate of EUR from 2026-01-12 is not used: EUR is the currency of the project."
    ]
    assert ledger.total() == 100


def test_open_money_in_other_currencies_and_what_five_per_cent_do_to_it() -> None:
    """Open: 300 - 100 GBP at 1.14; 5,000 yen to come back; crowns of which nobody knows."""
    ledger = booked(
        costed(
            line("300", "GBP", id="a", state="ordered", payments=paid((JANUARY, "100"))),
            line("-5000", "JPY", id="b", state="invoiced"),
            line("70", "CZK", id="c"),
            line("1", "CZK", id="d", state="paid", on=JANUARY),
            line("999"),
            line("50", "KWD", state="paid", on=JANUARY),
        )
    )
    crowns, pounds, yen = exposures(ledger)
    assert (crowns.currency, crowns.open, crowns.worth) == ("CZK", 7000, None)
    assert (pounds.currency, pounds.open, pounds.worth) == ("GBP", 20000, 22800)
    assert (yen.currency, yen.open, yen.worth) == ("JPY", -5000, -3000)
    five = Decimal(5)
    assert [one.cost_of_move(five, "EUR") for one in (crowns, pounds, yen)] == [None, 1140, 150]
