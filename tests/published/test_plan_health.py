"""
Plan health against published definitions and a planted network.

Sources: the critical path length index and its two worked figures are those of the Planning
& Scheduling Excellence Guide (National Defense Industrial Association). The baseline
execution index and the limits are those of the 14-point assessment of the US Defense
Contract Management Agency: the limit on missing links as an article about it gives it, the
others from memory. The planted network is our own, worked out by hand.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest

from ribstitch.planning.health.assessing import assess
from ribstitch.planning.health.check import Check
from ribstitch.planning.health.look import Look
from ribstitch.planning.model import Calendar, Milestone, Plan
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, day_number, link, plan, status, task, ticks

DAYS = {
    "T1": 10, "T2": 50, "T3": 20, "T4": 15, "T5": 8,
    "T6": 12, "T7": 30, "T8": 5, "T9": 10, "T10": 4,
}  # fmt: skip
TABLE = {
    "T1": (0, 10, 0, 10, 0),
    "T2": (10, 60, 26, 76, 16),
    "T3": (15, 35, 15, 35, 0),
    "T4": (10, 25, 26, 41, 16),
    "T5": (33, 41, 33, 41, 0),
    "T6": (0, 12, 59, 71, 59),
    "T7": (41, 71, 41, 71, 0),
    "T8": (71, 76, 76, 81, 5),
    "T9": (71, 81, 71, 81, 0),
    "T10": (77, 81, 77, 81, 0),
    "E": (81, 81, 81, 81, 0),
}
"""Early start and finish, late start and finish, total float. [working days]"""


def planted(target: date | None = None) -> Plan:
    """Return the planted network; each working day is one date, so that day n is n dates on."""
    tasks = [
        task("S", 0, milestone=Milestone.START),
        *(task(name, days, calendar="daily") for name, days in DAYS.items()),
        task("E", 0, milestone=Milestone.FINISH),
    ]
    tasks[9] = task("T9", 10, calendar="daily", deadline=on_day(81))
    links = [
        link("S", "T1"), link("T1", "T2"), link("T1", "T3", lag=5), link("T2", "T4", "SS"),
        link("T3", "T5", lag=-2), link("T4", "T7"), link("T5", "T7"), link("T7", "T8"),
        link("T7", "T9"), link("T6", "T9"), link("T9", "T10", "FF"), link("T10", "E"),
    ]  # fmt: skip
    return plan(
        tasks,
        links,
        calendar="daily",
        calendars=[Calendar("daily", week_hours=(8.0,) * 7)],
        project={"target_finish": target},
    )


def on_day(number: int) -> date:
    """Return the date whose end is so many working days after the start."""
    return MONDAY + timedelta(days=number - 1)


def found(plan: Plan, baseline: dict[str, date] | None = None) -> dict[str, Check]:
    """Return the checks of a plan by id."""
    return {one.rule.id: one for one in assess(schedule(plan), baseline)}


def names(check: Check) -> list[str]:
    """Return whom a check names."""
    return [one.id for one in check.offenders]


def test_planted_network_has_the_dates_worked_out_by_hand() -> None:
    result = schedule(planted())
    for name, row in TABLE.items():
        number = result.number(name)
        dates = [
            day_number(int(one[number]))
            for one in (result.start, result.finish, result.late_begin, result.late_finish)
        ]
        assert [*dates, int(result.total_float[number]) / 1440] == list(row), name


@pytest.mark.parametrize(
    ("check", "count", "of", "share", "ok", "whom"),
    [
        ("missing_links", 2, 10, Fraction(20, 100), False, ["T6", "T8"]),
        ("leads", 1, 12, Fraction(1, 12), False, ["T5"]),
        ("lags", 1, 12, Fraction(1, 12), False, ["T3"]),
        ("finish_start", 10, 12, Fraction(10, 12), False, ["T4", "T10"]),
        ("hard_dates", 1, 10, Fraction(10, 100), False, ["T9"]),
        ("long_tasks", 1, 10, Fraction(10, 100), False, ["T2"]),
        ("large_floats", 1, 10, Fraction(10, 100), False, ["T6"]),
        ("negative_floats", 0, 10, Fraction(0), True, []),
        ("dangling_finishes", 2, 10, Fraction(20, 100), False, ["T2", "T8"]),
        ("dangling_starts", 2, 10, Fraction(20, 100), False, ["T6", "T10"]),
        ("merge_points", 2, 10, Fraction(20, 100), None, ["T7", "T9"]),
    ],
)
def test_planted_faults_are_counted(
    check: str, count: int, of: int, share: Fraction, ok: bool | None, whom: list[str]
) -> None:
    one = found(planted())[check]
    assert (one.count, one.of, one.share) == (count, of, float(share))
    assert one.ok is ok
    assert names(one) == whom


def test_printed_percentages_come_out() -> None:
    """8.33 % of the links lead, 8.33 % lag, 83.33 % run from finish to start."""
    checks = found(planted())
    shares = [checks[name].share or 0 for name in ("leads", "lags", "finish_start")]
    assert [round(100 * share, 2) for share in shares] == [8.33, 8.33, 83.33]


def test_merge_points_say_how_many_come_together() -> None:
    notes = [one.note for one in found(planted())["merge_points"].offenders]
    assert notes == ["waits for 2", "waits for 2"]


def test_required_finish_of_75_takes_six_days_from_every_float() -> None:
    wanted = planted(target=on_day(75))
    look = Look(schedule(wanted))
    floats = {one.id: int(look.floats[number]) / 1440 for number, one in enumerate(look.activities)}
    assert floats.pop("S") == -6
    assert floats == {
        "T1": -6, "T3": -6, "T5": -6, "T7": -6, "T9": -6, "T10": -6, "E": -6,
        "T8": -1, "T2": 10, "T4": 10, "T6": 53,
    }  # fmt: skip
    checks = found(wanted)
    assert names(checks["negative_floats"]) == ["T1", "T3", "T5", "T7", "T9", "T10", "T8"]
    assert checks["negative_floats"].ok is False
    index = checks["path_length_index"]
    assert (index.count, index.of) == (75, 81)
    assert round(index.share or 0, 6) == 0.925926
    assert index.ok is False


@pytest.mark.parametrize(
    ("length", "spare", "index"), [(80, 20, Fraction(5, 4)), (800, 20, Fraction(41, 40))]
)
def test_critical_path_length_index_is_that_of_the_guide(
    length: int, spare: int, index: Fraction
) -> None:
    """80 days with 20 to spare give 1.25; 800 days with 20 to spare 1.025, printed as 1.03."""
    weeks, days = divmod(length + spare - 1, 5)
    target = MONDAY + timedelta(weeks=weeks, days=days)
    one = found(plan([task("all", length)], project={"target_finish": target}))["path_length_index"]
    assert one.share == float(index)
    assert one.ok


@pytest.mark.parametrize(("finished", "share", "ok"), [(19, 0.95, True), (18, 0.9, False)])
def test_baseline_execution_index_of_twenty_due(finished: int, share: float, ok: bool) -> None:
    """19 of 20 are on the limit and pass; 18 of 20 do not."""
    as_of = MONDAY + timedelta(weeks=4)
    done = status("done", started=MONDAY, finished=MONDAY)
    tasks = [
        task(f"T{number}", 1, **({"status": done} if number < finished else {}))
        for number in range(25)
    ]
    due = {
        f"T{number}": as_of if number < 20 else as_of + timedelta(days=1) for number in range(25)
    }
    index = found(plan(tasks, as_of=as_of), due)["execution_index"]
    assert (index.count, index.of, index.share) == (finished, 20, share)
    assert index.ok is ok
    assert names(index) == [f"T{number}" for number in range(finished, 20)]


def test_600_days_on_a_critical_task_move_the_finish_by_600_unless_it_is_named() -> None:
    """
    The trial of the 14-point assessment, done here by scheduling again.

    Only T10 swallows some: with its start tied to nothing, 604 days of it fit in from day 0 on,
    and the finish comes to day 604 in place of 681.
    """
    result, critical = schedule(planted()), ["T1", "T3", "T5", "T7", "T9", "T10"]
    moved = {}
    for name in critical:
        late = schedule(planted(), delays={name: ticks(600)})
        moved[name] = (late.project_finish - result.project_finish) / 1440
    assert moved == {**dict.fromkeys(critical, 600), "T10": 604 - 81}
    trial = found(planted())["path_absorbs_delay"]
    assert (trial.count, trial.of) == (1, 6)
    assert [(one.id, one.note) for one in trial.offenders] == [
        ("T10", "600 days more on it move the finish by 523 days")
    ]
