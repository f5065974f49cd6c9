"""The demo's Money figures against slow sums straight from its plan file, by pandas and Decimal."""

from __future__ import annotations

import json
from collections import defaultdict
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pandas as pd
import pytest
from starlette.testclient import TestClient

from ribstitch.assets import seed_folder
from tests.api.asking import Api

Document = dict[str, Any]
FIRM = {"ordered": "committed", "invoiced": "invoiced", "paid": "paid"}


@pytest.fixture(scope="module")
def document() -> Document:
    """Return the demo's plan file as it is read by anybody."""
    text = (seed_folder() / "garganey.plan.json").read_text(encoding="utf-8")
    return dict(json.loads(text))


@pytest.fixture
def money(lone_client: TestClient, document: Document) -> Document:
    """Return what the service says."""
    return Api(lone_client, document).read("/money")


def cents(amount: Decimal) -> Decimal:
    """Round as an invoice does; no amount here is below zero."""
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


def worth(document: Document, amount: Decimal, currency: str, on: str) -> Decimal:
    """Convert at the last rate on or before a date."""
    if currency == document["project"]["currency"]:
        return amount
    rates = pd.DataFrame(document["exchange_rates"])
    known = rates[(rates.currency == currency) & (rates.on <= on)].sort_values("on")
    return cents(amount * Decimal(known.iloc[-1]["rate"]))


def rates_by_trade(document: Document) -> dict[str, Decimal]:
    """Return the mean rate by head of each trade that costs something."""
    crew = pd.DataFrame(document["crew"]).assign(rate=lambda rows: rows.rate.map(Decimal))
    found: dict[str, Decimal] = {
        str(trade): sum(rows.rate * rows.people, Decimal(0))
        for trade, rows in crew.groupby("trade")
    }
    heads = crew.groupby("trade").people.sum()
    return {trade: rate / int(heads[trade]) for trade, rate in found.items() if rate}


def books(document: Document) -> pd.DataFrame:
    """Return what is paid, worked, ordered and expected, but for labour and standing to come."""
    as_of, rates = document["project"]["as_of"], rates_by_trade(document)
    tasks = {task["id"]: task for task in document["tasks"]}
    found = []
    for line in document["costs"]:
        currency, rest = line["currency"], Decimal(line["amount"])
        for payment in line.get("payments", []):
            paid = Decimal(payment["amount"])
            rest -= paid
            value = worth(document, paid, currency, payment["on"])
            found.append((line["chapter"], "paid", currency, paid, value))
        if rest:
            bucket = FIRM.get(line.get("state", ""), "expected")
            value = worth(document, rest, currency, as_of)
            found.append((line["chapter"], bucket, currency, rest, value))
    for entry in document["hours"]:
        task = tasks[entry["task"]]
        rate = rates.get(entry.get("trade") or task["trade"], Decimal(0))
        cost = cents(Decimal(entry["hours"]) * rate)
        found.append((task["chapter"], "worked", "EUR", cost, cost))
    return pd.DataFrame(found, columns=["chapter", "bucket", "currency", "native", "worth"])


def labour_to_go(document: Document) -> dict[str, Decimal]:
    """Return what the remaining hours cost by chapter, not rounded."""
    rates, shop = rates_by_trade(document), document["project"]["calendar"]
    day_hours = {one["id"]: Decimal(str(one.get("day_hours", 8))) for one in document["calendars"]}
    found: defaultdict[str, Decimal] = defaultdict(Decimal)
    for task in document["tasks"]:
        status = task.get("status", {})
        if task.get("trade") in rates and status.get("state") not in {"done", "dropped"}:
            days = Decimal(str(status.get("remaining_days", task["days"])))
            hours = days * task.get("people", 1) * day_hours[task.get("calendar", shop)]
            found[task["chapter"]] += hours * rates[task["trade"]]
    return found


def test_every_chapter_is_what_the_plan_file_comes_to(money: Document, document: Document) -> None:
    """What is expected is the lines, the hours to go and the allowance; standing has no hours."""
    sums = books(document).groupby(["chapter", "bucket"]).worth.sum()
    to_go, allowance = labour_to_go(document), Decimal(0)
    for row in money["chapters"]:
        for bucket in ("paid", "invoiced", "worked", "committed"):
            assert Decimal(row[bucket]) == sums.get((row["chapter"], bucket), 0), row
        lines = sums.get((row["chapter"], "expected"), 0)
        if row["chapter"] != "91":
            allowance += Decimal(row["expected"]) - lines - to_go[row["chapter"]]
    assert abs(allowance - Decimal(money["allowance"])) < Decimal("0.50"), "rounded month by month"


def test_every_currency_is_what_the_plan_file_comes_to(money: Document, document: Document) -> None:
    rows = books(document)
    still_open = rows[(rows.bucket != "paid") & (rows.currency != "EUR")]
    sums = still_open.groupby("currency")[["native", "worth"]].sum()
    told = {one["currency"]: (one["open"], one["worth"]) for one in money["currencies"]}
    assert {name: tuple(map(Decimal, pair)) for name, pair in told.items()} == {
        str(name): tuple(row) for name, row in zip(sums.index, sums.to_numpy(), strict=True)
    }


def test_planned_value_and_actual_cost_are_what_the_plan_file_comes_to(
    money: Document, document: Document
) -> None:
    as_of = date.fromisoformat(document["project"]["as_of"])
    planned = Decimal(0)
    for package in document["baselines"][-1]["packages"]:
        amount = Decimal(package["amount"])
        start, finish = (date.fromisoformat(package[end]) for end in ("start", "finish"))
        if package.get("rule") == "all_at_end":
            planned += amount if finish <= as_of else 0
        else:
            dates = (finish - start).days + 1
            planned += cents(amount * min(max((as_of - start).days + 1, 0), dates) / dates)
    rows = books(document)
    spent = rows[rows.bucket.isin(["paid", "invoiced", "worked"])].worth.sum()
    assert Decimal(money["earned"]["pv"]) == planned
    assert Decimal(money["earned"]["ac"]) == Decimal(money["spent"]) == spent
