from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from ribstitch.charts.lanes import lay_out, pack
from ribstitch.planning.model import Milestone, Plan, State, Task, TaskStatus
from ribstitch.planning.schedule import schedule
from tests.charts.plans import engine_plan, shipped_plan, work

SPANS = st.lists(
    st.tuples(st.integers(0, 60), st.integers(1, 25)).map(lambda one: (one[0], sum(one)))
)


@given(SPANS)
def test_no_two_spans_of_a_row_overlap(spans: list[tuple[int, int]]) -> None:
    rows = pack(spans)
    for place, (start, finish) in enumerate(spans):
        for other in range(place):
            if rows[other] == rows[place]:
                assert finish <= spans[other][0] or spans[other][1] <= start


@given(SPANS)
def test_there_are_as_many_rows_as_spans_overlap_at_one_instant(
    spans: list[tuple[int, int]],
) -> None:
    """The least that is possible: depth of the set (Kleinberg and Tardos, section 4.1)."""
    depth = max((sum(a <= at < b for a, b in spans) for at, _ in spans), default=0)
    assert len(set(pack(spans))) == depth


def lane_of(
    activity_id: str, plan: Plan | None = None, *, zone: str | None = None, trade: str | None = None
) -> tuple[str, str] | None:
    """Return kind and name of the lane in which an activity is drawn."""
    current = schedule(plan or engine_plan())
    lanes = lay_out(current, zone=zone, trade=trade)
    block = lanes.by_number.get(current.number(activity_id))
    if block is None:
        return None
    lane = next(one for one in lanes.lanes if one.top < block.row < one.bottom)
    return lane.kind, lane.name


def test_an_item_is_prepared_and_accepted_at_home_and_away_in_between() -> None:
    assert lane_of("S1/prepare") == ("zone", "Nose")
    for leg in ("ship_out", "vendor_work", "ship_back"):
        assert lane_of(f"S1/{leg}") == ("vendor", "Engine Rooms")
    assert lane_of("S1/accept") == ("zone", "Nose")


def test_milestones_have_the_lane_at_the_top() -> None:
    assert lane_of("DONE") == ("milestones", "Milestones")
    assert lay_out(schedule(engine_plan())).lanes[0].kind == "milestones"


def test_a_zone_without_work_has_no_lane() -> None:
    names = [lane.name for lane in lay_out(schedule(engine_plan())).lanes]
    assert names == ["Milestones", "Nose", "Tail", "Engine Rooms"]


def test_lanes_lie_one_under_the_other() -> None:
    lanes = lay_out(schedule(engine_plan())).lanes
    assert [one.top for one in lanes[1:]] == [one.bottom for one in lanes[:-1]]
    assert all(one.top < one.bottom for one in lanes)


def test_one_zone_brings_the_vendors_of_its_items_and_no_others() -> None:
    assert lane_of("S1/vendor_work", zone="nose") == ("vendor", "Engine Rooms")
    assert lane_of("S1/vendor_work", zone="tail") is None
    assert lane_of("N1", zone="tail") is None
    assert lane_of("T1", zone="tail") == ("zone", "Tail")


def test_one_trade_leaves_out_all_other_work() -> None:
    plan = engine_plan()
    metal = work("M", 1, trade="metal")
    plan = replace(plan, tasks=(*plan.tasks, metal))
    assert lane_of("M", plan, trade="metal") == ("zone", "Tail")
    assert lane_of("T1", plan, trade="metal") is None
    assert lane_of("S1/vendor_work", plan, trade="metal") is None


def test_dropped_work_is_not_drawn() -> None:
    plan = engine_plan()
    dropped = replace(plan.tasks[3], status=TaskStatus(State.DROPPED))
    plan = replace(plan, tasks=(*plan.tasks[:3], dropped, plan.tasks[4]))
    assert lane_of("T2", plan) is None


def test_all_legs_of_an_item_share_a_row_away() -> None:
    current = schedule(shipped_plan())
    lanes = lay_out(current)
    legs = ("S1/ship_out", "S1/vendor_work", "S1/ship_back")
    assert len({lanes.by_number[current.number(leg)].row for leg in legs}) == 1


def test_a_milestone_takes_no_more_room_than_its_name_as_it_is_drawn() -> None:
    """Two milestones far apart share the top row, though their names are cut from 200 letters."""
    plan = engine_plan()
    first = Task("START", 0, name="W" * 200, milestone=Milestone.START)
    tasks = tuple(replace(one, name="W" * 200) if one.milestone else one for one in plan.tasks)
    plan = replace(plan, tasks=(first, *tasks))
    current = schedule(plan)
    lanes = lay_out(current)
    assert len({lanes.by_number[current.number(one)].row for one in ("START", "DONE")}) == 1
