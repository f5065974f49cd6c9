"""Plans at the edge of what can be said: late legs, today's dates, nothing left, too much."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest

from ribstitch.money import joint_chance
from ribstitch.money.at_completion import CostRuns
from ribstitch.planning.activities import floor_of
from ribstitch.planning.errors import HorizonError
from ribstitch.planning.model import (
    Milestone,
    Plan,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Vendor,
    Zone,
)
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty import find_causes, pace_of, simulate
from ribstitch.planning.uncertainty.courses import Draw, Factor, Step
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.shapes import POINTS
from tests.core.making import MONDAY, link, status, task, ticks
from tests.core.making_uncertain import Floats, plain_days, ranged

TODAY = date(2026, 3, 2)
LIKELY = 5.0
"""Days of the one leg that is drawn in `away`."""


def away(leg: str, **dates: date) -> Plan:
    """Return a plan on elapsed time that ends when an item is back, with one leg of 5 days."""
    kind = SendOutKind("k", over_median=1.0, over_p90=1.2, rejected=0.0)
    item = SendOut(
        "S",
        vendor="v",
        kind="k",
        before=("back",),
        intake=ticks(1),
        approval=ticks(LIKELY) if leg == "approval" else 0,
        lead=ticks(LIKELY) if leg == "lead" else 0,
        status=SendOutStatus(**dates),
    )
    back = task("back", 0, milestone=Milestone.FINISH)
    found = plain_days([back], as_of=TODAY, vendors=[Vendor("v")], kinds=[kind], send_outs=[item])
    return replace(found, calendars=())


def days_left(one: Plan, runs: int = 2_000) -> Floats:
    """Return the days from the as-of date to the finish of each run."""
    found: Floats = (simulate(one, runs=runs).finish - floor_of(one)) / TICKS_PER_DAY
    return found


def test_leg_that_is_overdue_is_not_over_today() -> None:
    """An approval of 5 days that is out for 40 days goes on for a while, nobody knows how long."""
    arrived, quoted = TODAY - timedelta(60), TODAY - timedelta(41)
    left = days_left(away("approval", arrived=arrived, quoted=quoted))
    assert left.min() > 0
    assert left.std() > 1
    assert float(np.median(left)) > 2


@pytest.mark.parametrize("leg", ["approval", "lead"])
def test_leg_that_begins_with_todays_date_begins_where_the_schedule_begins_it(leg: str) -> None:
    """What is recorded for today is over at the end of today, so the leg takes 1 + 5 days."""
    event = {"approval": "quoted", "lead": "approved"}[leg]
    one = away(leg, **{event: TODAY})
    planned = (schedule(one).project_finish - floor_of(one)) / TICKS_PER_DAY
    assert planned == 1 + LIKELY
    assert float(np.median(days_left(one))) == pytest.approx(planned, abs=0.15)
    assert days_left(one).min() > 1


def test_finished_task_whose_range_is_nothing_tells_by_its_days() -> None:
    done = status("done", started=MONDAY, finished=date(2026, 1, 7))
    finished = ranged("A", 0, 0, 0, zone="hull", status=done)
    one = plain_days(
        [replace(finished, duration=ticks(3))], zones=[Zone("hull")], zone_spread=0.2, as_of=TODAY
    )
    prepared = schedule(one).prepared
    unranged = replace(one, tasks=(replace(one.tasks[0], duration_range=None),))
    assert pace_of(one, prepared).summary == pace_of(unranged, prepared).summary


def test_hidden_work_of_finished_tasks_is_not_taken_for_pace_as_well() -> None:
    """Eight tasks took 1.4 times their 10 days where 40 % is hidden: the next takes 14, not 19."""
    fortnight = status("done", started=MONDAY, finished=MONDAY + timedelta(13))
    finished = [ranged(f"D{n}", 8, 10, 13, zone="hull", status=fortnight) for n in range(8)]
    zone = Zone("hull", hidden_work_percent=40)
    one = plain_days(
        [*finished, ranged("next", 8, 10, 13, zone="hull")],
        zones=[zone],
        zone_spread=0.2,
        as_of=TODAY,
    )
    assert float(days_left(one, 8_000).mean()) == pytest.approx(1.4 * 61 / 6, rel=0.02)
    seen = replace(one, zones=(replace(zone, hidden_work_percent=0.0),))
    assert float(days_left(seen, 8_000).mean()) > 13


@pytest.mark.parametrize("tasks", [1_500, 2_600])
def test_course_that_never_ends_is_refused_before_its_count_overflows(tasks: int) -> None:
    """3 million days by the tick are more than a 32-bit count holds, once or twice over."""
    names = [f"T{number}" for number in range(tasks)]
    works = [ranged(name, 1, 1, 7_000) for name in names]
    links = [link(names[0], names[1], lag=1 / TICKS_PER_DAY)]
    links += [link(a, b) for a, b in pairwise(names[1:])]
    with pytest.raises(HorizonError):
        simulate(plain_days(works, links), runs=20)


def test_work_beyond_all_counts_does_not_turn_negative() -> None:
    """Twenty years by the tick, in a zone that hides six times as much, at a quarter the pace."""
    years = np.full(POINTS, 20 * 366 * TICKS_PER_DAY, dtype=np.float64)
    step = Step(0, 0, 1, draw=Draw("task/A", years, ("hidden/hull", "zone/hull")))
    factors = {
        "hidden/hull": Factor(0.0, {}, hidden_share=5.0),
        "zone/hull": Factor(np.log(4.0), {"pace/zone/hull": 1.0}),
    }
    assert Luck(factors, 1, 5_000).work(step).min() > 0


def open_milestone(**fields: object) -> Plan:
    """Return a plan of which nothing but a milestone is left."""
    done = task("A", 2, status=status("done", started=MONDAY, finished=date(2026, 1, 6)))
    end = task("end", 0, milestone=Milestone.FINISH, **fields)
    return plain_days([done, end], [link("A", "end")], as_of=TODAY)


def test_open_project_is_finished_on_the_as_of_date_at_the_earliest() -> None:
    found = simulate(open_milestone(), runs=50)
    yesterday = TODAY - timedelta(1)
    assert found.finish_at(50) == TODAY
    assert found.chance_by(yesterday).probability == 0
    assert found.chance_by(TODAY).probability == 1
    costs = CostRuns("EUR", np.zeros(50, dtype=np.int64), certain=0, left_out=())  # type: ignore[arg-type]
    assert joint_chance(found, costs, yesterday, Decimal(1)).probability == 0
    assert joint_chance(found, costs, TODAY, Decimal(1)).probability == 1


@pytest.mark.parametrize(("deadline", "kept"), [(TODAY - timedelta(1), 0.0), (TODAY, 1.0)])
def test_deadline_before_the_as_of_date_is_missed(deadline: date, kept: float) -> None:
    found = simulate(open_milestone(deadline=deadline), runs=50)
    assert found.met_deadlines["end"].probability == kept


@pytest.mark.parametrize(
    "tasks",
    [
        [task("A", 2, status=status("done", started=MONDAY, finished=MONDAY))],
        [task("A", 2, status=status("dropped"))],
        [task("A", 0, milestone=Milestone.START), task("B", 0, milestone=Milestone.FINISH)],
        [ranged("A", 1, 3, 9, status=status("in_work", 0, started=MONDAY))],
        [],
    ],
    ids=["done", "dropped", "milestones", "no work left", "nothing"],
)
def test_plan_without_work_ends_as_written_and_has_no_causes(tasks: list[object]) -> None:
    one = plain_days(tasks, as_of=TODAY)  # type: ignore[arg-type]
    planned = schedule(one)
    found = simulate(one, runs=20)
    assert set(found.finish.tolist()) == {planned.project_finish}
    assert found.finish_at(50) == planned.finish_on
    assert find_causes(one, runs=20) == ()
