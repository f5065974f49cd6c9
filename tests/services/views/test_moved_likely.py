"""How the likely date moved: only where it was logged for the plan that is compared with."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from ribstitch.services.views.moved_likely import with_likely
from ribstitch.services.views.moved_shape import MovedSince
from ribstitch.services.views.statement_shape import Moved
from ribstitch.store import LoggedSpread

WRITTEN, NOW = date(2027, 3, 1), date(2027, 3, 8)


def spread(version: int, finish: date, likely: date) -> LoggedSpread:
    """Return an entry of the log."""
    later = likely + timedelta(days=30)
    return LoggedSpread(
        version, date(2026, 10, 9), finish, finish, likely, later, later, None, 500, 1, 1
    )


def moved_a_week() -> MovedSince:
    """Return what moved the date as written by 7 days since version 4."""
    moved = Moved(
        date(2026, 10, 9), 4, WRITTEN, NOW, 7, "1.00", "1.00", "0.00", "It moved.", [], []
    )
    return MovedSince(moved, None, [], is_exact=True)


@pytest.mark.parametrize(
    ("versions", "likely", "days", "surer"),
    [
        ([4], date(2027, 4, 11), 10, 3),
        ([1, 3], date(2027, 4, 6), 5, -2),
        ([3, 6], date(2027, 4, 1), 0, -7),
        ([6], date(2027, 4, 11), None, None),
        ([4], None, None, None),
    ],
    ids=[
        "logged",
        "not news since",
        "a later one",
        "not logged",
        "not known yet",
    ],
)
def test_it_is_told_by_the_last_entry_up_to_the_earlier_plan(
    versions: list[int], likely: date | None, days: int | None, surer: int | None
) -> None:
    """By hand: the likely date was 1 April; the date as written moved by 7 days."""
    log = [spread(one, WRITTEN, date(2027, 4, 1)) for one in versions]
    found = with_likely(moved_a_week(), log, 4, likely).likely
    assert (found and found.days, found and found.surer_days) == (days, surer)


def test_an_entry_from_before_the_date_as_written_moved_does_not_count() -> None:
    log = [spread(3, date(2027, 2, 22), date(2027, 4, 1))]
    assert with_likely(moved_a_week(), log, 4, date(2027, 4, 11)).likely is None
