"""Who does the work of a trade, on which calendar, and when they were there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from ribstitch.planning.calendars import public_holidays
from ribstitch.seeding.csv_rows import rows

HOLIDAYS = "IE"
"""Where the shop stands, and whose holidays it keeps."""

SHOP_DAY = Fraction(8)
_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Person:
    """One of the crew."""

    id: str
    label: str
    trades: tuple[str, ...]
    rate: Fraction
    """[EUR per hour]"""
    week: tuple[Fraction, ...]
    """Hours, Monday to Sunday; empty: on call on the shop's days."""
    share: Fraction
    """Part of the hours that reaches this project."""
    closed: tuple[tuple[date, date], ...]
    """When the shop is closed or the person is away."""

    @property
    def day_hours(self) -> Fraction:
        """The person's longest day."""
        return max(self.week, default=SHOP_DAY)

    @property
    def calendar(self) -> str:
        """The id of the calendar the person works on."""
        return self.id.lower() if self.week else "shop"

    def works_on(self, day: date) -> bool:
        """Whether the person is in the shop on a date."""
        week = self.week or (SHOP_DAY,) * 5 + (Fraction(0),) * 2
        if week[day.weekday()] == 0 or day in public_holidays(HOLIDAYS, day.year):
            return False
        return not any(first <= day <= last for first, last in self.closed)


class Crew:
    """The crew by trade: the first person who has only that trade, else the first who has it."""

    def __init__(self, text: str, closures: str) -> None:
        self.people = tuple(_person(row, rows(closures)) for row in rows(text))

    def entries(self) -> list[dict[str, object]]:
        """
        Return the crew of the plan document, an entry for each trade of each person.

        Its calendars hold the hours that reach this project, so an hour costs all of it.
        """
        return [
            {
                "trade": trade,
                "people": 1,
                "calendar": person.calendar,
                "label": person.label,
                "rate": f"{float(person.rate):.2f}",
            }
            for person in self.people
            for trade in person.trades
        ]

    def of(self, trade: str) -> tuple[Person, ...]:
        """Return everybody who has a trade."""
        return tuple(one for one in self.people if trade in one.trades)

    def main(self, trade: str) -> Person:
        """Return the person whose calendar the trade's tasks stand on."""
        return min(self.of(trade), key=lambda one: one.trades != (trade,))

    def dates(self, trade: str | None, first: date, last: date) -> Iterable[date]:
        """Return the dates from first to last on which a trade is in the shop."""
        day = first
        while day <= last:
            if trade is None or self.main(trade).works_on(day):
                yield day
            day += _ONE_DAY


def _person(row: dict[str, str], closures: list[dict[str, str]]) -> Person:
    return Person(
        id=row["crew"],
        label=row["label"],
        trades=tuple(row["trades"].split()),
        rate=Fraction(row["eur_per_h"]),
        week=tuple(Fraction(hours) for hours in row["hours_mon_to_sun"].split()),
        share=Fraction(row["productive_share"]),
        closed=tuple(
            (date.fromisoformat(one["from"]), date.fromisoformat(one["to"]))
            for one in closures
            if one["who"] in ("shop", row["crew"])
        ),
    )
