"""Dates and numbers as they are written, and what is asked instead of guessed."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.spreadsheets.cells import CellError, value_of
from ribstitch.spreadsheets.columns import Column, Holds
from ribstitch.spreadsheets.reading import read_grid
from ribstitch.spreadsheets.styles import DATES, NUMBERS, read_date, read_number
from ribstitch.spreadsheets.tables import TABLES
from ribstitch.spreadsheets.telling import Telling, tell
from tests.property.settings import examples

FINDINGS = TABLES["findings"]


@pytest.mark.parametrize(
    ("texts", "style"),
    [
        (["03/04/2026", "13/04/2026"], "day_first"),
        (["03/04/2026", "04/13/2026"], "month_first"),
        (["3.4.2026", "31.4.2026", "30.4.2026"], "day_first"),
        (["03/04/2026", "05/06/2026"], None),
        (["13/04/2026", "04/13/2026"], None),
        (["05/05/2026", "2026-04-03", "soon"], "day_first"),
    ],
)
def test_a_column_of_dates_settles_its_style_or_leaves_it_open(
    texts: list[str], style: str | None
) -> None:
    """The last: no value says anything about the style, so that either will do."""
    assert DATES.settle(texts)[0] == style


@pytest.mark.parametrize(
    ("texts", "style"),
    [
        (["1,5", "1.234"], "comma"),
        (["1.5", "1,234"], "point"),
        (["1.234", "2.345"], None),
        (["1,234"], None),
        (["1.234.567"], "comma"),
        (["1,234.50"], "point"),
        (["1.234,50"], "comma"),
        (["12", "1 234"], "point"),
        (["1,5", "1.5"], None),
    ],
)
def test_a_column_of_numbers_settles_its_style_or_leaves_it_open(
    texts: list[str], style: str | None
) -> None:
    assert NUMBERS.settle(texts)[0] == style


@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)), st.sampled_from("-./"))
@examples(60)
def test_dates_are_read_as_a_general_library_reads_them(day: date, mark: str) -> None:
    for style, day_first in zip(DATES.styles, (True, False), strict=True):
        text = day.strftime(f"%d{mark}%m{mark}%Y" if day_first else f"%m{mark}%d{mark}%Y")
        assert read_date(text, style) == pd.to_datetime(text, dayfirst=day_first).date() == day
        assert read_date(day.isoformat(), style) == day


@given(st.decimals(-(10**9), 10**9, places=3))
@examples(60)
def test_numbers_are_read_with_and_without_groups_in_both_styles(number: Decimal) -> None:
    """Written by Python's own format, which knows the English style alone."""
    for grouped in (f"{number:,.3f}", f"{number:.3f}"):
        assert read_number(grouped, "point") == number
        turned = grouped.translate(str.maketrans(",.", ".,"))
        assert read_number(turned, "comma") == number
        assert read_number(turned.replace(".", "\u202f"), "comma") == number


REFUSED: list[tuple[Holds, Any, str]] = [
    (Holds.NUMBER, "€ 5", r'"€ 5" is not a number'),
    (Holds.NUMBER, "1,23,4", "is not a number"),
    (Holds.NUMBER, "", '"" is not a number'),
    (Holds.NUMBER, True, '"yes" is not a number'),
    (Holds.NUMBER, float("inf"), '"inf" is not a number'),
    (Holds.NUMBER, date(2026, 1, 5), '"2026-01-05" is not a number'),
    (Holds.WHOLE, "2.5", '"2.5" is not a whole number'),
    (Holds.DATE, 46_000, '"46000" is not a date'),
    (Holds.DATE, "31/02/2026", r'"31/02/2026" is not a date \(day, month, year'),
    (Holds.DATE, "03/04/26", "the year with four digits"),
    (Holds.YES_NO, "perhaps", '"perhaps" is neither yes nor no'),
    (Holds.WORD, "mend", '"mend" is none of: repair, re_cover'),
]


@pytest.mark.parametrize(("holds", "cell", "said"), REFUSED)
def test_a_cell_that_says_nothing_of_its_kind_is_refused(
    holds: Holds, cell: Any, said: str
) -> None:
    column = Column("x", holds, words=("repair", "re_cover"))
    with pytest.raises(CellError, match=said):
        value_of(cell, column, NUMBERS.styles[0] if holds is not Holds.DATE else DATES.styles[0])


@pytest.mark.parametrize(
    ("holds", "cell", "value"),
    [
        (Holds.LINE, 55.0, "55"),
        (Holds.LINE, " F1 ", "F1"),
        (Holds.TEXT, "=1+1", "=1+1"),
        (Holds.WORD, "Re-Cover", "re_cover"),
        (Holds.NUMBER, 0.1, Decimal("0.1")),
        (Holds.NAMES, "a, b,,c", ["a", "b", "c"]),
        (Holds.YES_NO, "X", True),
        (Holds.DATE, "2026-04-03 00:00:00", date(2026, 4, 3)),
    ],
)
def test_a_cell_says_what_its_column_holds(holds: Holds, cell: Any, value: Any) -> None:
    assert value_of(cell, Column("x", holds, words=("re_cover",)), "point") == value


def told(text: str, **styles: str) -> Telling:
    grid = read_grid(text.encode())
    names = [one or None for one in text.splitlines()[0].split(";")]
    return tell(grid, 0, FINDINGS, names, styles)


def test_what_can_be_read_in_two_ways_is_asked_and_the_answer_counts_where_it_is_needed() -> None:
    text = "id;seen_on;decided_on;quantity\nF1;03/04/2026;13/05/2026;1.500\n"
    asked = told(text)
    assert [(one.about, one.columns, one.example) for one in asked.questions] == [
        ("dates", ("seen_on",), "03/04/2026"), ("decimals", ("quantity",), "1.500"),
    ]  # fmt: skip
    assert asked.rows == ()
    (row,) = told(text, dates="month_first", decimals="comma").rows
    assert dict(row.values) == {
        "id": "F1", "seen_on": date(2026, 3, 4), "decided_on": date(2026, 5, 13),
        "quantity": Decimal(1500),
    }  # fmt: skip


def test_every_wrong_cell_is_named_with_its_row_and_empty_cells_say_nothing() -> None:
    found = told("id;grade;labelled\nF1;bad;maybe\n;3;\nF3;;\nF4;4;yes\n")
    assert [(one.row, one.column, one.value) for one in found.problems] == [
        (2, "grade", "bad"), (2, "labelled", "maybe"), (3, "id", ""),
    ]  # fmt: skip
    assert [dict(one.values) for one in found.rows] == [
        {"id": "F3"}, {"id": "F4", "grade": 4, "labelled": True},
    ]  # fmt: skip
