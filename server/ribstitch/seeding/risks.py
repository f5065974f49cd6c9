"""The risks that method cards name, hung on the step or the send-out they would lengthen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from ribstitch.seeding.crew import Crew, in_eighths
from ribstitch.seeding.jobs import Job, Work
from ribstitch.seeding.method_cards import Card, Hours, rows, three_point
from ribstitch.seeding.plan_text import number
from ribstitch.seeding.status import Status

Entry = dict[str, object]

SHOP_WEEK = VENDOR_WEEK = 5
"""Working days a week of the shop and of a vendor."""

NOTHING = Hours(Fraction(0), Fraction(0), Fraction(0))


@dataclass(frozen=True, slots=True)
class CardRisk:
    """What may happen on one method card."""

    event: str
    chance: Fraction
    """Per driver unit where each unit runs the risk, else per job."""
    falls_on: str
    """The number of the step that takes longer, or ``send_out``."""
    each_unit: bool
    hours: Hours
    """Person-hours of the step's trade."""
    weeks: Hours
    percent: Fraction
    """Of the job's hours."""
    note: str


def read_card_risks(texts: Mapping[str, str]) -> dict[str, CardRisk]:
    """
    Return the risk of each card.

    Raises
    ------
    KeyError, ValueError
        If a card has no row, or a figure is none.
    """
    impacts = {row["card"]: row for row in rows(texts["card_risks"])}
    return {
        row["card"]: _card_risk(row, impacts[row["card"]]) for row in rows(texts["method_cards"])
    }


def _card_risk(card: Mapping[str, str], impact: Mapping[str, str]) -> CardRisk:
    return CardRisk(
        event=card["risk_event"],
        chance=Fraction(card["prob"]),
        falls_on=impact["falls_on"],
        each_unit=impact["each_unit"] == "yes",
        hours=_spread(impact["hours"]),
        weeks=_spread(impact["weeks"]),
        percent=Fraction(impact["percent"] or 0),
        note="; ".join(part for part in (card["impact"], impact["assumed"]) if part),
    )


def _spread(text: str) -> Hours:
    """Read ``low/likely/high``, or one figure for all three; blank is nothing."""
    if not text:
        return NOTHING
    return three_point(text if "/" in text else "/".join([text] * 3))


def risks(
    texts: Mapping[str, str], jobs: Sequence[Job], crew: Crew, status: Mapping[str, Status]
) -> list[Entry]:
    """
    Return one risk for each job that is done by a card.

    A risk is closed once its step is done, its item is accepted, or it has happened.
    """
    known = read_card_risks(texts)
    over = {
        row["ref"]: f"{row['date']}: {row['what_happened']}" for row in rows(texts["risks_over"])
    }
    unknown = set(over) - {job.id for job in jobs}
    if unknown:
        raise KeyError(f"risks_over.csv speaks of {min(unknown)}, which is no job")
    around = _Around(texts, crew, status)
    return [
        _risk(known[card.id], card, job, around, over.get(job.id))
        for job in jobs
        if (card := job.card) is not None
    ]


class _Around:
    """What a risk is hung on: who works, what is done, what is away."""

    def __init__(self, texts: Mapping[str, str], crew: Crew, status: Mapping[str, Status]) -> None:
        self.crew = crew
        self.done = {task for task, one in status.items() if one["state"] == "done"}
        self.accepted = {
            row["send_out"]
            for row in rows(texts["send_out_status"])
            if row["accepted"] and not row["accepted"].startswith("rejected")
        }
        self.send_out_of_card: dict[str, str] = {}
        """The first send-out that waits for a step of the card."""
        for row in rows(texts["send_outs"]):
            self.send_out_of_card.setdefault(row["after"].partition(".")[0], row["send_out"])


def _risk(risk: CardRisk, card: Card, job: Job, around: _Around, happened: str | None) -> Entry:
    """Return the risk of one job."""
    units = _units(job) if risk.each_unit else 1
    entry: Entry = {
        "id": f"R-{job.id}",
        "name": f"{_title(job)}: {risk.event}",
        "probability": round(float(1 - (1 - risk.chance) ** units), 2),
    }
    if risk.falls_on == "send_out":
        ref = around.send_out_of_card[card.id]
        days, is_over = _in_days(risk.weeks, VENDOR_WEEK), ref in around.accepted
        entry["send_out"] = ref
    else:
        step = next(work for work in job.works if work.id == f"{job.id}.{risk.falls_on}")
        days, is_over = _days_of_step(risk, job, step, around.crew), step.id in around.done
        entry["task"] = step.id
    entry |= _impact(days)
    entry["impact_note"] = _note(risk, card, job, happened)
    if is_over or happened:
        entry["closed"] = True
    return entry


def _note(risk: CardRisk, card: Card, job: Job, happened: str | None) -> str:
    """Return what the card says of the impact, for how much, and what became of it."""
    units, quantity = _units(job), _quantity(job)
    note = risk.note
    if risk.each_unit and units > 1:
        note += f"; on each {card.driver} of {units}"
    elif quantity < 1:
        note += f"; here {float(quantity):g} of a {card.driver}"
    return f"{note}. {happened}." if happened else f"{note}."


def _title(job: Job) -> str:
    return job.works[0].name.partition(": ")[0]


def _quantity(job: Job) -> Fraction:
    """Return how many driver units a job has."""
    return next(
        work.hours.likely / step.hours.likely
        for work in job.works
        if (step := work.step) is not None and not step.elapsed
    )


def _units(job: Job) -> int:
    """Return how many whole driver units a job has, at least one."""
    return max(1, int(_quantity(job)))


def _days_of_step(risk: CardRisk, job: Job, step: Work, crew: Crew) -> tuple[Fraction, ...]:
    """
    Return low, likely and high extra days on the calendar of a step.

    Where each unit runs the risk, one is hit at least, the expected number is likely, and
    three times that, or all of them, is high.
    """
    hours = risk.hours.times(min(Fraction(1), _quantity(job)))
    if risk.each_unit:
        units = _units(job)
        expected = units * risk.chance
        hit = (1, max(1, round(expected)), min(units, ceil(3 * expected)))
        low, likely, high = (one * hours.likely for one in hit)
        hours = Hours(low, likely, max(likely, high))
    part = sum((work.hours.likely for work in job.works if work.trade), Fraction(0))
    extra = part * risk.percent / 100
    waits = _in_days(risk.weeks, _week_of(step.trade, crew))
    worked = (hours.low + extra, hours.likely + extra, hours.high + extra)
    return tuple(
        (crew.days(step.trade, step.people, one) if one else Fraction(0)) + wait
        for one, wait in zip(worked, waits, strict=True)
    )


def _week_of(trade: str | None, crew: Crew) -> int:
    """Return how many dates a week a trade works; without a trade time just passes."""
    if trade is None:
        return 7
    return sum(1 for hours in crew.main(trade).week if hours) or SHOP_WEEK


def _in_days(weeks: Hours, days_a_week: int) -> tuple[Fraction, ...]:
    """Return weeks as working days, in eighths."""
    return tuple(
        in_eighths(one * days_a_week) if one else Fraction(0)
        for one in (weeks.low, weeks.likely, weeks.high)
    )


def _impact(days: tuple[Fraction, ...]) -> Entry:
    """Return extra days as one figure where all three are equal, else as a range."""
    if len(set(days)) == 1:
        return {"impact_days": number(days[0])}
    return {"impact_days_range": [number(one) for one in days]}
