"""The bands of cash and the account, month by month, against the page's rules in pandas."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.assets import seed_folder
from ribstitch.money import Reach, cash_need, cost_runs, ledger_of
from ribstitch.money.minor_units import in_minor_units
from ribstitch.planfile import read_plan_file
from ribstitch.planning.model import Cost, CostStep, Due, DueAt, Funding, Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.uncertainty import simulate
from tests.property.cash_oracle import Band, Cash
from tests.property.money_strategies import AS_OF, START, amounts, costed_plans, days, past
from tests.property.settings import examples

SPLITS = ("", "100", "30 70", "30 40 30", "33.333 66.667", "12.345 50 37.655")
PRICED = ("estimate", "quoted", "ordered")


@st.composite
def with_terms(draw: st.DrawFn, line: Cost) -> Cost:
    """Draw when the parts of a line fall due, and what it was before."""
    dues = tuple(
        Due(
            Decimal(percent),
            draw(st.sampled_from(tuple(DueAt))),
            days=draw(st.sampled_from((0, 0, 10))),
            on=draw(days),
        )
        for percent in draw(st.sampled_from(SPLITS)).split()
    )
    steps = sorted(draw(st.lists(past, max_size=2)))
    earlier = tuple(
        CostStep(draw(st.sampled_from(PRICED)), draw(amounts), draw(st.sampled_from((None, on))))
        for on in steps
    )
    dues = tuple(due if due.at is DueAt.DATE else replace(due, on=None) for due in dues)
    return replace(
        line,
        amount=draw(st.decimals("0.01", 9999, places=2) | amounts),
        currency=draw(st.sampled_from(("EUR", "EUR", line.currency))),
        kind=draw(st.sampled_from(("vendor", "material", line.kind))),
        state=draw(st.sampled_from(("estimate", "ordered", line.state))),
        dues=dues,
        earlier=earlier,
    )


@st.composite
def plans_with_cash(draw: st.DrawFn) -> Plan:
    """Draw a plan with terms of payment, an account, and planned money."""
    made = draw(costed_plans())
    kept = draw(st.none() | amounts)
    funding = tuple(
        Funding(
            f"F{number}",
            draw(days | st.dates(START, date(2026, 12, 31))),
            draw(st.decimals(1, 5000, places=2)),
            every_months=every,
            until=draw(st.none() | st.dates(date(2026, 3, 5), date(2027, 2, 1))) if every else None,
        )
        for number, every in enumerate(draw(st.lists(st.sampled_from((0, 1, 3)), max_size=2)))
    )
    funding = tuple(
        replace(one, until=None) if one.until and one.until < one.on else one for one in funding
    )
    project = replace(
        made.project, balance=kept, balance_on=draw(past) if kept is not None else None
    )
    costs = tuple(draw(with_terms(line)) for line in made.costs)
    return replace(made, project=project, costs=costs, funding=funding)


def agree(made: Plan, dated: Schedule, likely: Band | None, possible: Band | None) -> int:
    """Compare every month of a plan; return how many there are."""
    ledger = ledger_of(dated)
    reach = [None if one is None else Reach(one.finish, one.cost) for one in (likely, possible)]
    found = cash_need(dated, ledger, likely=reach[0], possible=reach[1])
    mine = Cash(made, dated, ledger)
    bands = {
        "committed": mine.band(None, firm=True),
        "likely": mine.band(likely),
        "possible": mine.band(possible),
    }
    for name, band in bands.items():
        told = {one.month: getattr(one, name) for one in found.months}
        assert {month: one for month, one in told.items() if one} == {
            month: one for month, one in band.items() if one
        }, name
    months = [one.month for one in found.months]
    assert months == list(_months(made.project.as_of, [*bands.values()]))
    for name, dry in (("likely", found.dry), ("possible", found.dry_possible)):
        account = mine.account(bands[name], months)
        if name == "likely":
            assert [(one.funding, one.balance) for one in found.months] == account
        short = [month for month, (_, left) in zip(months, account, strict=True) if (left or 0) < 0]
        assert dry == (short[0] if short else None)
    assert found.overdue == mine.overdue()
    return len(months)


def _months(as_of: date, bands: list[dict[date, int]]) -> Iterator[date]:
    """Yield the months from the as-of date to the last one in which something is needed."""
    last = max((month for band in bands for month in band), default=None)
    month = as_of.replace(day=1)
    while last is not None and month <= last:
        yield month
        month = (month + timedelta(days=31)).replace(day=1)


finishes = st.integers(-5, 400).map(lambda count: AS_OF + timedelta(days=count))
sums = st.integers(-(10**4), 10**6) | st.integers(10**5, 10**8)


@given(
    plans_with_cash(),
    st.none() | st.builds(Band, finishes, st.none() | sums),
    st.builds(Band, finishes, sums),
)
@examples(60)
def test_every_month_is_what_the_page_says(made: Plan, likely: Band | None, possible: Band) -> None:
    agree(made, schedule(made), likely, possible)


@pytest.fixture(scope="module")
def demo() -> Plan:
    """Return the demo: orders in five currencies, a second trip, part payments."""
    return read_plan_file(seed_folder() / "garganey.plan.json")


def test_every_month_of_the_demo_is_what_the_page_says(demo: Plan) -> None:
    """As written, and to the likely and the 80 % finish and cost of 400 courses."""
    dated, runs = schedule(demo), simulate(demo, runs=400)
    costs = cost_runs(demo, runs)
    assert costs is not None
    spread = runs.finish_spread
    likely, possible = (
        Band(finish, in_minor_units(costs.percentile(percent), costs.currency))
        for finish, percent in ((spread.p50, 50), (spread.p80, 80))
    )
    assert agree(demo, dated, None, None) > 12
    assert agree(demo, dated, likely, possible) > 12
