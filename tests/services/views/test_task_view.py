"""Tasks in lists, and one alone."""

from __future__ import annotations

from datetime import date

import pytest

from ribstitch.planning.model import CrewLink, CrewLinkKind, Place, Relation, State
from ribstitch.services.views.task_view import CrewTie, task_list, task_view
from ribstitch.store import UnknownThingError
from tests.services.views.plans import current_of, hangar


def found(**only: object) -> list[str]:
    """Return the ids of tasks that are found."""
    return [card.id for card in task_list(current_of(hangar()), **only).tasks]  # type: ignore[arg-type]


def test_all_tasks_stand_in_the_plans_order() -> None:
    assert found() == [task.id for task in hangar().tasks]


@pytest.mark.parametrize(
    ("only", "ids"),
    [
        ({"zone": "nose"}, ["hang", "seats"]),
        ({"state": State.IN_WORK}, ["frame"]),
        ({"trade": "fabric"}, ["cover", "seats"]),
        ({"critical": True}, ["hang", "flight"]),
        ({"q": "ENGINE the"}, ["hang"]),
        ({"q": "engine seats"}, []),
        ({"zone": "tail", "trade": "fabric"}, ["cover"]),
    ],
)
def test_tasks_are_found(only: dict[str, object], ids: list[str]) -> None:
    assert found(**only) == ids


def test_pages_say_how_many_there_are_in_all() -> None:
    page = task_list(current_of(hangar()), zone="tail", limit=2, offset=3)
    assert page.total == 5
    assert [card.id for card in page.tasks] == ["skin", "spare"]


def test_task_alone_shows_its_neighbours_and_what_drives_it() -> None:
    view = task_view(current_of(hangar()), "cover")
    assert view.task["days"] == 5
    assert (view.version, view.plan_version) == (1, 1)
    (before,) = view.predecessors
    assert (before.id, before.name, before.type) == ("frame", "Frame", Relation.FINISH_START)
    assert (before.finish, before.driving) == (date(2026, 1, 12), True)
    (after,) = view.successors
    assert (after.id, after.driving) == ("flight", False)
    assert [one.id for one in view.driven_by] == ["frame"]
    assert list(view.hazards) == ["dope"]
    assert (view.dates.start, view.dates.critical) == (date(2026, 1, 13), False)


def test_crew_link_says_who_is_waited_for() -> None:
    skins = (CrewLink("frame", "skin", names=("metal",)),)
    before, crew = task_view(current_of(hangar(crew_links=skins)), "skin").predecessors
    assert (before.id, before.crew) == ("survey", None)
    assert (crew.id, crew.driving) == ("frame", True)
    sentence = "Skin waits for the metalworker, who first does Frame."
    assert crew.crew == CrewTie(CrewLinkKind.TRADE, ("metal",), 1, sentence)
    (_, after) = task_view(current_of(hangar(crew_links=skins)), "frame").successors
    assert (after.id, after.crew) == ("skin", crew.crew)


def test_crew_link_names_the_place_that_is_taken() -> None:
    jig = CrewLink("frame", "skin", CrewLinkKind.PLACE, ("jig",))
    plan = hangar(crew_links=(jig,), places=(Place("jig", name="Tail jig"),))
    (_, crew) = task_view(current_of(plan), "skin").predecessors
    assert crew.crew is not None
    assert crew.crew.sentence == "Skin waits for the Tail jig, where first comes Frame."


def test_leg_of_an_item_is_a_neighbour_too() -> None:
    (before,) = task_view(current_of(hangar()), "hang").predecessors
    assert (before.id, before.name) == ("S1/accept", "Engine: receive and accept")


def test_unknown_task_is_named() -> None:
    with pytest.raises(UnknownThingError, match='no task "wing"'):
        task_view(current_of(hangar()), "wing")
