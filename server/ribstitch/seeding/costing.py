"""Cost lines, the approved budget and the exchange rates of the scenario."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from ribstitch.seeding.csv_rows import rows

Entry = dict[str, object]

_VENDOR_COLUMN = {"91": "standing", "92": "freight", "99": "contingency"}
"""What the budget's vendor column holds in the house chapters."""

_DUE_AT = ("order", "approved", "accepted")
"""When the deposit, the progress payment and the balance fall due."""


def cost_lines(texts: Mapping[str, str]) -> list[Entry]:
    """Return a line for each order, what else was paid, and what is still to be bought."""
    return [
        *_orders(texts),
        _plating_batches(texts),
        *_other_payments(texts),
        *_to_buy(texts),
        *_extra_material(texts),
    ]


def first_cost_lines(texts: Mapping[str, str]) -> list[Entry]:
    """Return the lines of the first plan: what each order was thought to cost."""
    return [
        {
            "id": row["send_out"],
            "amount": row["first_price"],
            "currency": row["currency"],
            "kind": "vendor",
            "chapter": row["chapter"],
            "send_out": row["send_out"],
        }
        for row in rows(texts["send_outs"])
    ]


def budget_lines(texts: Mapping[str, str]) -> list[Entry]:
    """Return the approved budget, one line for each chapter and sort of money."""
    titles = {row["chapter"]: row["title"] for row in rows(texts["chapters"])}
    lines: list[Entry] = []
    for row in rows(texts["budget"]):
        chapter = row["chapter"]
        for column in ("labour", "material", "vendor"):
            if row[column] == "0":
                continue
            sort = _VENDOR_COLUMN.get(chapter, column) if column == "vendor" else column
            lines.append(
                {
                    "chapter": chapter,
                    "amount": row[column],
                    "currency": "EUR",
                    "name": f"{titles[chapter]}: {sort}",
                    "kind": sort,
                }
            )
    return lines


def _orders(texts: Mapping[str, str]) -> Iterator[Entry]:
    """Yield the line of each send-out's order, with what it was before and what was paid."""
    days = {row["vendor"]: int(row["pay_days"]) for row in rows(texts["vendors"])}
    for row in rows(texts["send_outs"]):
        ref = row["send_out"]
        *earlier, last = _steps(row, texts)
        payments = [
            {"on": one["date"], "amount": one["amount"]}
            for one in rows(texts["payments"])
            if one["for"] == ref
        ]
        paid = sum((Decimal(one["amount"]) for one in payments), Decimal(0))
        if paid == Decimal(str(last["amount"])):
            earlier.append(last)
            last = {**last, "state": "paid", "on": payments[-1]["on"]}
        yield {
            "id": f"{ref}-order",
            "name": row["item"],
            **last,
            "currency": row["currency"],
            "kind": "vendor",
            "chapter": row["chapter"],
            "send_out": ref,
            "earlier": earlier,
            "payments": payments,
            "dues": _dues(row["pay"], days[row["vendor"]]),
        }


def _steps(row: Mapping[str, str], texts: Mapping[str, str]) -> Iterator[Entry]:
    """
    Yield what an order was in turn: estimate, quoted, ordered, dearer by agreement.

    The first price of the plating is that of three batches, of which the order is one.
    """
    project = {one["key"]: one["value"] for one in rows(texts["project"])}
    ref, price = row["send_out"], row["first_price"]
    quotes = [one for one in rows(texts["send_out_status"]) if one["send_out"] == ref]
    if row["kind"] == "plating":
        price = quotes[0]["quoted_price"]
    yield {"state": "estimate", "amount": price, "on": project["start"]}
    for status in quotes:
        price = status["quoted_price"]
        yield {"state": "quoted", "amount": price, "on": status["quoted"]}
        yield {"state": "ordered", "amount": price, "on": status["approved"]}
    send_out_of = {one["finding"]: one["send_out"] for one in rows(texts["findings"])}
    for item in rows(texts["over_and_above"]):
        agreed = item["price_to"] and item["approved"] and item["price_to"] != price
        if agreed and send_out_of[item["finding"]] == ref:
            price = item["price_to"]
            yield {"state": "ordered", "amount": price, "on": item["approved"]}


def _dues(pay: str, days: int) -> list[Entry]:
    """Return when the parts of a price like ``30/40/30`` fall due; the last has days to pay."""
    parts: list[Entry] = [
        {"percent": percent, "at": at}
        for percent, at in zip(pay.split("/"), _DUE_AT, strict=True)
        if percent != "0"
    ]
    if days:
        parts[-1]["days"] = days
    return parts


def _plating_batches(texts: Mapping[str, str]) -> Entry:
    """Return the rest of the plating quote, which was given for three batches together."""
    row = next(row for row in rows(texts["send_outs"]) if row["kind"] == "plating")
    first = next(one for one in rows(texts["payments"]) if one["for"] == row["send_out"])
    return {
        "id": f"{row['send_out']}-rest",
        "name": "Hardware plating batches 2 and 3",
        "amount": str(Decimal(row["first_price"]) - Decimal(first["amount"])),
        "currency": row["currency"],
        "kind": "vendor",
        "state": "quoted",
        "chapter": row["chapter"],
        "task": "F59b.3",
    }


def _other_payments(texts: Mapping[str, str]) -> Iterator[Entry]:
    """Yield what was paid, but not for an order: a line for each chapter and sort of money."""
    titles = {row["chapter"]: row["title"] for row in rows(texts["chapters"])}
    paid: dict[tuple[str, str], list[Mapping[str, str]]] = {}
    for row in rows(texts["payments"]):
        if row["chapter"]:
            paid.setdefault((row["chapter"], row["for"]), []).append(row)
    for (chapter, kind), mine in sorted(paid.items()):
        yield {
            "id": f"{kind}-{chapter}-paid",
            "name": f"{kind.capitalize()} so far: {titles[chapter].lower()}",
            "amount": str(sum(Decimal(row["amount"]) for row in mine)),
            "currency": mine[-1]["currency"],
            "kind": kind,
            "state": "paid",
            "on": mine[-1]["date"],
            "chapter": chapter,
            "payments": [{"on": row["date"], "amount": row["amount"]} for row in mine],
        }


def _to_buy(texts: Mapping[str, str]) -> Iterator[Entry]:
    """Yield estimates of what is still to be bought: at the start of a task, or on a date."""
    for row in rows(texts["to_buy"]):
        line: Entry = {
            "id": row["to_buy"],
            "name": row["what"],
            "amount": row["amount"],
            "currency": "EUR",
            "kind": row["kind"],
            "chapter": row["chapter"],
        }
        if row["task"]:
            yield line | {"task": row["task"], "dues": [{"percent": "100", "at": "order"}]}
        else:
            yield line | {"on": row["on"]}


def _extra_material(texts: Mapping[str, str]) -> list[Entry]:
    """Return the material of the over-and-above items, agreed but not booked by item."""
    return [
        {
            "id": f"{row['ref']}-material",
            "name": f"Material: {row['title']}",
            "amount": row["material_eur"],
            "currency": "EUR",
            "kind": "material",
            "state": "estimate",
            "chapter": row["chapter"],
            "task": row["ref"],
        }
        for row in rows(texts["over_and_above"])
        if row["material_eur"] != "0" and row["approved"]
    ]


def exchange_rates(texts: Mapping[str, str]) -> list[Entry]:
    """Return what other currencies were worth, date by date."""
    return [
        {"currency": currency, "on": row["fx_date"], "rate": rate}
        for row in rows(texts["fx"])
        for currency, rate in row.items()
        if currency != "fx_date"
    ]
