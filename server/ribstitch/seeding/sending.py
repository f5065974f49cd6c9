"""Send-outs and vendors of the scenario in the plan document's terms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from math import ceil
from typing import Any

from ribstitch.planning.model import SendOut, Source
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.status import Away

Entry = dict[str, object]

HOLIDAYS = {"GB": "GB-ENG"}
"""Holiday codes where they differ from the country's."""

ACCEPT_DAYS = 1

SECOND_TRIP, SECOND_TRIP_OF = "S03/2", "S03"
SECOND_TRIP_LEAD_DAYS = 47
"""Working days from 2026-09-09 to the promised 2026-11-13: nothing else was quoted."""


def vendor_calendars(texts: Mapping[str, str]) -> list[Entry]:
    """Return one calendar for each vendor: its country's holidays and its closures."""
    return [
        {
            "id": row["vendor"].lower(),
            "name": row["name"],
            "holidays": HOLIDAYS.get(row["country"], row["country"]),
            "closed": [span.split("/") for span in row["closed"].split()],
        }
        for row in rows(texts["vendors"])
    ]


def vendors(texts: Mapping[str, str]) -> list[Entry]:
    """Return the vendors with what they quoted, took and charged before."""
    history: dict[str, list[Entry]] = {}
    for row in rows(texts["history"]):
        history.setdefault(row["vendor"], []).append(_past_job(row))
    return [
        {
            "id": row["vendor"],
            "name": row["name"],
            "country": row["country"],
            "calendar": row["vendor"].lower(),
            "currency": row["currency"],
            "kinds": row["kinds"].split(),
            "history": history.get(row["vendor"], []),
        }
        for row in rows(texts["vendors"])
    ]


def _past_job(row: Mapping[str, str]) -> Entry:
    """Return one row of the history; of the earliest jobs nobody wrote down the promise."""
    job: Entry = {
        "kind": row["kind"],
        "quoted_days": int(row["quoted_days"]),
        "actual_days": int(row["actual_days"]),
        "ordered": row["ordered"],
    }
    if row["trips"] != "1":
        job["trips"] = int(row["trips"])
    if row["promised_days"]:
        job["promised_days"] = int(row["promised_days"])
    return job | {"quoted_price": row["quoted"], "final_price": row["final"]}


def send_outs(texts: Mapping[str, str], drafted: Sequence[SendOut]) -> list[Entry]:
    """
    Return the send-outs, each with its legs, its actual dates and its chase list.

    Parameters
    ----------
    texts
        The scenario's own lists.
    drafted
        What the planner made of them: which tasks are around each item, who is asked and
        how it comes back.
    """
    by_id = {item.id: item for item in drafted}
    status = {row["send_out"]: row for row in rows(texts["send_out_status"])}
    contacts = _contacts(texts)
    entries = []
    for row in rows(texts["send_outs"]):
        ref = row["send_out"]
        item = by_id[ref]
        after, before = tasks_around(texts, row, item)
        entry: Entry = {
            "id": ref,
            "name": row["item"],
            "kind": row["kind"],
            "vendor": row["vendor"],
            "source": item.source.value,
            "after": after,
            "before": before,
            **_legs(row, returns=item.source is Source.PATTERN),
            "contacts": contacts.get(ref, []),
            "notes": f"Planned to ship {row['planned_ship']}; first price {row['first_price']} "
            f"{row['currency']}; pays {row['pay']} % (deposit, progress, balance).",
        }
        entries.append(entry | _status(status.get(ref)))
        if ref == SECOND_TRIP_OF:
            entries.append(_second_trip(entry, status, contacts))
    return entries


def away(items: Sequence[Mapping[str, Any]]) -> Away:
    """Return which tasks ended before an item left, and which began after it was back."""
    finish_by: dict[str, date] = {}
    start_from: dict[str, date] = {}
    for item in items:
        known = item.get("status", {})
        if "shipped" in known:
            shipped = date.fromisoformat(known["shipped"])
            finish_by |= dict.fromkeys(item.get("after", ()), shipped)
        if "accepted" in known:
            accepted = date.fromisoformat(known["accepted"])
            start_from |= dict.fromkeys(item.get("before", ()), accepted)
    return Away(finish_by, start_from)


