"""Hours that were entered stand on the card of their task, and with whose they are."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.model import Calendar, Crew, HoursWorked, Plan
from ribstitch.services.views.hours_worked import HoursSum, Slot, slots_of
from ribstitch.services.views.task_card import task_card
from ribstitch.services.views.task_view import task_view
from ribstitch.services.views.today import today
from tests.services.views.plans import current_of, hangar, with_task

WEEKEND = Calendar("weekend", day_hours=6, week_hours=(0, 0, 0, 0, 0, 6, 6))
FRIDAY, THURSDAY = date(2026, 1, 9), date(2026, 1, 8)


def entry(key: str, on: date, hours: str, task: str = "frame", label: str = "") -> HoursWorked:
    """Return an entry of hours."""
    return HoursWorked(key, task, on, Decimal(hours), label=label)


def worked(*entries: HoursWorked, **changes: object) -> Plan:
    """Return the hangar with a timesheet."""
    return hangar(hours=entries, **changes)


def test_card_sums_the_as_of_date_and_all_dates_exactly() -> None:
    """Ten entries of a tenth of an hour are one hour, not nearly one; other tasks do not count."""
    tenths = [entry(f"H{number}", FRIDAY, "0.10") for number in range(10)]
    others = [entry("old", THURSDAY, "5.25"), entry("skin", FRIDAY, "3", "skin")]
    card = task_card(current_of(worked(*tenths, *others)), "frame")
    assert (card.hours.today, card.hours.so_far) == ("1", "6.25")


def test_planned_hours_are_days_times_the_hours_of_a_day_times_people() -> None:
    """Four days of eight hours, for two people; the sweep keeps the weekend's calendar."""
    plan = hangar(calendars=(Calendar("shop"), WEEKEND))
    frame = next(task for task in plan.tasks if task.id == "frame")
    two = replace(plan, tasks=with_task(plan, replace(frame, people=2)))
    assert task_card(current_of(two), "frame").hours == HoursSum("0", "0", 64)
    assert task_card(current_of(two), "sweep").hours.planned == 6


def test_whole_tens_of_hours_keep_their_zero() -> None:
    assert task_card(current_of(worked(entry("H1", FRIDAY, "10"))), "frame").hours.today == "10"


def test_task_lists_its_entries_the_latest_first() -> None:
    plan = worked(
        entry("H1", THURSDAY, "2", label="Metalworker 1"),
        entry("H2", FRIDAY, "4.50", label="Metalworker 1"),
        entry("H3", FRIDAY, "1", "skin"),
    )
    view = task_view(current_of(plan), "frame")
    lines = [(one.key, one.on, one.hours, one.label, one.version) for one in view.hours_lines]
    assert lines == [
        ("H2", FRIDAY, "4.5", "Metalworker 1", 1),
        ("H1", THURSDAY, "2", "Metalworker 1", 1),
    ]
    assert view.hours == HoursSum("4.5", "6.5", 32)
    assert view.people == [Slot("Metalworker 1", "metal", 8)]


@pytest.mark.parametrize(
    ("row", "labels"),
    [
        (Crew("wood", label="Joiner"), ["Joiner"]),
        (Crew("wood", 3, label="Joiner"), ["Joiner 1", "Joiner 2", "Joiner 3"]),
        (Crew("wood"), ["wood 1"]),
        (Crew("wood", 2), ["wood 1", "wood 2"]),
        (Crew("wood", 0, label="Joiner"), []),
        (Crew("wood", 13, label="Club"), ["Club"]),
    ],
)
def test_people_of_a_crew_entry_are_told_apart(row: Crew, labels: list[str]) -> None:
    current = current_of(hangar(crew=(row,)))
    assert [one.label for one in slots_of(current, "wood")] == labels


def test_somebody_with_two_trades_stands_under_each_with_a_full_day_of_their_calendar() -> None:
    calendars = (Calendar("shop"), WEEKEND)
    crew = (
        Crew("metal", label="A"),
        Crew("help", calendar="weekend", label="B"),
        Crew("paint", label="A"),
    )
    current = current_of(hangar(crew=crew, calendars=calendars))
    assert today(current).people == [
        Slot("A", "metal", 8),
        Slot("B", "help", 6),
        Slot("A", "paint", 8),
    ]
    assert slots_of(current, "help") == [Slot("B", "help", 6)]
    assert slots_of(current, "elec") == []
