"""What an exported table is, whichever kind of file it becomes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.services.forecast import CurrentPlan

Cell = str | Decimal | date | None
Row = dict[str, Cell]


@dataclass(frozen=True, slots=True)
class Export:
    """One table."""

    name: str
    """As in the address."""
    columns: tuple[str, ...]
    """In order; none is ever taken away or given another meaning."""
    rows: Callable[[CurrentPlan], Iterator[Row]]
    money: Mapping[str, str] = field(default_factory=dict)
    """The columns that hold money, each with the column that tells its currency."""

    def lines(self, current: CurrentPlan) -> list[list[Cell]]:
        """Return the table of a plan: for each row its cells in the order of the columns."""
        return [[row[name] for name in self.columns] for row in self.rows(current)]


def in_days(ticks: int) -> Decimal:
    """Return a duration to a thousandth of a day, without zeros at its end."""
    return number(Decimal(ticks) / TICKS_PER_DAY)


def number(value: Decimal | float) -> Decimal:
    """Return a number to three decimal places, without zeros at its end."""
    return Decimal(value).quantize(Decimal("0.001")).normalize()


def yes_or_no(is_so: bool) -> str:
    """Say whether something is so."""
    return "yes" if is_so else "no"
