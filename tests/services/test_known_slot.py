"""Hours are entered for somebody of the crew; who left it keeps those that are there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Crew, HoursWorked
from ribstitch.services.known_slot import refuse_unknown_slot
from tests.services.views.plans import hangar

PLAN = hangar(crew=(Crew("metal", 2, label="Metalworker"), Crew("help")))
ENTRY = HoursWorked("H1", "frame", date(2026, 1, 9), Decimal(3))


@pytest.mark.parametrize("label", ["", "Metalworker", "Metalworker 2", "help 1"])
def test_whom_the_crew_knows_can_have_hours(label: str) -> None:
    refuse_unknown_slot(PLAN, None, replace(ENTRY, label=label))


@pytest.mark.parametrize("label", ["Metalworker 3", "Smith", "metal 1", "help"])
def test_whom_the_crew_does_not_know_is_named(label: str) -> None:
    with pytest.raises(InvalidValueError, match=f'^label: nobody of the crew is called "{label}"$'):
        refuse_unknown_slot(PLAN, ENTRY, replace(ENTRY, label=label))


def test_entry_of_somebody_who_left_can_still_be_put_right() -> None:
    old = replace(ENTRY, label="Smith")
    refuse_unknown_slot(PLAN, old, replace(old, hours=Decimal(4)))
