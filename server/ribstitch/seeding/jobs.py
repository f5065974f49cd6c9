"""Jobs and their work: what findings, aircraft cards and extra work ask for.

A job is one finding, one aircraft card, one zone opened up, one surface balanced, or one
item of over-and-above work. Each of its steps becomes one piece of work, one task.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ribstitch.seeding.method_cards import Card, Hours, Step, rows, three_point

AIRCRAFT_CARDS = {
    "M01": "90",
    "M02": "90",
    "M03": "90",
    "M28": "27",
    "M30": "08",
    "M31": "71",
    "M32": "05",
    "M33": "93",
}
"""Cards done once for the whole aircraft, with the chapter their hours are charged to."""

OPENING_CARD, OPENING_CHAPTER = "M05", "53"
BALANCE_CARD, BALANCE_CHAPTER = "M29", "27"
SURFACES = {
    "rudder": "tail",
    "lelevator": "tail",
    "relevator": "tail",
    "laileron": "lwing",
    "raileron": "rwing",
}
"""Control surfaces to be balanced, with their zones."""

BATCH_CARD = "M19"
"""A card whose units are done one by one: plating goes out in batches."""


@dataclass(frozen=True, slots=True)
class Work:
    """One task to be: hours of one trade, or elapsed time."""

    id: str
    job: str
    name: str
    zone: str
    chapter: str
    hours: Hours
    trade: str | None
    people: int = 1
    step: Step | None = None
    hazards: tuple[str, ...] = ()
    why: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Job:
    """Pieces of work that belong together."""

    id: str
    zone: str
    works: tuple[Work, ...]
    card: Card | None = None
    finding: str | None = None
    extra: bool = False
    """Over and above the first plan."""

    @property
    def first(self) -> tuple[str, ...]:
        """The ids of the tasks that wait for what comes before the job."""
        return tuple(one.id for one in self.works if one.step is None or not one.step.after)

    @property
    def last(self) -> tuple[str, ...]:
        """The ids of the tasks that end the job."""
        if self.card is None:
            return tuple(one.id for one in self.works)
        return tuple(f"{self.id}.{number}" for number in self.card.last_steps)


def list_jobs(texts: Mapping[str, str], cards: Mapping[str, Card]) -> tuple[Job, ...]:
    """Return every job of a scenario, in the order of the aircraft cards and findings."""
    titles = {row["ref"]: row["title"] for row in rows(texts["job_titles"])}
    jobs = list(_aircraft_jobs(texts, cards, titles))
    for row in rows(texts["findings"]):
        jobs += _finding_jobs(row, cards, titles)
    jobs += _extra_jobs(texts["over_and_above"])
    return tuple(jobs)


def _aircraft_jobs(
    texts: Mapping[str, str], cards: Mapping[str, Card], titles: Mapping[str, str]
) -> Iterator[Job]:
    """Return the jobs that are in the plan without a finding."""
    one = Fraction(1)
    plain = [(card, cards[card], "whole", chapter, one) for card, chapter in AIRCRAFT_CARDS.items()]
    opening = cards[OPENING_CARD]
    plain[3:3] = [
        (f"{OPENING_CARD}.{row['zone']}", opening, row["zone"], OPENING_CHAPTER, bays)
        for row in rows(texts["zones"])
        if (bays := Fraction(row["bays"]))
    ]
    balance = cards[BALANCE_CARD]
    plain += [
        (f"{BALANCE_CARD}.{surface}", balance, zone, BALANCE_CHAPTER, one)
        for surface, zone in SURFACES.items()
    ]
    for ref, card, zone, chapter, quantity in plain:
        why = f"card {card.id} ({card.name})"
        yield _card_job(ref, titles[ref], card, zone, chapter, quantity, why)


def _finding_jobs(
    row: Mapping[str, str], cards: Mapping[str, Card], titles: Mapping[str, str]
) -> list[Job]:
    """Return the job of one finding; several where its card goes batch by batch."""
    ref, zone, chapter = row["finding"], row["zone"], row["chapter"]
    why = f"finding {ref} ({row['text']})"
    if not row["card"]:
        hours, trade = row["own_hours"].split()
        work = Work(
            ref, ref, titles[ref], zone, chapter, three_point(hours), trade,
            why=f"{why}, treatment {row['treatment']}",
        )  # fmt: skip
        return [Job(ref, zone, (work,), finding=ref)]
    card, quantity = cards[row["card"]], Fraction(row["qty"])
    refs = {ref: quantity}
    if card.id == BATCH_CARD:
        refs = {f"{ref}{letter}": Fraction(1) for letter in "abcdefgh"[: int(quantity)]}
    return [
        _card_job(
            one, titles[one], card, zone, chapter, units, f"{why}, card {card.id}", finding=ref
        )
        for one, units in refs.items()
    ]


def _card_job(
    ref: str,
    title: str,
    card: Card,
    zone: str,
    chapter: str,
    quantity: Fraction,
    why: str,
    finding: str | None = None,
) -> Job:
    """Turn the steps of a card into work; elapsed steps take no longer for more units."""
    works = tuple(
        Work(
            id=f"{ref}.{step.number}",
            job=ref,
            name=f"{title}: {_lower_first(step.name)}",
            zone=zone,
            chapter=chapter,
            hours=step.hours if step.elapsed else step.hours.times(quantity),
            trade=step.trade,
            people=step.people,
            step=step,
            hazards=card.hazards,
            why=f"{why}, step {step.number}",
            notes=f"{step.check}: {card.evidence}." if step.check else "",
        )
        for step in card.steps
    )
    return Job(ref, zone, works, card=card, finding=finding)


def extra_tasks(over_and_above: str) -> frozenset[str]:
    """Return the over-and-above items that became tasks."""
    return frozenset(row["ref"] for row in rows(over_and_above) if row["trade"] and row["approved"])


def _extra_jobs(over_and_above: str) -> Iterator[Job]:
    """Return the over-and-above items that are hours, and that the owners agreed to."""
    for row in rows(over_and_above):
        if row["ref"] not in extra_tasks(over_and_above):
            continue
        likely = Fraction(row["hours"])
        work = Work(
            id=row["ref"],
            job=row["ref"],
            name=row["title"],
            zone=row["zone"],
            chapter=row["chapter"],
            hours=Hours(likely, likely, likely),
            trade=row["trade"],
            why=f"over and above {row['ref']}, out of finding {row['finding']}",
            notes=f"Raised {row['raised']}; the owner said yes {row['approved']}.",
        )
        yield Job(row["ref"], row["zone"], (work,), finding=row["finding"], extra=True)


def hours_by_trade(jobs: Sequence[Job]) -> dict[str, Fraction]:
    """Return the likely hours of the first plan (nothing over and above) by trade."""
    totals: dict[str, Fraction] = {}
    for job in jobs:
        for work in () if job.extra else job.works:
            if work.trade is not None:
                totals[work.trade] = totals.get(work.trade, Fraction(0)) + work.hours.likely
    return totals


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]
