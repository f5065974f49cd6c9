"""Critical path networks of textbooks, every figure compared exactly.

The books count bare units of time; each network is computed on elapsed time, on a
five-day week and on a four-day week of ten hours, and counted back to units by numpy.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from ribstitch.planning.model import Milestone, Task
from ribstitch.planning.schedule import Schedule, schedule
from tests.core.making import MONDAY, link, plan, ticks
from tests.published.networks import (
    CALENDARS,
    UNITS,
    WEEK_MASKS,
    Network,
    Printed,
    arrows,
    figures,
    finish_start,
    unit,
)

FACTORY = finish_start("""
A -    2  0  2  0  2  0 0
B A    4  2  6  2  6  0 0
C B   10  6 16  6 16  0 0
D C    6 16 22 20 26  4 0
E C    4 16 20 16 20  0 0
F E    5 20 25 20 25  0 0
G D    7 22 29 26 33  4 0
H E,G  9 29 38 33 42  4 0
I C    7 16 23 18 25  2 2
J F,I  8 25 33 25 33  0 0
K J    4 33 37 34 38  1 1
L J    5 33 38 33 38  0 0
M H    2 38 40 42 44  4 4
N K,L  6 38 44 38 44  0 0
""")
"""CPM-1. Hillier & Lieberman, Introduction to Operations Research, chapter on project
management (the construction firm's network, weeks). From memory, recomputed; 44 weeks
and the path A-B-C-E-F-J-L-N agree with the book."""

SEVEN_ARROWS = arrows("""
1-2  7  0  7  2  9 2 0
1-3 10  0 10  0 10 0 0
2-4  6  7 13  9 15 2 2
3-4  5 10 15 10 15 0 0
3-5  4 10 14 14 18 4 4
4-5  3 15 18 15 18 0 0
5-6  2 18 20 18 20 0 0
""")
"""CPM-3. Taylor, Introduction to Management Science, chapter 8, problem 1. Early and late
times and slack as in the printed solutions; free floats recomputed, not printed."""

THIRTEEN_ARROWS = arrows("""
1-2  8  0  8  1  9  1  0
1-3 10  0 10  0 10  0  0
1-4  9  0  9  6 15  6  0
2-5  6  8 14  9 15  1  1
2-6  4  8 12 16 20  8  0
3-5  5 10 15 10 15  0  0
4-5  0  9  9 15 15  6  6
4-7  7  9 16 20 27 11 11
5-7 12 15 27 15 27  0  0
5-8 15 15 30 16 31  1  1
6-9 18 12 30 20 38  8  8
7-8  4 27 31 27 31  0  0
8-9  7 31 38 31 38  0  0
""")
"""CPM-4. Taylor, the same chapter, problem 2; arrow 4-5 is a dummy without length. Early
and late times and slack as printed; free floats recomputed, not printed."""

SITE_JOB = finish_start("""
A -    4  0  4  0  4  0  0
B -    3  0  3  9 12  9  9
C A    8  4 12  4 12  0  0
D A    7  4 11 15 22 11 10
E B,C  9 12 21 13 22  1  0
F B,C 12 12 24 12 24  0  0
G D,E  2 21 23 22 24  1  1
H D,E  5 21 26 25 30  4  4
I F,G  6 24 30 24 30  0  0
""")
"""CPM-5. Hendrickson, Project Management for Construction, chapter 10, nine activities.
From memory; 30 days and the path A-C-F-I agree, floats recomputed."""

FOUNDRY = finish_start("""
A -   2  0  2  0  2 0 0
B -   3  0  3  1  4 1 0
C A   2  2  4  2  4 0 0
D A,B 4  3  7  4  8 1 1
E C   4  4  8  4  8 0 0
F C   3  4  7 10 13 6 6
G D,E 5  8 13  8 13 0 0
H F,G 2 13 15 13 15 0 0
""")
"""CPM-6. Render, Stair & Hanna, Quantitative Analysis for Management, the foundry's
network. From memory, recomputed; 15 weeks and A-C-E-G-H agree."""

PLANTED = Network(
    tasks=(
        Task("S", 0, milestone=Milestone.START),
        *(
            Task(f"T{number}", ticks(days))
            for number, days in enumerate((10, 50, 20, 15, 8, 12, 30, 5, 10, 4), start=1)
        ),
        Task("E", 0, milestone=Milestone.FINISH),
    ),
    links=(
        link("S", "T1"), link("T1", "T2"), link("T1", "T3", lag=5), link("T2", "T4", "SS"),
        link("T3", "T5", lag=-2), link("T4", "T7"), link("T5", "T7"), link("T7", "T8"),
        link("T7", "T9"), link("T6", "T9"), link("T9", "T10", "FF"), link("T10", "E"),
    ),
    expected=(
        Printed("T1", 0, 10, 0, 10, 0), Printed("T2", 10, 60, 26, 76, 16),
        Printed("T3", 15, 35, 15, 35, 0), Printed("T4", 10, 25, 26, 41, 16),
        Printed("T5", 33, 41, 33, 41, 0), Printed("T6", 0, 12, 59, 71, 59),
        Printed("T7", 41, 71, 41, 71, 0), Printed("T8", 71, 76, 76, 81, 5),
        Printed("T9", 71, 81, 71, 81, 0), Printed("T10", 77, 81, 77, 81, 0),
        Printed("E", 81, 81, 81, 81, 0),
    ),
)  # fmt: skip
"""HC-3. A network planted with the faults that the schedule-assessment practices of GAO
(GAO-16-89G, 2015) ask about; worked by hand, no printed source."""

PRINTED = {
    "factory": (FACTORY, 44, "A B C E F J L N"),
    "seven arrows": (SEVEN_ARROWS, 20, "1-3 3-4 4-5 5-6"),
    "thirteen arrows": (THIRTEEN_ARROWS, 38, "1-3 3-5 5-7 7-8 8-9"),
    "site job": (SITE_JOB, 30, "A C F I"),
    "foundry": (FOUNDRY, 15, "A C E G H"),
    "planted": (PLANTED, 81, "S T1 T3 T5 T7 T9 T10 E"),
}


def computed(network: Network, calendar: str, deadlines: dict[str, int] | None = None) -> Schedule:
    """Schedule a printed network; a deadline is a unit of time by which a task must end."""
    tasks = network.tasks
    if deadlines:
        week = WEEK_MASKS[calendar]
        last_days = {
            name: date.fromisoformat(str(np.busday_offset(MONDAY, last - 1, weekmask=week)))
            for name, last in deadlines.items()
        }
        tasks = tuple(replace(one, deadline=last_days.get(one.id)) for one in tasks)
    return schedule(plan(tasks, network.links, calendar=calendar, calendars=CALENDARS))


@UNITS
@pytest.mark.parametrize("name", PRINTED)
def test_printed_dates_and_floats_come_out(name: str, calendar: str) -> None:
    network, finish, _ = PRINTED[name]
    result = computed(network, calendar)
    assert [figures(result, row, calendar) for row in network.expected] == list(network.expected)
    assert unit(result.project_finish, calendar) == finish


@UNITS
@pytest.mark.parametrize("name", PRINTED)
def test_printed_critical_path_comes_out(name: str, calendar: str) -> None:
    network, _, path = PRINTED[name]
    result = computed(network, calendar)
    assert [result.activities[at].id for at in result.critical_path] == path.split()


@UNITS
def test_finish_imposed_before_it_can_be_met_gives_negative_float(calendar: str) -> None:
    """CPM-2: CPM-1 with a finish of 40 imposed on both last tasks; derived, no print."""
    result = computed(FACTORY, calendar, {"M": 40, "N": 40})
    floats = {one.id: result.total_float[at] / 1440 for at, one in enumerate(result.activities)}
    assert floats == {
        **dict.fromkeys("ABCEFJLN", -4), **dict.fromkeys("DGHM", 0), "I": -2, "K": -3
    }  # fmt: skip
    early = [
        (unit(s, calendar), unit(f, calendar))
        for s, f in zip(result.start, result.finish, strict=True)
    ]
    assert early == [(row.early_start, row.early_finish) for row in FACTORY.expected]


@UNITS
def test_planted_network_with_a_required_finish_of_75(calendar: str) -> None:
    """HC-3 with 75 required of both last activities; derived, no print."""
    result = computed(PLANTED, calendar, {"E": 75, "T8": 75})
    floats = {one.id: result.total_float[at] / 1440 for at, one in enumerate(result.activities)}
    del floats["S"]
    assert floats == {
        **dict.fromkeys(["T1", "T3", "T5", "T7", "T9", "T10", "E"], -6),
        "T8": -1, "T2": 10, "T4": 10, "T6": 53,
    }  # fmt: skip
    assert unit(result.project_finish, calendar) == 81


@UNITS
def test_six_hundred_days_more_on_a_critical_task_move_the_finish_by_them(calendar: str) -> None:
    """The test of a critical path asked for by GAO-16-89G, practice 6 (600 days, as DCMA)."""
    for number, one in enumerate(FACTORY.tasks):
        longer = Task(one.id, one.duration + ticks(600))
        tasks = (*FACTORY.tasks[:number], longer, *FACTORY.tasks[number + 1 :])
        result = computed(Network(tasks, FACTORY.links, ()), calendar)
        moved = 600 - FACTORY.expected[number].total_float
        assert unit(result.project_finish, calendar) == 44 + moved