def tasks_around(
    texts: Mapping[str, str], row: Mapping[str, str], item: SendOut
) -> tuple[list[str], list[str]]:
    """Return the tasks before and after a send-out: the planner's, or the shop's own, and more."""
    after = row["after"].split() or list(item.after)
    before = row["before"].split() or list(item.before)
    for link in rows(texts["extra_links"]):
        if link["to"] == item.id and link["from"] not in after:
            after.append(link["from"])
        if link["from"] == item.id and link["to"] not in before:
            before.append(link["to"])
    return after, before


def _legs(row: Mapping[str, str], *, returns: bool) -> Entry:
    """Return the legs in days; the owner's yes counts shop days in the list, dates here."""
    out, customs = int(row["out"]), int(row["customs_each_way"])
    legs = {
        "prepare_days": int(row["prep"]),
        "ship_out_days": out,
        "customs_out_days": customs,
        "intake_days": int(row["intake"]),
        "approval_days": ceil(Fraction(row["approve"]) * 7 / 5),
        "lead_days": int(row["lead"]),
        "ship_back_days": out,
        "customs_back_days": customs,
        "accept_days": ACCEPT_DAYS,
        "return_days": out + customs if returns else 0,
    }
    return {leg: days for leg, days in legs.items() if days}


def _status(row: Mapping[str, str] | None) -> Entry:
    """Return the actual dates and the vendor's latest promise."""
    if row is None:
        return {}
    status: Entry = {
        key: row[key]
        for key in ("shipped", "arrived", "quoted", "approved", "left_vendor", "received")
        if row[key]
    }
    promises = row["promised_in_turn"].split()
    if promises:
        status["promised"] = promises[-1]
    outcome, _, rejected_on = row["accepted"].partition(" ")
    if outcome == "rejected":
        status["rejected"] = rejected_on
    elif outcome:
        status["accepted"] = outcome
    return {"status": status}


def _second_trip(
    first: Entry, status: Mapping[str, Mapping[str, str]], contacts: Mapping[str, list[Entry]]
) -> Entry:
    """Return the trip that follows the rejection, on the first one's roads."""
    legs: Entry = {
        key: first[key]
        for key in ("prepare_days", "ship_out_days", "customs_out_days", "ship_back_days",
                    "customs_back_days", "accept_days", "return_days")
        if key in first
    }  # fmt: skip
    return {
        "id": SECOND_TRIP,
        "name": f"{first['name']}: two panels again",
        "kind": first["kind"],
        "vendor": first["vendor"],
        "source": first["source"],
        "trip_of": SECOND_TRIP_OF,
        **legs,
        "lead_days": SECOND_TRIP_LEAD_DAYS,
        "contacts": contacts.get(SECOND_TRIP, []),
        "notes": "At the vendor's cost; lead counted from the promise.",
        **_status(status[SECOND_TRIP]),
    }


def _contacts(texts: Mapping[str, str]) -> dict[str, list[Entry]]:
    """Return the words with vendors out of the event list, by send-out."""
    found: dict[str, list[Entry]] = {}
    rejected = {
        row["send_out"]: row["accepted"].split()[-1]
        for row in rows(texts["send_out_status"])
        if row["accepted"].startswith("rejected")
    }
    for row in rows(texts["events"]):
        for ref in row["ref"].split():
            if not ref.startswith("S"):
                continue
            trip = SECOND_TRIP if row["date"] >= rejected.get(ref, "9999") else ref
            entries = found.setdefault(trip, [])
            entries.append({"on": row["date"], "note": f"{row['event']} ({row['effect']})"})
            entries += _chased(row)
    return found


def _chased(row: Mapping[str, str]) -> Iterator[Entry]:
    """Return one entry for each date of an effect like ``chased 08-17; 08-31``."""
    word, _, dates = row["effect"].partition(" ")
    if word == "chased":
        for day in dates.split("; "):
            yield {"on": f"{row['date'][:4]}-{day}", "note": "Chased."}
