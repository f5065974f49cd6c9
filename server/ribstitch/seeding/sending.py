"""Send-outs, their kinds and vendors of the scenario in the plan document's terms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from math import ceil

from ribstitch.seeding.jobs import Job
from ribstitch.seeding.method_cards import rows
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


def kinds(texts: Mapping[str, str]) -> list[Entry]:
    """Return what the trade knows of each kind; the bad case is taken as nine in ten."""
    return [
        {
            "id": row["kind"],
            "name": row["name"],
            "over_median": float(row["over_mid"]),
            "over_p90": float(row["over_bad"]),
            "rejected": float(row["rejected"]),
            "growth_median": float(row["growth_mid"]),
            "growth_p90": float(row["growth_bad"]),
        }
        for row in rows(texts["send_out_kinds"])
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


def send_outs(texts: Mapping[str, str], jobs: Sequence[Job]) -> list[Entry]:
    """Return the send-outs, each with its legs, its actual dates and its chase list."""
    around = Surroundings(texts, jobs)
    status = {row["send_out"]: row for row in rows(texts["send_out_status"])}
    patterns = {
        row["kind"]
        for row in rows(texts["send_out_kinds"])
        if "pattern back" in row["must_come_back"]
    }
    contacts = _contacts(texts)
    entries = []
    for row in rows(texts["send_outs"]):
        ref = row["send_out"]
        is_pattern = row["kind"] in patterns
        entry: Entry = {
            "id": ref,
            "name": row["item"],
            "kind": row["kind"],
            "vendor": row["vendor"],
            "source": "pattern" if is_pattern else "overhaul",
            "after": around.after[ref],
            "before": around.before[ref],
            **_legs(row, returns=is_pattern),
            "contacts": contacts.get(ref, []),
            "notes": f"Planned to ship {row['planned_ship']}; first price {row['first_price']} "
            f"{row['currency']}; pays {row['pay']} % (deposit, progress, balance).",
        }
        entries.append(entry | _status(status.get(ref)))
        if ref == SECOND_TRIP_OF:
            entries.append(_second_trip(entry, status, contacts))
    return entries


def away(texts: Mapping[str, str], jobs: Sequence[Job]) -> Away:
    """Return which tasks ended before an item left, and which began after it was back."""
    around = Surroundings(texts, jobs)
    finish_by: dict[str, date] = {}
    start_from: dict[str, date] = {}
    for row in rows(texts["send_out_status"]):
        ref = row["send_out"]
        if row["shipped"]:
            for task in around.after.get(ref, []):
                finish_by[task] = date.fromisoformat(row["shipped"])
        if row["accepted"] and not row["accepted"].startswith("rejected"):
            for task in around.before.get(ref, []):
                start_from[task] = date.fromisoformat(row["accepted"])
    return Away(finish_by, start_from)


class Surroundings:
    """Which tasks each send-out waits for, and which wait for it."""

    def __init__(self, texts: Mapping[str, str], jobs: Sequence[Job]) -> None:
        self.after: dict[str, list[str]] = {}
        self.before: dict[str, list[str]] = {}
        for row in rows(texts["send_outs"]):
            self.after[row["send_out"]] = _tasks_of(row["after"], jobs)
            self.before[row["send_out"]] = _tasks_of(row["before"], jobs)
        for row in rows(texts["extra_links"]):
            if row["to"] in self.after:
                self.after[row["to"]].append(row["from"])
            if row["from"] in self.before:
                self.before[row["from"]].append(row["to"])


def _tasks_of(ref: str, jobs: Sequence[Job]) -> list[str]:
    """
    Return the tasks that a card step like ``M25.1`` or a finding stands for.

    Of a card that goes batch by batch it is the first batch: the one that has a send-out.
    """
    if any(job.id == ref for job in jobs):
        return [ref]
    card, _, step = ref.partition(".")
    found = [
        f"{job.id}.{step}"
        for job in jobs
        if job.card is not None and job.card.id == card and job.id[-1] not in "bc"
    ]
    if not found:
        raise KeyError(f"send_outs.csv speaks of {ref}, which is no task")
    return found


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
