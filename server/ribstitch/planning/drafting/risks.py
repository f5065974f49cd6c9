"""The risks that method cards name, hung on the step or the send-out they would lengthen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import ceil

from ribstitch.planning.check_values import LONGEST_NAME
from ribstitch.planning.drafting.hands import Hands, ticks, worked_dates
from ribstitch.planning.drafting.hours import Hours, hours_of, in_eighths
from ribstitch.planning.drafting.jobs import Job, Work
from ribstitch.planning.model import CardRisk, MethodCard, Plan, Risk

Days = tuple[Fraction, Fraction, Fraction]
"""Low, likely and high."""


def risks_of(
    plan: Plan, jobs: Sequence[Job], hands: Hands, vendor_of_job: Mapping[str, tuple[str, str]]
) -> tuple[Risk, ...]:
    """
    Return one risk for each job whose card names one.

    Parameters
    ----------
    plan
        For the vendors' calendars.
    jobs
        All jobs.
    hands
        Whose days the extra hours take.
    vendor_of_job
        The send-out and the vendor of each job whose item leaves.
    """
    vendors = {one.id: one.calendar or plan.project.calendar for one in plan.vendors}
    calendars = {one.id: one for one in plan.calendars}
    found = []
    for job in jobs:
        card = job.card
        if card is None or card.risk is None:
            continue
        away = vendor_of_job.get(job.id)
        if card.risk.step is None and away is not None:
            week = worked_dates(calendars.get(vendors[away[1]]))
            days = _in_days(hours_of(card.risk.weeks), week)
            found.append(_risk(card.risk, card, job, days, send_out=away[0]))
        else:
            step = _step(card, job)
            found.append(_risk(card.risk, card, job, _extra_days(card.risk, job, step, hands),
                               task=step.id))  # fmt: skip
    return tuple(found)


def _step(card: MethodCard, job: Job) -> Work:
    """
    Return the work that a risk makes longer.

    A risk of a send-out, where the work stays in the shop, falls on the step that would
    wait for the item; without such a step, on the last.
    """
    number = card.back_before if card.risk is None or card.risk.step is None else card.risk.step
    return next((one for one in job.works if one.step and one.step.number == number), job.works[-1])


def _risk(
    risk: CardRisk,
    card: MethodCard,
    job: Job,
    days: Days,
    task: str | None = None,
    send_out: str | None = None,
) -> Risk:
    """Return the risk of one job; as one figure where all three days are equal."""
    units = _units(job) if risk.each_unit else 1
    low, likely, high = (ticks(one) for one in days)
    certain = low == likely == high
    return Risk(
        id=f"R-{job.id}",
        name=f"{job.title}: {risk.event}"[:LONGEST_NAME],
        task=task,
        send_out=send_out,
        probability=round(1 - (1 - risk.probability) ** units, 2),
        impact=likely if certain else 0,
        impact_range=None if certain else (low, likely, high),
        impact_note=_note(risk, card, job),
    )


def _note(risk: CardRisk, card: MethodCard, job: Job) -> str:
    """Return what the card says of the impact, and for how much."""
    units = _units(job)
    note = risk.note
    if risk.each_unit and units > 1:
        note += f"; on each {card.driver} of {units}"
    elif job.quantity < 1:
        note += f"; here {float(job.quantity):g} of a {card.driver}"
    return f"{note}." if note else ""


def _units(job: Job) -> int:
    """Return how many whole driver units a job has, at least one."""
    return max(1, int(job.quantity))


def _extra_days(risk: CardRisk, job: Job, step: Work, hands: Hands) -> Days:
    """
    Return low, likely and high extra days on the calendar of a step.

    Where each unit runs the risk, one is hit at least, the expected number is likely, and
    three times that, or all of them, is high.
    """
    hours = hours_of(risk.hours).times(min(Fraction(1), Fraction(job.quantity)))
    if risk.each_unit:
        units = _units(job)
        expected = units * Fraction(str(risk.probability))
        hit = (1, max(1, round(expected)), min(units, ceil(3 * expected)))
        low, likely, high = (one * hours.likely for one in hit)
        hours = Hours(low, likely, max(likely, high))
    part = sum((work.hours.likely for work in job.works if work.trade), Fraction(0))
    extra = part * Fraction(risk.percent) / 100
    waits = _in_days(hours_of(risk.weeks), hands.dates_a_week(step.trade))
    worked = (hours.low + extra, hours.likely + extra, hours.high + extra)
    season = None if step.step is None else step.step.calendar
    low_days, likely_days, high_days = (
        (hands.days(step.trade, step.people, one, season) if one else Fraction(0)) + wait
        for one, wait in zip(worked, waits, strict=True)
    )
    return low_days, likely_days, high_days


def _in_days(weeks: Hours, dates_a_week: int) -> Days:
    """Return weeks as working days, in eighths."""
    low, likely, high = (
        in_eighths(one * dates_a_week) if one else Fraction(0)
        for one in (weeks.low, weeks.likely, weeks.high)
    )
    return low, likely, high
