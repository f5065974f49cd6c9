"""The title block of every sheet."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ribstitch.services.views.title_block import title_block
from tests.services.views.plans import current_of, hangar


def test_title_block_says_what_for_when_and_how_late() -> None:
    """Accepted on Mon 2 February, hung by Thu 5: fifteen days before the wanted date."""
    seen = title_block(current_of(hangar()))
    assert (seen.project, seen.aircraft, seen.serial) == ("Trial", "Amphibian", "LM2-7")
    assert (seen.as_of, seen.finish) == (date(2026, 1, 9), date(2026, 2, 5))
    assert (seen.target_finish, seen.late_days) == (date(2026, 2, 20), -15)
    assert seen.plan_version == 1


def test_what_is_critical_is_counted() -> None:
    """The vendor's work, the way back, accepting, hanging, the flight."""
    assert title_block(current_of(hangar())).critical_count == 5


def test_without_a_wanted_date_nothing_is_late() -> None:
    plan = hangar()
    open_ended = replace(plan, project=replace(plan.project, target_finish=None))
    assert title_block(current_of(open_ended)).late_days is None
