"""What the views tell of a simulation: spreads and criticality of open work alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from ribstitch.planning.ticks import TICKS_PER_DAY, end_of
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.away import away
from ribstitch.services.views.chase import chase_lines
from ribstitch.services.views.schedule_view import schedule_view
from ribstitch.services.views.sureness import back_of, criticality_of, spreads_of
from ribstitch.services.views.today import today
from tests.services.views.plans import current_of, hangar

LATE_DAYS = (-1, 2, 5, 9)
"""How much later than written everything ends at P10, P50, P80 and P90."""


def simulated(current: CurrentPlan) -> Simulation:
    """Return a made-up simulation: every end moves alike; criticality counts up by a hundredth."""
    schedule = current.schedule
    late = np.array(LATE_DAYS, dtype=np.int64) * TICKS_PER_DAY
    return Simulation(
        planned=schedule,
        runs=4,
        seed=1,
        finish=schedule.project_finish + late,
        percentile_finishes=schedule.finish[:, None] + late,
        criticality=np.arange(len(schedule.activities)) / 100,
        vendor_criticality={"V1": 0.37},
        met_deadlines={},
        crew_hours={},
    )


def moved(written: date) -> Spread:
    """Return the spread of something that ends on a date as written."""
    ordinals = (written.toordinal() + days for days in LATE_DAYS)
    return Spread(*map(date.fromordinal, ordinals))


def test_open_activities_have_a_spread_and_the_rest_has_none() -> None:
    """The survey is done and the spare is dropped; what was shipped is not open either."""
    current = current_of(hangar())
    open_ids = spreads_of(current, simulated(current)).keys()
    assert not open_ids & {"survey", "spare", "S1/prepare", "S1/ship_out"}
    assert {"frame", "flight", "S1/vendor_work", "S1/accept"} <= open_ids


def test_nothing_is_told_while_the_simulation_runs() -> None:
    current = current_of(hangar())
    assert spreads_of(current, None) == {}
    assert criticality_of(current, None, [1]) is None
    assert back_of(current, None, current.plan.send_outs[0]) is None
    assert {line.spread for line in schedule_view(current).activities} == {None}
    assert {line.criticality for line in schedule_view(current).activities} == {None}
    assert {line.back for line in away(current).send_outs} == {None}


def test_criticality_of_several_is_the_largest_of_those_that_are_open() -> None:
    current = current_of(hangar())
    simulation = simulated(current)
    number = current.schedule.number
    done, low, high = number("S1/prepare"), number("cover"), number("hang")
    assert criticality_of(current, simulation, [high, low]) == high / 100
    assert criticality_of(current, simulation, [low, done]) == low / 100
    assert criticality_of(current, simulation, [done]) is None


def test_the_schedule_tells_spread_and_criticality_of_each_line() -> None:
    """Covering ends on Mon 19 January as written."""
    current = current_of(hangar())
    view = schedule_view(current, simulated(current))
    lines = {line.id: line for line in view.activities}
    assert lines["cover"].spread == moved(date(2026, 1, 19))
    assert lines["cover"].criticality == current.schedule.number("cover") / 100
    assert (lines["survey"].spread, lines["survey"].criticality) == (None, None)


def test_the_board_tells_when_each_item_may_be_accepted() -> None:
    current = current_of(hangar())
    board = away(current, simulated(current))
    engine = next(line for line in board.send_outs if line.id == "S1")
    assert engine.expected_back is not None
    assert engine.back == moved(engine.expected_back)
    assert engine.criticality == current.schedule.number("S1/accept") / 100
    assert {line.id: line.criticality for line in board.vendors} == {"V1": 0.37, "V2": None}


def test_an_accepted_item_is_certain() -> None:
    plan = hangar()
    item = plan.send_outs[0]
    status = replace(
        item.status, left_vendor=date(2026, 1, 7), received=date(2026, 1, 8),
        accepted=date(2026, 1, 9),
    )  # fmt: skip
    current = current_of(
        replace(plan, send_outs=(replace(item, status=status), *plan.send_outs[1:]))
    )
    line = next(one for one in away(current, simulated(current)).send_outs if one.id == "S1")
    assert (line.back, line.criticality) == (None, None)


def test_a_call_and_an_arrival_tell_by_when_the_item_may_be_here() -> None:
    """Silent since the 8th of January; on the 20th of February it is due at the door any day."""
    plan = hangar()
    plan = replace(plan, project=replace(plan.project, as_of=date(2026, 2, 3)))
    current = current_of(plan)
    simulation = simulated(current)
    call = next(one for one in chase_lines(current, simulation) if one.send_out == "S1")
    written = current.schedule.finish_on_of(current.schedule.number("S1/accept"))
    assert call.back == moved(written)
    sheet = today(current, simulation=simulation)
    arrival = next(one for one in sheet.arriving if one.send_out == "S1")
    assert arrival.spread == moved(arrival.on)
    assert end_of(arrival.on) < end_of(arrival.spread.p80)
    assert all(one.spread is None for one in sheet.leaving)


def test_a_card_of_work_in_hand_tells_when_it_may_be_done() -> None:
    current = current_of(hangar())
    (card,) = today(current, simulation=simulated(current)).in_work
    assert card.spread == moved(card.finish)
    (unknown,) = today(current).in_work
    assert unknown.spread is None
