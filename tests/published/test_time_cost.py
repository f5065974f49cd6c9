"""Time-cost trade-off: least cost against finish, as printed for three worked examples.

Reliable Construction: F. S. Hillier & G. J. Lieberman, Introduction to Operations Research,
the chapter on project management (normal 44 weeks for 4,550 thousand dollars; crashed to
40 weeks for 4,690 thousand). General Foundry: B. Render, R. M. Stair & M. E. Hanna,
Quantitative Analysis for Management (15 weeks for 308,000; 12 weeks for 3,750 more). Both
are well-known textbook figures, here from memory. The third is an exercise posted without
an answer. The full tables come from a general linear program (scipy's HiGHS), which
minimises slope times reduction over event times; nothing here was computed by this code.

Weeks stand as days of elapsed time, and every expedite is bought by the day.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from functools import partial

import numpy as np
import pytest
from scipy.optimize import linprog

from ribstitch.planning import pulling_in
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Expedite, Link, Plan, Task
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, plan, ticks

cheapest = partial(pulling_in.cheapest, seconds=60, clock=time.monotonic)
cost_curve = partial(pulling_in.cost_curve, seconds=60, clock=time.monotonic)


@dataclass(frozen=True)
class Example:
    """A network with what a week less of each activity costs, and the printed answer."""

    rows: tuple[tuple[str, str, int, int, int], ...]
    """Activity, predecessors, normal weeks, most weeks off, cost of a week off."""
    least: dict[int, int]
    """Least extra cost by finish week."""
    all_cost: int
    """What everything costs that can be bought."""

    def plan(self) -> Plan:
        """Return it as a plan."""
        return plan(
            [Task(name, ticks(weeks)) for name, _, weeks, _, _ in self.rows],
            [Link(one, name) for name, before, *_ in self.rows for one in before if one != "-"],
            calendar="elapsed",
            expedites=[
                Expedite(f"X-{name}", ticks(most), Decimal(slope), task=name, by_the_day=True)
                for name, _, _, most, slope in self.rows
                if most
            ],
        )


def example(table: str, least: str, all_cost: int) -> Example:
    """Read rows of ``activity preds weeks crashed slope`` and pairs of ``week cost``."""
    rows = [line.split() for line in table.strip().splitlines()]
    numbers = [int(one) for one in least.split()]
    return Example(
        tuple((n, p, int(w), int(w) - int(c), int(s)) for n, p, w, c, s in rows),
        dict(zip(numbers[::2], numbers[1::2], strict=True)),
        all_cost,
    )


RELIABLE = example(
    """
    A -  2 1 100
    B A  4 2 50
    C B 10 7 80
    D C  6 4 40
    E C  4 3 160
    F E  5 3 40
    G D  7 4 40
    H EG 9 6 60
    I C  7 5 30
    J FI 8 6 30
    K J  4 3 40
    L J  5 3 50
    M H  2 1 100
    N KL 6 3 60
    """,
    "44 0 43 30 42 60 41 100 40 140 39 190 38 240 37 320 36 400 35 480 34 570 33 670 32 770 "
    "31 870 30 970 29 1100 28 1350",
    1600,
)
FOUNDRY = example(
    """
    A -  2 1 750
    B -  3 1 2000
    C A  2 1 1000
    D AB 4 3 1000
    E C  4 2 1000
    F C  3 2 500
    G DE 5 2 1500
    H FG 2 1 3000
    """,
    "15 0 14 750 13 2250 12 3750 11 5250 10 7250 9 10250 8 13250 7 16250",
    750 + 4000 + 1000 + 1000 + 2000 + 500 + 4500 + 3000,
)
POSTED = example(
    """
    A -   5  4 100
    B A  10  6 200
    C A  13 11 600
    D B   3  1 150
    E BD  9  8 400
    F C  10  8 1500
    G EF  5  5 0
    """,
    "33 0 32 100 31 700 30 1450 29 3100 28 4800",
    100 + 800 + 1200 + 300 + 400 + 3000,
)
EXAMPLES = pytest.mark.parametrize(
    "printed", [RELIABLE, FOUNDRY, POSTED], ids=["reliable", "foundry", "posted"]
)


@EXAMPLES
def test_the_curve_is_the_printed_table(printed: Example) -> None:
    found = cost_curve(printed.plan())
    table = {(one.finish_on - MONDAY).days + 1: one.cost for one in found}
    assert table == printed.least
    assert all(one.is_proven for one in found)


@EXAMPLES
def test_each_finish_is_reached_for_the_printed_cost(printed: Example) -> None:
    made = printed.plan()
    for week, cost in printed.least.items():
        found = cheapest(made, MONDAY + timedelta(days=week - 1))
        assert found.cost == cost
        assert found.is_proven


@EXAMPLES
def test_a_week_less_than_the_last_is_refused(printed: Example) -> None:
    last = min(printed.least)
    with pytest.raises(InvalidValueError) as refused:
        cheapest(printed.plan(), MONDAY + timedelta(days=last - 2))
    earliest = MONDAY + timedelta(days=last - 1)
    cost = printed.least[last]
    assert refused.value.reason.endswith(f"the earliest finish is {earliest}, for {cost} EUR")


@EXAMPLES
def test_taking_everything_wastes_money(printed: Example) -> None:
    """Reliable Construction: 28 weeks need 1,350 more, and everything together is 1,600."""
    assert pulling_in.cost_of_all(printed.plan()) == printed.all_cost > max(printed.least.values())


def test_forty_weeks_come_from_two_activities() -> None:
    """Hillier & Lieberman: two weeks off J and two off F, and nothing else."""
    found = cheapest(RELIABLE.plan(), MONDAY + timedelta(days=39))
    assert {one.expedite: one.days for one in found.taken} == {"X-J": 2, "X-F": 2}


@EXAMPLES
def test_a_general_linear_program_agrees(printed: Example) -> None:
    """Variables are starts and reductions; at whole finishes its least is whole here."""
    names = [row[0] for row in printed.rows]
    count = len(names)
    weeks = {row[0]: row[2] for row in printed.rows}
    for finish, cost in printed.least.items():
        left, right = [], []
        for place, (name, before, *_) in enumerate(printed.rows):
            for one in [*before.replace("-", ""), None]:
                line = np.zeros(2 * count)
                if one is None:  # start + weeks - reduction <= finish
                    line[place], line[count + place] = 1, -1
                    right.append(finish - weeks[name])
                else:  # start of one + weeks - reduction <= own start
                    line[names.index(one)], line[count + names.index(one)] = 1, -1
                    line[place] = -1
                    right.append(-weeks[one])
                left.append(line)
        solved = linprog(
            [0] * count + [row[4] for row in printed.rows], np.array(left), right,
            bounds=[(0, None)] * count + [(0, row[3]) for row in printed.rows],
        )  # fmt: skip
        assert solved.fun == pytest.approx(cost)


def test_the_plan_itself_finishes_as_printed() -> None:
    finishes = [schedule(one.plan()).finish_on for one in (RELIABLE, FOUNDRY, POSTED)]
    assert [(day - MONDAY).days + 1 for day in finishes] == [44, 15, 33]
