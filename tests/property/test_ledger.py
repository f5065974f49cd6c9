"""Random projects: sums always balance, against the same books kept in pandas."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from decimal import Decimal

import pandas as pd
import pytest
from hypothesis import given

from ribstitch.money import Bucket, Entry, Ledger, exposures, forecast_of, ledger_of
from ribstitch.money.entries import Origin
from ribstitch.money.minor_units import from_minor_units, in_minor_units
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from tests.property.money_oracle import COLUMNS, EXACT, PLACES, Books
from tests.property.money_strategies import costed_plans
from tests.property.settings import examples

DIMENSIONS: dict[str, Callable[[Entry], object]] = {
    "bucket": lambda one: one.bucket.value,
    "kind": lambda one: one.kind,
    "on": lambda one: one.on,
    "month": lambda one: one.month,
    "currency": lambda one: one.currency,
    "chapter": lambda one: one.chapter,
    "vendor": lambda one: one.vendor,
    "task": lambda one: one.task,
}


def both(made: Plan) -> tuple[Ledger, pd.DataFrame]:
    """Return a plan's ledger, and its books in pandas with a column for the month."""
    dated = schedule(made)
    table = Books(made, dated).table()
    table["month"] = [on.replace(day=1) for on in table["on"]]
    return ledger_of(dated), table


def grouped(table: pd.DataFrame, name: str) -> dict[object, Decimal]:
    """Return the worth of the books by one of their columns."""
    column = table[name].astype(object).where(table[name].notna(), "none")
    return {
        None if one == "none" else one: total(few) for one, few in table["worth"].groupby(column)
    }


def total(amounts: Iterable[Decimal]) -> Decimal:
    """Add amounts up, without a context that could round them."""
    found = Decimal(0)
    for amount in amounts:
        found = EXACT.add(found, amount)
    return found


@given(costed_plans())
@examples(150)
def test_every_entry_stands_in_books_kept_in_pandas(made: Plan) -> None:
    ledger, table = both(made)
    mine = Counter(
        (
            one.bucket.value, one.kind, one.on, one.currency,
            from_minor_units(one.amount, one.currency), ledger.amount(one.worth),
            one.chapter, one.vendor, one.task,
        )
        for one in ledger.entries
    )  # fmt: skip
    theirs = Counter(table[COLUMNS].astype(object).where(table[COLUMNS].notna(), None)
                     .itertuples(index=False, name=None))  # fmt: skip
    assert mine == theirs


@given(costed_plans())
@examples(100)
def test_sums_by_anything_balance_to_the_last_minor_unit(made: Plan) -> None:
    """By one dimension and by any two, as pandas groups them; never a float in between."""
    ledger, table = both(made)
    whole = ledger.total()
    assert ledger.amount(whole) == total(table["worth"])
    for name, key in DIMENSIONS.items():
        sums = ledger.sums(key)
        assert sum(sums.values()) == whole
        assert grouped(table, name) == {one: ledger.amount(units) for one, units in sums.items()}
        for other in DIMENSIONS.values():
            pairs = ledger.sums(lambda one, a=key, b=other: (a(one), b(one)))  # type: ignore[misc]
            assert sum(pairs.values()) == whole
    assert sum(ledger.total([bucket]) for bucket in Bucket) == whole
    assert all(type(one.amount) is int and type(one.worth) is int for one in ledger.entries)


@given(costed_plans())
@examples(60)
def test_the_forecast_is_the_ledger_by_chapter(made: Plan) -> None:
    ledger = ledger_of(schedule(made))
    found = forecast_of(made, ledger)
    assert found.whole.at_completion == ledger.total()
    assert sum(one.at_completion for one in found.chapters) == ledger.total()
    assert sum(one.over for one in found.chapters) == found.whole.over
    assert found.whole.budget == found.budget.total
    grown = [one for one in ledger.entries if one.origin is Origin.GROWTH]
    assert found.whole.price_growth == sum(one.worth for one in grown)
    assert sum(one.price_growth for one in found.chapters) == found.whole.price_growth


@given(costed_plans())
@examples(60)
def test_no_line_is_lost(made: Plan) -> None:
    """A line is in the ledger, or without a rate, or left out and named; or it is nothing."""
    ledger = ledger_of(schedule(made))
    kept = {one.of for one in (*ledger.entries, *ledger.without_rate)} | set(ledger.left_out)
    for line in made.costs:
        nothing = not line.payments and in_minor_units(line.amount, line.currency) == 0
        assert line.id in kept or (nothing and line.state != "paid")
    rated = {made.project.currency, *(one.currency for one in made.exchange_rates)}
    assert {one.currency for one in ledger.without_rate} == {
        line.currency
        for line in made.costs
        if line.currency not in rated and line.id in {one.of for one in ledger.without_rate}
    }
    assert all(one.currency not in rated for one in ledger.without_rate)


@given(costed_plans())
@examples(60)
def test_exposure_is_what_is_open_abroad(made: Plan) -> None:
    ledger, table = both(made)
    is_open = ~table["bucket"].isin(["paid", "worked"]) & (table["currency"] != ledger.currency)
    found = {one.currency: one for one in exposures(ledger) if one.worth is not None}
    assert set(found) == set(table[is_open]["currency"])
    for currency, rows in table[is_open].groupby("currency"):
        one = found[str(currency)]
        assert from_minor_units(one.open, one.currency) == total(rows["amount"])
        assert one.worth is not None
        assert ledger.amount(one.worth) == total(rows["worth"])


def test_the_currencies_have_0_2_and_3_decimals() -> None:
    assert set(PLACES.values()) == {0, 2, 3}


@pytest.mark.parametrize("currency", PLACES)
def test_the_books_know_the_minor_units(currency: str) -> None:
    assert in_minor_units(Decimal(1), currency) == 10 ** PLACES[currency]
