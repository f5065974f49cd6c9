"""What the owners pay in, and what they were asked over and above the first plan."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.jobs import extra_tasks

Entry = dict[str, object]

_WHO = "The owners"


def funding(texts: Mapping[str, str]) -> list[Entry]:
    """Return what each owner pays in, month after month."""
    return [
        {
            "id": row["funding"],
            "name": row["name"],
            "on": row["on"],
            "amount": row["amount"],
            "every_months": int(row["every_months"]),
            "until": row["until"],
        }
        for row in rows(texts["funding"])
    ]


def over_and_above(texts: Mapping[str, str]) -> list[Entry]:
    """
    Return what was found after the plan was agreed, and what the owners said.

    An item is a rise in the price of an order, or hours and material; `amount` is what
    it costs but for the hours.
    """
    tasks = extra_tasks(texts["over_and_above"])
    send_outs = {row["finding"]: row["send_out"] for row in rows(texts["findings"])}
    entries = []
    for row in rows(texts["over_and_above"]):
        entry: Entry = {
            "id": row["ref"],
            "name": row["title"],
            "asked_on": row["raised"],
            "chapter": row["chapter"],
        }
        if row["price_to"]:
            rise = Decimal(row["price_to"]) - Decimal(row["price_from"])
            entry |= {"amount": str(rise), "currency": row["currency"]}
            entry["send_out"] = send_outs[row["finding"]]
        else:
            entry |= {"amount": row["material_eur"], "currency": "EUR", "hours": row["hours"]}
        if row["ref"] in tasks:
            entry["task"] = row["ref"]
        if row["approved"]:
            entry |= {"state": "approved", "decided_on": row["approved"], "decided_by": _WHO}
        entries.append(entry)
    return entries
