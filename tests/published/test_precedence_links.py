"""Four kinds of links with lags and leads.

PDM-1 to PDM-4: no example was found in print that could be checked whole. They were
worked by hand and confirmed with a linear program (earliest: least sum of starts; latest:
greatest sum of starts with the finish fixed), which runs again here.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from ribstitch.planning.model import Link, Relation
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.making import plan
from tests.published.networks import CALENDARS, UNITS, Network, figures, precedence, unit

_LINKS = "A-B SS+2,A-C FS+1,B-D FF+3,C-E FS-2,B-E SS+4,C-D SF+{},D-F FS,E-F FF+2"
_DURATIONS = "A 6,B 8,C 5,D 4,E 7,F 3"

PDM_1 = precedence(_DURATIONS, _LINKS.format(7), """
A  0  6  0  6 0 0
B  2 10  5 13 3 1
C  7 12  7 12 0 0
D 10 14 12 16 2 2
E 10 17 10 17 0 0
F 16 19 16 19 0 0
""")  # fmt: skip
PDM_2 = precedence(_DURATIONS, _LINKS.format(9), """
A  0  6  0  6 0 0
B  2 10  5 13 3 3
C  7 12  7 12 0 0
D 12 16 12 16 0 0
E 10 17 10 17 0 0
F 16 19 16 19 0 0
""")  # fmt: skip
PDM_3 = precedence("P 10,Q 4,R 5", "P-Q SS+3,P-Q FF+2,Q-R FS", """
P  0 10  0 10 0
Q  8 12  8 12 0
R 12 17 12 17 0
""")  # fmt: skip
PDM_4 = precedence("P 3,Q 5", "P-Q FS-5", """
P 0 3 2 5 2
Q 0 5 0 5 0
""")  # fmt: skip
PRINTED = {"PDM-1": (PDM_1, 19), "PDM-2": (PDM_2, 19), "PDM-3": (PDM_3, 17), "PDM-4": (PDM_4, 5)}


def computed(network: Network, calendar: str) -> Schedule:
    """Schedule a network on one of the calendars."""
    return schedule(plan(network.tasks, network.links, calendar=calendar, calendars=CALENDARS))


@UNITS
@pytest.mark.parametrize("name", PRINTED)
def test_dates_and_floats_under_all_four_relations(name: str, calendar: str) -> None:
    network, finish = PRINTED[name]
    result = computed(network, calendar)
    assert [figures(result, row, calendar) for row in network.expected] == list(network.expected)
    assert unit(result.project_finish, calendar) == finish


@UNITS
def test_finish_link_drives_while_the_shop_waits(calendar: str) -> None:
    """PDM-1: F is driven by E's finish; between D's finish and F's start nobody works."""
    result = computed(PDM_1, calendar)
    at = result.number
    assert result.drivers[at("F")] == (at("E"),)
    assert unit(result.start[at("F")], calendar) - unit(result.finish[at("D")], calendar) == 2


@UNITS
def test_all_but_one_are_critical_when_the_start_finish_lag_grows(calendar: str) -> None:
    """PDM-2."""
    result = computed(PDM_2, calendar)
    critical = {one.id for at, one in enumerate(result.activities) if result.is_critical(at)}
    assert critical == set("ACDEF")


@UNITS
def test_finish_link_of_a_ladder_drives_and_not_the_start_link(calendar: str) -> None:
    """PDM-3: of the two links P-Q it is the second that drives."""
    assert computed(PDM_3, calendar).driving.tolist() == [False, True, True]


def program(network: Network, finish: int | None = None) -> list[int]:
    """Return earliest starts by linear programming, or latest ones for a given finish."""
    number = {one.id: at for at, one in enumerate(network.tasks)}
    length = np.array([one.duration // TICKS_PER_DAY for one in network.tasks])
    rows, limits = [], []
    for one in network.links:
        before, after = number[one.before], number[one.after]
        offset = one.lag // TICKS_PER_DAY
        offset += length[before] * _from_finish(one) - length[after] * _to_finish(one)
        row = np.zeros(len(length))
        row[before], row[after] = 1, -1
        rows.append(row)
        limits.append(-offset)
    upper = [None if finish is None else finish - one for one in length]
    sign = 1 if finish is None else -1
    answer = linprog(
        sign * np.ones(len(length)),
        A_ub=np.array(rows),
        b_ub=np.array(limits),
        bounds=[(0, one) for one in upper],
        method="highs",
    )
    assert answer.status == 0, answer.message
    return [round(one) for one in answer.x]


def _from_finish(one: Link) -> bool:
    return one.relation in (Relation.FINISH_START, Relation.FINISH_FINISH)


def _to_finish(one: Link) -> bool:
    return one.relation in (Relation.FINISH_FINISH, Relation.START_FINISH)


@pytest.mark.parametrize("name", PRINTED)
def test_linear_program_agrees_with_the_worked_examples(name: str) -> None:
    """The examples themselves, confirmed by scipy's HiGHS without our passes."""
    network, finish = PRINTED[name]
    assert program(network) == [row.early_start for row in network.expected]
    assert program(network, finish) == [row.late_start for row in network.expected]
