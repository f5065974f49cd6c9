"""What a shop's own drawing is refused for, in one sentence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Calendar, Drawing, Outline, Plan, Project, Zone

DAY = date(2026, 3, 2)
CORNERS = ((0.0, 0.0), (1.0, 0.0), (0.5, 1.0))
TAIL = Outline("tail", CORNERS)
SIDE = Drawing("D1", "a" * 64, 1600, 900, DAY, outlines=(TAIL,))


def plan(*drawings: Drawing) -> Plan:
    """Return a plan with two zones and these drawings."""
    return Plan(
        project=Project(DAY, DAY),
        calendars=(Calendar("shop"),),
        zones=(Zone("tail"), Zone("nose")),
        drawings=drawings,
    )


def test_a_zone_may_stand_on_every_drawing_and_a_corner_on_the_edge() -> None:
    above = replace(SIDE, id="D2", outlines=(TAIL, Outline("nose", CORNERS)))
    check_plan(plan(SIDE, above))


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        ({"id": " "}, "drawings[0].id", "cannot be empty"),
        ({"width": 0}, "drawings[0].width", "0 is not between 1 and 20000"),
        ({"height": 20_001}, "drawings[0].height", "20001 is not between 1 and 20000"),
        ({"added_on": date(1800, 1, 1)}, "drawings[0].added_on", "1800-01-01"),
        ({"outlines": (Outline("fin", CORNERS),)}, "drawings[0].outlines[0].zone", '"fin"'),
        ({"outlines": (TAIL, TAIL)}, "drawings[0].outlines[1].zone", "an outline already"),
        (
            {"outlines": (Outline("tail", CORNERS[:2]),)},
            "drawings[0].outlines[0].corners",
            '3 to 200 corners; "tail" has 2',
        ),
        (
            {"outlines": (Outline("tail", ((0.5, 0.5),) * 201),)},
            "drawings[0].outlines[0].corners",
            "has 201",
        ),
        (
            {"outlines": (Outline("tail", (*CORNERS, (0.5, 1.001))),)},
            "drawings[0].outlines[0].corners[3][1]",
            "1.001 is not between 0 and 1",
        ),
        (
            {"outlines": (Outline("tail", (*CORNERS, (float("nan"), 0))),)},
            "drawings[0].outlines[0].corners[3][0]",
            "nan is not between",
        ),
    ],
)
def test_a_drawing_that_makes_no_sense_is_refused(
    change: dict[str, Any], where: str, words: str
) -> None:
    with pytest.raises(PlanError) as refused:
        check_plan(plan(replace(SIDE, **change)))
    assert where in str(refused.value)
    assert words in str(refused.value)


def test_two_drawings_cannot_have_one_id() -> None:
    with pytest.raises(PlanError, match=r"drawings\[1\].id"):
        check_plan(plan(SIDE, SIDE))
