"""Method cards: reusable, ordered steps with three-point hours."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

HOURS_A_DATE = 24
"""Elapsed steps (curing, drying) run round the clock."""

_FLAGS = {"H": "Hold point", "B": "Buy-off", "W": "Witnessed test"}


@dataclass(frozen=True, slots=True)
class Hours:
    """Low, likely and high person-hours; of elapsed steps, hours on the clock."""

    low: Fraction
    likely: Fraction
    high: Fraction

    def times(self, quantity: Fraction) -> Hours:
        """Return the hours of a quantity of units."""
        return Hours(self.low * quantity, self.likely * quantity, self.high * quantity)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a method card."""

    card: str
    number: int
    name: str
    after: tuple[int, ...]
    """Steps of the same card; empty: the step waits for the card's predecessors."""
    trade: str | None
    people: int
    hours: Hours
    """Per driver unit."""
    flags: str

    @property
    def elapsed(self) -> bool:
        """Whether the step only takes time, and nobody works on it."""
        return "E" in self.flags

    @property
    def check(self) -> str:
        """What somebody must see, test or sign; empty where nothing."""
        return next((_FLAGS[flag] for flag in self.flags if flag in _FLAGS), "")


@dataclass(frozen=True, slots=True)
class Card:
    """One method card."""

    id: str
    name: str
    driver: str
    """The unit that hours are given for; `aircraft` cards are done once."""
    pre_cards: tuple[str, ...]
    hazards: tuple[str, ...]
    evidence: str
    steps: tuple[Step, ...]

    @property
    def last_steps(self) -> tuple[int, ...]:
        """The numbers of the steps that no other step of the card follows."""
        followed = {number for step in self.steps for number in step.after}
        return tuple(step.number for step in self.steps if step.number not in followed)


def rows(text: str) -> list[dict[str, str]]:
    """Return the rows of a CSV text with a header row."""
    return list(csv.DictReader(text.splitlines()))


def three_point(text: str) -> Hours:
    """Read ``low/likely/high``."""
    low, likely, high = (Fraction(part) for part in text.split("/"))
    return Hours(low, likely, high)


def read_cards(cards_csv: str, steps_csv: str) -> dict[str, Card]:
    """
    Read the method cards by id.

    Raises
    ------
    KeyError, ValueError
        If a column is missing or a number is none.
    """
    steps: dict[str, list[Step]] = {}
    for row in rows(steps_csv):
        steps.setdefault(row["card"], []).append(_step(row))
    return {row["card"]: _card(row, steps[row["card"]]) for row in rows(cards_csv)}


def _step(row: Mapping[str, str]) -> Step:
    return Step(
        card=row["card"],
        number=int(row["n"]),
        name=row["task"],
        after=tuple(int(number) for number in row["after"].split()),
        trade=row["trade"] or None,
        people=int(row["people"]),
        hours=Hours(Fraction(row["lo"]), Fraction(row["ml"]), Fraction(row["hi"])),
        flags=row["f"],
    )


def _card(row: Mapping[str, str], steps: Sequence[Step]) -> Card:
    return Card(
        id=row["card"],
        name=row["name"],
        driver=row["driver"],
        pre_cards=tuple(row["pre_cards"].split()),
        hazards=tuple(row["hazards"].split()),
        evidence=row["evidence_or_hold"],
        steps=tuple(steps),
    )
