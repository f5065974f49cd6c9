"""Cost lines, the approved budget and the exchange rates of the scenario."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ribstitch.seeding.method_cards import rows

Entry = dict[str, object]

_VENDOR_COLUMN = {"91": "standing", "92": "freight", "99": "contingency"}
"""What the budget's vendor column holds in the house chapters."""

_PAID_CHAPTERS = {"freight": "92", "material": "90", "standing": "91"}


def cost_lines(texts: Mapping[str, str]) -> list[Entry]:
    """Return what was paid, what is still owed on orders, and extra material agreed."""
    return [*_payments(texts), *_balances(texts), *_extra_material(texts)]


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


def chapter_of_send_out(texts: Mapping[str, str]) -> dict[str, str]:
    """Return the chapter each send-out is charged to: that of its first finding."""
    chapters: dict[str, str] = {}
    for row in rows(texts["findings"]):
        if row["send_out"]:
            chapters.setdefault(row["send_out"], row["chapter"])
    return chapters


def _payments(texts: Mapping[str, str]) -> list[Entry]:
    send_outs = {row["send_out"] for row in rows(texts["send_outs"])}
    chapters = chapter_of_send_out(texts)
    lines: list[Entry] = []
    for place, row in enumerate(rows(texts["payments"]), start=1):
        what = row["for"]
        line: Entry = {
            "id": f"P{place:02}",
            "name": f"Paid: {what}",
            "amount": row["amount"],
            "currency": row["currency"],
            "state": "paid",
            "on": row["date"],
        }
        if what in send_outs:
            line |= {"kind": "vendor", "chapter": chapters[what], "send_out": what}
        else:
            line |= {"kind": what, "chapter": _PAID_CHAPTERS[what]}
        lines.append(line)
    return lines


def _balances(texts: Mapping[str, str]) -> list[Entry]:
    """Return what is to be paid on each send-out: its latest price less what was paid."""
    paid: dict[str, Decimal] = {}
    for row in rows(texts["payments"]):
        paid[row["for"]] = paid.get(row["for"], Decimal(0)) + Decimal(row["amount"])
    chapters, prices = chapter_of_send_out(texts), _latest_prices(texts)
    lines: list[Entry] = []
    for row in rows(texts["send_outs"]):
        ref = row["send_out"]
        price, state = prices.get(ref, (Decimal(row["first_price"]), "estimate"))
        rest = price - paid.get(ref, Decimal(0))
        if rest:
            lines.append(
                {
                    "id": f"B{ref[1:]}",
                    "name": f"To pay: {row['item']}",
                    "amount": str(rest),
                    "currency": row["currency"],
                    "kind": "vendor",
                    "state": state,
                    "chapter": chapters[ref],
                    "send_out": ref,
                }
            )
    return [*lines, _plating_batches(texts, paid)]


def _latest_prices(texts: Mapping[str, str]) -> dict[str, tuple[Decimal, str]]:
    """Return the latest price of each order: the quote, or what the owner agreed later."""
    prices = {
        row["send_out"]: (Decimal(row["quoted_price"]), "ordered" if row["approved"] else "quoted")
        for row in rows(texts["send_out_status"])
    }
    send_out_of = {row["finding"]: row["send_out"] for row in rows(texts["findings"])}
    for row in rows(texts["over_and_above"]):
        if row["price_to"]:
            prices[send_out_of[row["finding"]]] = (Decimal(row["price_to"]), "ordered")
    return prices


def _plating_batches(texts: Mapping[str, str], paid: Mapping[str, Decimal]) -> Entry:
    """Return the rest of the plating quote, which was given for three batches together."""
    row = next(row for row in rows(texts["send_outs"]) if row["kind"] == "plating")
    return {
        "id": f"B{row['send_out'][1:]}",
        "name": "To pay: hardware plating batches 2 and 3",
        "amount": str(Decimal(row["first_price"]) - paid[row["send_out"]]),
        "currency": row["currency"],
        "kind": "vendor",
        "state": "quoted",
        "chapter": chapter_of_send_out(texts)[row["send_out"]],
    }


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
        if row["material_eur"] != "0"
    ]


def exchange_rates(texts: Mapping[str, str]) -> list[Entry]:
    """Return what other currencies were worth, date by date."""
    return [
        {"currency": currency, "on": row["fx_date"], "rate": rate}
        for row in rows(texts["fx"])
        for currency, rate in row.items()
        if currency != "fx_date"
    ]
