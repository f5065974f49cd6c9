"""Money that is refused: costs, hours, funding, baselines, over-and-above; and the sentences."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import (
    DuplicateIdError,
    InvalidValueError,
    PlanError,
    UnknownReferenceError,
)
from ribstitch.planning.model import (
    Baseline,
    Cost,
    CostStep,
    Crew,
    Decision,
    Due,
    DueAt,
    Funding,
    HoursWorked,
    OverAndAbove,
    Package,
    Payment,
    Plan,
    RateFrom,
    SendOut,
    Vendor,
)
from tests.core.making import plan, task, ticks

AS_OF = date(2026, 3, 2)
PAST, FUTURE = AS_OF - timedelta(days=1), AS_OF + timedelta(days=1)
LONG_AGO = date(1899, 12, 31)
ENGINE = SendOut("S1", "V1", lead=ticks(20))


def made(**fields: Any) -> Plan:
    """Return a plan as of 2 March with a task and an engine that goes out."""
    given = {"vendors": [Vendor("V1")], "send_outs": [ENGINE], "as_of": AS_OF}
    return plan([task("A", 5)], **{**given, **fields})


def cost(**fields: Any) -> Plan:
    """Return that plan with a cost line of 100 EUR."""
    return made(costs=[Cost(**{"id": "C", "amount": Decimal(100), "currency": "EUR", **fields})])


def hours(**fields: Any) -> Plan:
    """Return that plan with two hours on the timesheet, the day before the as-of date."""
    given = {"id": "H", "task": "A", "on": PAST, "hours": Decimal(2)}
    return made(hours=[HoursWorked(**{**given, **fields})])


def funding(**fields: Any) -> Plan:
    """Return that plan with 500 EUR to come in tomorrow."""
    given = {"id": "F", "on": FUTURE, "amount": Decimal(500)}
    return made(funding=[Funding(**{**given, **fields})])


def baseline(*packages: Package, **fields: Any) -> Plan:
    """Return that plan with a baseline."""
    given = {"id": "B", "approved_on": PAST, "finish": FUTURE, "packages": packages}
    return made(baselines=[Baseline(**{**given, **fields})])


def package(**fields: Any) -> Package:
    """Return a package of 10 EUR from the day before the as-of date to the day after it."""
    given = {"id": "A", "amount": Decimal(10), "start": PAST, "finish": FUTURE}
    return Package(**{**given, **fields})


def asked(**fields: Any) -> Plan:
    """Return that plan with an over-and-above item that was asked the day before."""
    given = {"id": "O", "name": "Frame", "asked_on": PAST}
    return made(over_and_above=[OverAndAbove(**{**given, **fields})])


def refused(bad: Plan) -> tuple[type[PlanError], str, str]:
    """Return the error that a plan meets."""
    with pytest.raises(PlanError) as caught:
        check_plan(bad)
    assert str(caught.value) == f"{caught.value.where}: {caught.value.reason}"
    return type(caught.value), caught.value.where, caught.value.reason


DEPOSIT = Due(Decimal(30), DueAt.ORDER)
BALANCE = Due(Decimal(70), DueAt.ACCEPTED, days=30)
PAID = Payment(PAST, Decimal(40))


@pytest.mark.parametrize(
    "good",
    [
        cost(),
        cost(amount=Decimal(-100)),
        cost(amount=Decimal(10) ** 15, payments=(PAID, Payment(AS_OF, Decimal(40)))),
        cost(payments=(Payment(FUTURE, Decimal(-5), "scrap engine"),)),
        cost(dues=(DEPOSIT, BALANCE)),
        cost(dues=(Due(Decimal(100), DueAt.DATE, on=FUTURE),)),
        cost(task="A", send_out="S1", earlier=(CostStep("quoted", Decimal(90), PAST),)),
        hours(),
        hours(on=AS_OF, hours=Decimal(24), trade="metal", label="Metalworker 1"),
        funding(),
        funding(on=PAST, amount=Decimal(0), every_months=1, until=PAST),
        baseline(),
        baseline(package(), package(id="S1", amount=Decimal(0), start=PAST, finish=PAST)),
        baseline(package(id="long gone")),
        asked(),
        asked(asked_on=AS_OF, state=Decision.APPROVED, decided_on=AS_OF, decided_by="owner"),
        asked(state=Decision.DECLINED, decided_on=FUTURE, amount=Decimal(-20)),
        made(crew=[Crew("metal", rates=(RateFrom(PAST, Decimal(0)), RateFrom(AS_OF, Decimal(9))))]),
        made(project={"balance": Decimal(-20), "balance_on": FUTURE}),
        made(project={"balance_on": PAST}),
    ],
)
def test_what_makes_sense_is_accepted(good: Plan) -> None:
    """Refunds, payments of tomorrow, payments in kind, a package of what is gone: all may be."""
    check_plan(good)


@pytest.mark.parametrize(
    ("bad", "where", "kind"),
    [
        (
            made(hours=[HoursWorked("H", "A", PAST, Decimal(1))] * 2),
            "hours[1].id",
            "entry of hours",
        ),
        (made(funding=[Funding("F", PAST, Decimal(1))] * 2), "funding[1].id", "funding"),
        (made(baselines=[Baseline("B", PAST, PAST)] * 2), "baselines[1].id", "baseline"),
        (
            made(over_and_above=[OverAndAbove("O", "Frame", PAST)] * 2),
            "over_and_above[1].id",
            "over-and-above item",
        ),
        (made(costs=[Cost("C", Decimal(1), "EUR")] * 2), "costs[1].id", "cost line"),
    ],
)
def test_ids_are_used_once(bad: Plan, where: str, kind: str) -> None:
    name = where[0].upper()
    assert refused(bad) == (DuplicateIdError, where, f'the {kind} id "{name}" is used twice')


@pytest.mark.parametrize(
    ("bad", "where", "reason"),
    [
        (cost(task="X"), "costs[0].task", 'there is no task "X" in the plan'),
        (cost(send_out="X"), "costs[0].send_out", 'there is no send-out "X" in the plan'),
        (hours(task="X"), "hours[0].task", 'there is no task "X" in the plan'),
        (asked(task="X"), "over_and_above[0].task", 'there is no task "X" in the plan'),
        (asked(send_out="X"), "over_and_above[0].send_out", 'there is no send-out "X" in the plan'),
        (made(vendors=()), "send_outs[0].vendor", 'there is no vendor "V1" in the plan'),
    ],
)
def test_what_is_named_is_there(bad: Plan, where: str, reason: str) -> None:
    """So a vendor cannot be taken away while a send-out, and its open order, is with them."""
    assert refused(bad) == (UnknownReferenceError, where, reason)


@pytest.mark.parametrize(
    ("bad", "where"),
    [
        (made(project={"balance_on": LONG_AGO}), "project.balance_on"),
        (made(crew=[Crew("m", rates=(RateFrom(LONG_AGO, Decimal(1)),))]), "crew[0].rates[0].on"),
        (cost(on=LONG_AGO), "costs[0].on"),
        (cost(earlier=(CostStep("quoted", Decimal(1), LONG_AGO),)), "costs[0].earlier[0].on"),
        (cost(payments=(Payment(LONG_AGO, Decimal(1)),)), "costs[0].payments[0].on"),
        (cost(dues=(Due(Decimal(100), on=LONG_AGO),)), "costs[0].dues[0].on"),
        (hours(on=LONG_AGO), "hours[0].on"),
        (funding(on=LONG_AGO), "funding[0].on"),
        (funding(until=LONG_AGO), "funding[0].until"),
        (baseline(approved_on=LONG_AGO), "baselines[0].approved_on"),
        (baseline(finish=LONG_AGO), "baselines[0].finish"),
        (baseline(package(start=LONG_AGO)), "baselines[0].packages[0].start"),
        (baseline(package(finish=LONG_AGO)), "baselines[0].packages[0].finish"),
        (asked(asked_on=LONG_AGO), "over_and_above[0].asked_on"),
        (asked(decided_on=LONG_AGO), "over_and_above[0].decided_on"),
    ],
)
def test_dates_lie_in_the_years_that_are_computed(bad: Plan, where: str) -> None:
    reason = f"{LONG_AGO} is not between the years 1900 and 2199"
    assert refused(bad) == (InvalidValueError, where, reason)


@pytest.mark.parametrize(
    ("bad", "where", "reason"),
    [
        (
            made(project={"balance": Decimal(5)}),
            "project.balance_on",
            "a balance needs the date for which it holds",
        ),
        (
            made(crew=[Crew("m"), Crew("n", rates=(RateFrom(PAST, Decimal("-0.01")),))]),
            "crew[1].rates[0].rate",
            "-0.01 is less than nothing",
        ),
        (
            made(crew=[Crew("m", rates=(RateFrom(PAST, Decimal(1)), RateFrom(PAST, Decimal(2))))]),
            "crew[0].rates[1].on",
            "2026-03-01 is not after the rate before it",
        ),
        (
            cost(payments=(PAID, Payment(AS_OF, Decimal("0.00")))),
            "costs[0].payments[1].amount",
            "a payment of nothing is none",
        ),
        (
            cost(payments=(PAID, PAID)),
            "costs[0].payments[1]",
            '"C" has a payment of 40 on 2026-03-01 already',
        ),
        (
            cost(dues=(DEPOSIT, Due(Decimal("69.9"), DueAt.ACCEPTED))),
            "costs[0].dues",
            'the parts of "C" add up to 99.9 %, not 100',
        ),
        (
            cost(dues=(Due(Decimal(0), DueAt.ORDER), Due(Decimal(100), DueAt.ORDER))),
            "costs[0].dues[0].percent",
            "0 % is no part of a price",
        ),
        (
            cost(dues=(Due(Decimal(130), DueAt.ORDER), Due(Decimal(-30), DueAt.ORDER))),
            "costs[0].dues[0].percent",
            "130 % is no part of a price",
        ),
        (
            cost(dues=(Due(Decimal(100), DueAt.DATE),)),
            "costs[0].dues[0].on",
            "this part needs a date",
        ),
        (
            cost(dues=(Due(Decimal(100), DueAt.ORDER, on=PAST),)),
            "costs[0].dues[0].on",
            'this part falls due at "order", not on a date',
        ),
        (hours(hours=Decimal(0)), "hours[0].hours", "0 hours on one date cannot be"),
        (hours(hours=Decimal(-1)), "hours[0].hours", "-1 hours on one date cannot be"),
        (hours(hours=Decimal("24.25")), "hours[0].hours", "24.25 hours on one date cannot be"),
        (hours(on=FUTURE), "hours[0].on", "2026-03-03 is after the as-of date 2026-03-02"),
        (funding(amount=Decimal(-1)), "funding[0].amount", "-1 is less than nothing"),
        (
            funding(every_months=1, until=AS_OF),
            "funding[0].until",
            "2026-03-02 is before the first, 2026-03-03",
        ),
        (
            funding(until=FUTURE),
            "funding[0].until",
            '"F" comes once, so it has no last date',
        ),
        (
            baseline(package(amount=Decimal("-0.01"))),
            "baselines[0].packages[0].amount",
            "-0.01 is less than nothing",
        ),
        (
            baseline(package(start=FUTURE, finish=PAST)),
            "baselines[0].packages[0].finish",
            '"A" ends (2026-03-01) before it starts (2026-03-03)',
        ),
        (
            baseline(package(), package(chapter="53")),
            "baselines[0].packages[1].id",
            'the package "A" is there twice',
        ),
        (asked(hours=Decimal(-3)), "over_and_above[0].hours", "-3 is less than nothing"),
        (
            asked(asked_on=FUTURE),
            "over_and_above[0].asked_on",
            "2026-03-03 is after the as-of date 2026-03-02",
        ),
        (
            asked(state=Decision.APPROVED),
            "over_and_above[0].decided_on",
            '"O" needs a date here',
        ),
        (
            asked(decided_on=AS_OF),
            "over_and_above[0].decided_on",
            '"O" is not decided, so there can be no date here',
        ),
        (
            asked(state=Decision.DECLINED, decided_on=PAST - timedelta(days=1)),
            "over_and_above[0].decided_on",
            '"O" was decided (2026-02-28) before it was asked (2026-03-01)',
        ),
    ],
)
def test_what_makes_no_sense_is_refused(bad: Plan, where: str, reason: str) -> None:
    assert refused(bad) == (InvalidValueError, where, reason)
