"""What an hour costs, what was worked, what is still to be worked: by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from ribstitch.money.labour import (
    hours_of_work,
    rates_of,
    timesheet,
    work_done,
    work_to_go,
    worked_ticks,
)
from ribstitch.planning.model import Calendar, Crew, HoursWorked, Plan, RateFrom
from ribstitch.planning.schedule import schedule
from tests.core.costed import AS_OF, METAL, costed
from tests.core.making import SHOP, status, task, ticks

FEBRUARY, MARCH_1, APRIL = date(2026, 2, 20), date(2026, 3, 1), date(2026, 4, 1)
DEARER = (RateFrom(MARCH_1, Decimal(50)), RateFrom(APRIL, Decimal("52.50")))


def crewed(*crew: Crew, **fields: Any) -> Plan:
    """Return a plan with a crew."""
    return costed(crew=crew, **fields)


def of_trade(*crew: Crew, on: date = AS_OF) -> Fraction:
    """Return what an hour of metalwork costs with a crew."""
    return rates_of(crewed(*crew)).of_trade("metal", on)


@pytest.mark.parametrize(
    ("on", "rate"),
    [
        (FEBRUARY, "48"),
        (date(2026, 2, 28), "48"),
        (MARCH_1, "50"),
        (date(2026, 3, 31), "50"),
        (APRIL, "52.5"),
        (date(2027, 1, 1), "52.5"),
    ],
)
def test_a_rate_holds_from_its_date_on(on: date, rate: str) -> None:
    assert of_trade(Crew("metal", rate=Decimal(48), rates=DEARER), on=on) == Fraction(rate)


@pytest.mark.parametrize(
    ("crew", "rate"),
    [
        ([METAL], 48),
        ([METAL, Crew("metal", rate=Decimal(30))], 39),
        ([METAL, Crew("metal", people=3)], 12),
        ([METAL, Crew("metal", people=3, rate=Decimal(0))], 12),
        ([METAL, Crew("metal", people=2, rates=DEARER)], Fraction(148, 3)),
        ([METAL, Crew("metal", people=0, rate=Decimal(90))], 48),
        ([Crew("metal", people=0, rate=Decimal(48))], 48),
        ([METAL, Crew("engine", rate=Decimal(90))], 48),
    ],
)
def test_hours_of_a_trade_are_shared_by_head(crew: list[Crew], rate: Fraction) -> None:
    """From 1 March two at 50 and one at 48 are 148 for three."""
    assert of_trade(*crew) == rate


def test_a_trade_is_priced_if_somebody_is_ever_paid() -> None:
    made = crewed(
        Crew("help", rate=Decimal(0)),
        Crew("wood"),
        Crew("trim", rates=(RateFrom(APRIL, Decimal(20)),)),
        Crew("glass", rates=(RateFrom(APRIL, Decimal(0)),)),
        METAL,
        Crew("metal"),
    )
    rates = rates_of(made)
    assert rates.trades == ("trim", "metal")
    assert not any(map(rates.knows, ("help", "wood", "glass", "paint", None)))
    assert rates.of_trade("trim", AS_OF) == 0
    assert rates.of_trade("trim", APRIL) == 20


@pytest.mark.parametrize(
    ("label", "rate"),
    [
        ("Old hand", 60),
        ("Apprentice", 20),
        ("Apprentice 1", 20),
        ("Apprentice 2", 20),
        ("Apprentice 3", Fraction(100, 3)),
        ("Apprentice 0", Fraction(100, 3)),
        ("Apprentice two", Fraction(100, 3)),
        ("Mechanic 1", Fraction(100, 3)),
        ("", Fraction(100, 3)),
    ],
)
def test_a_person_slot_costs_its_own_rate_and_anybody_else_the_trades(
    label: str, rate: Fraction
) -> None:
    """One at 60 and two at 20 are 100 for three; the mechanic is of another trade."""
    made = crewed(
        Crew("metal", label="Old hand", rate=Decimal(60)),
        Crew("metal", people=2, label="Apprentice", rate=Decimal(20)),
        Crew("engine", label="Mechanic 1", rate=Decimal(46)),
    )
    assert rates_of(made).of_slot("metal", label, AS_OF) == rate


def test_people_without_a_label_are_called_by_their_trade() -> None:
    made = crewed(METAL, Crew("metal", people=2, rate=Decimal(30)))
    assert rates_of(made).of_slot("metal", "metal 1", AS_OF) == 48
    assert rates_of(made).of_slot("metal", "metal 2", AS_OF) == 30


def test_the_timesheet_is_priced_by_person_trade_and_date() -> None:
    """2 h of the old hand before 1 March, 1.5 h of engine work, 4 h of nobody in particular."""
    made = crewed(
        Crew("metal", label="Old hand", rate=Decimal(60), rates=DEARER),
        Crew("metal", label="Apprentice", rate=Decimal(20)),
        Crew("engine", rate=Decimal(46)),
        tasks=[task("A", trade="metal"), task("B")],
        hours=[
            HoursWorked("1", "A", FEBRUARY, Decimal(2), label="Old hand"),
            HoursWorked("2", "A", AS_OF, Decimal("1.5"), trade="engine", label="Old hand"),
            HoursWorked("3", "B", AS_OF, Decimal(4), trade="metal"),
            HoursWorked("4", "B", AS_OF, Decimal(8)),
            HoursWorked("5", "A", AS_OF, Decimal(8), trade="help"),
        ],
    )
    found = {entry.id: one for entry, one in timesheet(made, rates_of(made))}
    assert {name: one.cost for name, one in found.items()} == {"1": 120, "2": 69, "3": 140}
    assert (found["2"].hours, found["2"].on, found["2"].task.id) == (Fraction(3, 2), AS_OF, "A")


def test_hours_stand_for_work_on_the_calendar_of_the_task() -> None:
    """A day of 7.6 hours of two people is 15.2 hours, and not a binary float beside it."""
    made = costed(
        calendars=[SHOP, Calendar("short", day_hours=7.6, week_hours=(7.6,) * 7)],
        tasks=[task("A"), task("B", people=2, calendar="short"), task("C", calendar="elapsed")],
    )
    per_day = {name: hours * 1440 for name, hours in hours_of_work(made).items()}
    assert per_day == {"A": 8, "B": Fraction("15.2"), "C": 8}


@pytest.mark.parametrize(
    ("state", "done"),
    [
        (status("not_started"), 0),
        (status("in_work", started=FEBRUARY), 0),
        (status("in_work", 3, started=FEBRUARY), 2),
        (status("in_work", 7, started=FEBRUARY), 0),
        (status("held", 1, started=FEBRUARY), 4),
        (status("done", finished=FEBRUARY), 5),
        (status("dropped"), 0),
        (status("dropped", 1, started=FEBRUARY), 0),
    ],
)
def test_worked_is_what_does_not_remain(state: Any, done: int) -> None:
    assert worked_ticks(task("A", 5, status=state)) == ticks(done)


def test_work_without_hours_costs_its_planned_ones_at_the_rate_of_its_end() -> None:
    """Done on 20 February at 48; under way, at the 50 of the as-of date."""
    made = crewed(
        Crew("metal", rate=Decimal(48), rates=DEARER),
        tasks=[
            task("done", 2, trade="metal", status=status("done", finished=FEBRUARY)),
            task("begun", 5, trade="metal", status=status("in_work", 4, started=FEBRUARY)),
            task("entered", 5, trade="metal", status=status("done", finished=FEBRUARY)),
            task("not begun", 5, trade="metal"),
            task("unpriced", 5, trade="trim", status=status("done", finished=FEBRUARY)),
            task("nobody's", 5, status=status("done", finished=FEBRUARY)),
        ],
        hours=[HoursWorked("H", "entered", FEBRUARY, Decimal(1))],
    )
    done = work_done(made, rates_of(made))
    found: list[tuple[object, ...]] = [(one.task.id, one.on, one.hours, one.cost) for one in done]
    assert found == [("done", FEBRUARY, 16, 768), ("begun", AS_OF, 8, 400)]


def to_go(made: Plan) -> list[tuple[object, ...]]:
    """Return task, last date, hours and cost of the work to go."""
    found = work_to_go(schedule(made), rates_of(made))
    return [(one.task.id, one.on, one.hours, one.cost) for one in found]


def test_work_to_go_falls_into_the_months_in_which_it_is_scheduled() -> None:
    """
    Thirty days from Monday 2 March: 22 in March, 8 in April to Friday the 10th.

    The rate rises on 1 April, so April's hours cost 52.50.
    """
    made = crewed(Crew("metal", rates=DEARER), tasks=[task("A", 30, trade="metal", people=2)])
    assert to_go(made) == [
        ("A", date(2026, 3, 31), 22 * 16, 22 * 16 * 50),
        ("A", date(2026, 4, 10), 8 * 16, 8 * 16 * Fraction("52.5")),
    ]


def test_a_rate_that_changes_within_a_month_divides_the_work() -> None:
    """Five days from Monday: two before Wednesday, three after."""
    rates = (RateFrom(date(2026, 3, 4), Decimal(60)),)
    made = crewed(Crew("metal", rate=Decimal(48), rates=rates), tasks=[task("A", 5, trade="metal")])
    assert to_go(made) == [
        ("A", date(2026, 3, 3), 16, 16 * 48),
        ("A", date(2026, 3, 6), 24, 24 * 60),
    ]


def test_a_change_on_a_day_off_or_at_the_very_end_divides_nothing() -> None:
    """Saturday; and the Monday after the work is over."""
    for day in (date(2026, 3, 7), date(2026, 3, 9)):
        crew = Crew("metal", rate=Decimal(48), rates=(RateFrom(day, Decimal(60)),))
        assert to_go(crewed(crew, tasks=[task("A", 5, trade="metal")])) == [
            ("A", date(2026, 3, 6), 40, 40 * 48)
        ]


def test_only_what_remains_is_to_go() -> None:
    made = costed(
        tasks=[
            task("begun", 5, trade="metal", status=status("in_work", 1.5, started=FEBRUARY)),
            task("done", 5, trade="metal", status=status("done", finished=FEBRUARY)),
            task("dropped", 5, trade="metal", status=status("dropped")),
            task("over", 5, trade="metal", status=status("in_work", 0, started=FEBRUARY)),
            task("unpriced", 5, trade="trim"),
            task("nobody's", 5),
        ]
    )
    assert to_go(made) == [("begun", date(2026, 3, 3), 12, 12 * 48)]


def test_a_delay_that_is_asked_about_is_work_to_go() -> None:
    made = costed(tasks=[task("A", 2, trade="metal")])
    (found,) = work_to_go(schedule(made, delays={"A": ticks(3)}), rates_of(made))
    assert (found.hours, found.on) == (Fraction(40), date(2026, 3, 6))
