"""The demo's Money figures against slow sums straight from its plan file, by pandas and Decimal."""

from __future__ import annotations

import json
from collections import defaultdict
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from math import log
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from ribstitch.assets import seed_folder
from tests.api.asking import Api

Document = dict[str, Any]
FIRM = {"ordered": "committed", "invoiced": "invoiced", "paid": "paid"}


@pytest.fixture(scope="module")
def document() -> Document:
    """Return the demo's plan file as anybody reads it, defaults filled in."""
    text = (seed_folder() / "garganey.plan.json").read_text(encoding="utf-8")
    read = dict(json.loads(text))
    return {**read, "project": {"currency": "EUR", "calendar": "shop", **read["project"]}}


@pytest.fixture
def money(settled_demo: Api) -> Document:
    """Return what the service says."""
    return settled_demo.read("/money")


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
    crew = pd.DataFrame({"people": 1, **row} for row in document["crew"])
    crew["rate"] = crew.rate.map(Decimal)
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


def learned(
    median: float, p90: float, weight: float, values: list[float], worths: list[float]
) -> Any:
    """Return the t of a next value: prior of shape 4 with median and P90, and what was seen."""
    scale = (p90 - median) / stats.t.ppf(0.9, 8)
    rate, count = scale**2 * 4 * weight / (weight + 1), sum(worths)
    if count == 0:
        return stats.t(8, median, scale)
    seen = np.array(values)
    average = np.average(seen, weights=worths)
    rate += (np.array(worths) * (seen - average) ** 2).sum() / 2
    rate += weight * count * (average - median) ** 2 / (2 * (weight + count))
    mean, k = (weight * median + count * average) / (weight + count), weight + count
    shape = 4 + count / 2
    return stats.t(2 * shape, mean, np.sqrt(rate * (k + 1) / (shape * k)))


def past_prices(document: Document) -> pd.DataFrame:
    """Return the logarithm of last over first price of every job that is over."""
    found = [
        (vendor["id"], job["kind"], log(Decimal(job["final_price"]) / Decimal(job["quoted_price"])))
        for vendor in document["vendors"]
        for job in vendor.get("history", [])
    ]
    lines = {one["send_out"]: one for one in document["costs"] if one.get("send_out")}
    for item in document["send_outs"]:
        line = lines.get(item["id"], {})
        over = item.get("status", {}).get("accepted") or line.get("state") == "paid"
        if over and line.get("earlier"):
            ratio = Decimal(line["amount"]) / Decimal(line["earlier"][0]["amount"])
            found.append((item["vendor"], item["kind"], log(ratio)))
    return pd.DataFrame(found, columns=["vendor", "kind", "ratio"])


def mean_growth(document: Document, vendor: str, kind: str) -> float:
    """Return the mean of final over first price: trade, kind, vendor; nothing above 3."""
    past = past_prices(document)

    def of_kind(name: str) -> Any:
        given = next(one for one in document["kinds"] if one["id"] == name)
        others = past[(past.kind == name) & (past.vendor != vendor)]
        sizes = others.groupby("vendor").ratio.transform("size")
        return learned(log(given["growth_median"]), log(given["growth_p90"]), 6,
                       others.ratio.tolist(), (1 / (1 + (sizes - 1) / 4)).tolist())  # fmt: skip

    usual, mine = of_kind(kind), past[past.vendor == vendor]
    jobs = [(str(of), float(seen)) for of, seen in zip(mine.kind, mine.ratio, strict=True)]
    values = [
        seen if of == kind else usual.median() + seen - of_kind(of).median() for of, seen in jobs
    ]
    worths = [1.0 if of == kind else 0.5 for of, _ in jobs]
    t = learned(usual.ppf(0.5), usual.ppf(0.9), 3, values, worths)
    return float(np.minimum(np.exp(t.ppf((np.arange(1024) + 0.5) / 1024)), 3).mean())


def growth(document: Document) -> dict[str, Decimal]:
    """Return what prices before teardown may grow by, by chapter; here all are in euros."""
    found: defaultdict[str, Decimal] = defaultdict(Decimal)
    for item in document["send_outs"]:
        if item.get("status", {}).get("quoted") or item.get("trip_of"):
            continue
        (line,) = (one for one in document["costs"] if one.get("send_out") == item["id"])
        assert line["currency"] == "EUR"
        more = Decimal(str(mean_growth(document, item["vendor"], item["kind"]))) - 1
        found[line["chapter"]] += cents(Decimal(line["amount"]) * more)
    return found


def test_what_prices_may_grow_by_is_what_the_histories_say(
    money: Document, document: Document
) -> None:
    """Upholstery, radio and the mount's heat treatment have not been looked into yet."""
    grown = growth(document)
    assert set(grown) == {"23", "25", "71"}
    assert Decimal(money["price_growth"]["amount"]) == sum(grown.values())
    assert money["price_growth"]["sentence"] == (
        f"{sum(grown.values())} EUR of what is still to come is for 3 prices that may change once "
        'the vendors have looked inside, "Radio and hidden aerial" above all.'
    )


def test_every_chapter_is_what_the_plan_file_comes_to(money: Document, document: Document) -> None:
    """What is expected: lines, prices that grow, hours to go, allowance; standing has no hours."""
    sums = books(document).groupby(["chapter", "bucket"]).worth.sum()
    to_go, grown, allowance = labour_to_go(document), growth(document), Decimal(0)
    for row in money["chapters"]:
        for bucket in ("paid", "invoiced", "worked", "committed"):
            assert Decimal(row[bucket]) == sums.get((row["chapter"], bucket), 0), row
        lines = sums.get((row["chapter"], "expected"), 0) + grown.get(row["chapter"], 0)
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
