"""Random money: lines in currencies of 0, 2 and 3 decimals, part payments, refunds, hours."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from hypothesis import strategies as st

from ribstitch.planning.model import (
    BudgetLine,
    Calendar,
    Cost,
    Crew,
    ExchangeRate,
    HoursWorked,
    Link,
    PastJob,
    Payment,
    Plan,
    Project,
    RateFrom,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    State,
    Task,
    TaskStatus,
    Vendor,
)
from ribstitch.planning.ticks import EIGHTH, TICKS_PER_DAY

START, AS_OF = date(2026, 1, 5), date(2026, 3, 4)
CURRENCIES = ("EUR", "GBP", "JPY", "KWD", "CZK")
"""Of the last no rate is ever given, unless it is the project's own."""
KINDS = ("labour", "material", "freight", "standing", "contingency", "other", *("vendor",) * 4)
"""Many lines are of vendors: their prices may grow."""
SOURCES = (Source.OVERHAUL, Source.OVERHAUL, Source.PATTERN, Source.EXCHANGE, Source.IN_HAND)
STATES = ("estimate", "quoted", "ordered", "invoiced", "paid")
CHAPTERS = (None, "28", "53", "57")
TRADES = (None, "metal", "engine", "help", "trim")

amounts = st.decimals(-2000, 5000, places=2) | st.decimals(-10, 10**15, places=4)
days = st.integers(-58, 3).map(lambda number: AS_OF + timedelta(days=number))
past = st.integers(-58, 0).map(lambda number: AS_OF + timedelta(days=number))
rates = st.decimals("0.0001", 200, places=4)
wages = st.none() | st.decimals(0, 99, places=2)


@st.composite
def crews(draw: st.DrawFn) -> Crew:
    """Draw a row of the crew, with later rates."""
    later = sorted(draw(st.sets(st.integers(-60, 60), max_size=2)))
    return Crew(
        draw(st.sampled_from(TRADES[1:])),
        people=draw(st.integers(0, 3)),
        label=draw(st.sampled_from(("", "Old hand", "Apprentice"))),
        rate=draw(wages),
        rates=tuple(
            RateFrom(AS_OF + timedelta(days=day), draw(st.decimals(0, 99, places=2)))
            for day in later
        ),
    )


@st.composite
def tasks(draw: st.DrawFn, number: int) -> Task:
    """Draw a task: to come, under way, held, done or dropped."""
    work = draw(st.integers(1, 400)) * EIGHTH
    state = draw(st.sampled_from(tuple(State)))
    begun = draw(past)
    left = draw(st.integers(1, work // EIGHTH)) * EIGHTH
    known = {
        State.NOT_STARTED: TaskStatus(),
        State.IN_WORK: TaskStatus(State.IN_WORK, begun, remaining=left),
        State.HELD: TaskStatus(State.HELD, begun, remaining=left),
        State.DONE: TaskStatus(State.DONE, begun, AS_OF),
        State.DROPPED: TaskStatus(State.DROPPED),
    }
    return Task(
        id=f"T{number}",
        duration=work,
        trade=draw(st.sampled_from(TRADES)),
        people=draw(st.integers(1, 3)),
        chapter=draw(st.sampled_from(CHAPTERS)),
        calendar=draw(st.sampled_from(("shop", "elapsed"))),
        status=known[state],
    )


@st.composite
def costs(draw: st.DrawFn, number: int, task_ids: Sequence[str]) -> Cost:
    """Draw a cost line with its payments, which may be more than it is, or refunds."""
    paid = draw(st.lists(st.tuples(days, amounts), max_size=3))
    return Cost(
        id=f"C{number}",
        amount=draw(amounts),
        currency=draw(st.sampled_from(CURRENCIES)),
        kind=draw(st.sampled_from(KINDS)),
        state=draw(st.sampled_from(STATES)),
        on=draw(st.none() | days),
        chapter=draw(st.sampled_from(CHAPTERS)),
        task=draw(st.sampled_from((None, *task_ids))),
        send_out=draw(st.sampled_from((None, "S1", "S2"))),
        payments=tuple(dict.fromkeys(Payment(on, amount) for on, amount in paid if amount)),
    )


@st.composite
def histories(draw: st.DrawFn) -> tuple[PastJob, ...]:
    """Draw what a vendor charged before; of some jobs nobody knows."""
    ratios = draw(st.lists(st.none() | st.floats(0.5, 3), max_size=3))
    return tuple(
        PastJob(
            draw(st.sampled_from(("engine", "radio"))), 20, 25,
            quoted_price=None if ratio is None else Decimal(1000),
            final_price=None if ratio is None else Decimal(round(1000 * ratio)),
        )
        for ratio in ratios
    )  # fmt: skip


@st.composite
def send_outs(draw: st.DrawFn, name: str, vendor: str) -> SendOut:
    """Draw a send-out of which the vendor has given the last price, or not yet."""
    return SendOut(
        name,
        vendor,
        kind=draw(st.sampled_from(("engine", "radio"))),
        source=draw(st.sampled_from(SOURCES)),
        intake=draw(st.sampled_from((0, 2, 2))) * TICKS_PER_DAY,
        lead=20 * TICKS_PER_DAY,
        status=draw(
            st.sampled_from((SendOutStatus(), SendOutStatus(), SendOutStatus(quoted=START)))
        ),
        dropped=draw(st.sampled_from((False, False, False, True))),
    )


@st.composite
def costed_plans(draw: st.DrawFn) -> Plan:
    """Draw a plan of a few tasks in a row, two send-outs, and its money."""
    jobs = [draw(tasks(number)) for number in range(draw(st.integers(0, 5)))]
    ids = [job.id for job in jobs]
    sheet = [
        HoursWorked(
            f"H{number}",
            draw(st.sampled_from(ids)),
            draw(past),
            draw(st.decimals("0.01", 24, places=2)),
            draw(st.sampled_from(TRADES)),
            draw(st.sampled_from(("", "Old hand", "Apprentice"))),
        )
        for number in range(draw(st.integers(0, 4)) if jobs else 0)
    ]
    known = st.sampled_from(CURRENCIES[:-1])
    rated = draw(st.dictionaries(st.tuples(known, st.integers(-40, 10)), rates, max_size=6))
    return Plan(
        project=Project(
            START,
            AS_OF,
            currency=draw(st.sampled_from(("EUR", "JPY", "KWD", "CZK"))),
            standing_per_month=draw(st.none() | st.decimals(0, 9999, places=3)),
        ),
        calendars=(Calendar("shop"),),
        tasks=tuple(jobs),
        links=tuple(Link(a, b) for a, b in pairwise(ids)),
        kinds=(SendOutKind("engine", 1.3, 2, growth_median=1.2, growth_p90=1.6),),
        vendors=tuple(Vendor(name, history=draw(histories())) for name in ("V1", "V2")),
        send_outs=(draw(send_outs("S1", "V1")), draw(send_outs("S2", "V2"))),
        crew=tuple(draw(st.lists(crews(), max_size=4))),
        costs=tuple(draw(costs(number, ids)) for number in range(draw(st.integers(0, 8)))),
        budget=tuple(
            BudgetLine(draw(st.sampled_from(CHAPTERS[1:])), draw(amounts), draw(known))
            for _ in range(draw(st.integers(0, 3)))
        ),
        exchange_rates=tuple(
            ExchangeRate(currency, AS_OF + timedelta(days=day), rate)
            for (currency, day), rate in rated.items()
        ),
        hours=tuple(sheet),
    )
