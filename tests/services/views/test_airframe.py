"""The airframe map: how far each zone has come, and what is away from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.model import SendOutStatus, State, Task, TaskStatus
from ribstitch.services.views.airframe import AirframeZone, AwayItem, airframe
from ribstitch.services.views.progress import share_done
from tests.services.views.plans import current_of, hangar
from tests.store.plans import DAY


def zones(**changes: object) -> dict[str, AirframeZone]:
    """Return the zones of the hangar by id."""
    return {zone.id: zone for zone in airframe(current_of(hangar(**changes))).zones}


def test_zone_counts_its_tasks_and_leaves_out_what_was_dropped() -> None:
    tail = zones()["tail"]
    assert (tail.name, tail.tasks, tail.done, tail.in_work, tail.held) == ("Tail", 4, 1, 1, 0)
    assert zones()["nose"].held == 1


def test_share_is_counted_in_planned_days() -> None:
    """Tail: 3 of survey and 2 of 4 of frame are done, of 3 + 4 + 5 + 2 days."""
    assert zones()["tail"].share_done == 5 / 14
    assert zones()["nose"].share_done == 0


def test_zone_without_tasks_is_shown_under_its_id() -> None:
    bare = zones()["bare"]
    assert (bare.name, bare.tasks, bare.share_done, bare.away) == ("bare", 0, 0.0, [])


def test_item_is_away_from_the_zone_it_comes_back_to() -> None:
    """The engine comes back to the nose, though it left after the survey of the tail."""
    need_by = date(2026, 2, 2)
    assert zones()["nose"].away == [AwayItem("S1", "Engine", "Fin Works", need_by)]
    assert zones()["tail"].away == []


@pytest.mark.parametrize(
    "status", [SendOutStatus(), SendOutStatus(received=date(2026, 1, 8))], ids=["here", "back"]
)
def test_item_in_the_shop_is_not_away(status: SendOutStatus) -> None:
    items = (replace(hangar().send_outs[0], status=status),)
    assert zones(send_outs=items)["nose"].away == []


def test_zone_on_the_critical_path_is_marked() -> None:
    """The engine sets the finish and is hung in the nose; the tail has time."""
    seen = zones()
    assert (seen["nose"].critical, seen["tail"].critical) == (True, False)


@pytest.mark.parametrize(
    ("tasks", "share"),
    [
        ([], 0.0),
        ([Task("a", 0)], 0.0),
        ([Task("a", 0, status=TaskStatus(State.DONE))], 1.0),
        ([Task("a", 2 * DAY, status=TaskStatus(State.IN_WORK, date(2026, 1, 5)))], 0.0),
        ([Task("a", DAY, status=TaskStatus(State.IN_WORK, date(2026, 1, 5), None, 3 * DAY))], 0.0),
        ([Task("a", DAY, status=TaskStatus(State.DROPPED)), Task("b", DAY)], 0.0),
    ],
)
def test_share_at_the_edges(tasks: list[Task], share: float) -> None:
    """Nothing to do, milestones only, nothing remaining known, more left than planned."""
    assert share_done(tasks) == share
