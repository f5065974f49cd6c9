"""Crew links, places of tasks and expedites that are refused: which field, and the sentence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.checks import LONGEST, check_plan
from ribstitch.planning.checks_crew import EXPEDITED_LEGS
from ribstitch.planning.errors import (
    DuplicateIdError,
    InvalidValueError,
    PlanError,
    UnknownReferenceError,
)
from ribstitch.planning.model import (
    CrewLink,
    CrewLinkKind,
    Expedite,
    Place,
    Plan,
    SendOut,
    SendOutStatus,
    Vendor,
)
from tests.core.making import plan, task, ticks

BOOTH = Place("booth")
ENGINE = SendOut("S1", "V1", lead=ticks(20), ship_back=ticks(3))
TEN = Decimal(10)


def made(**fields: Any) -> Plan:
    """Return a plan of two tasks, a booth, and an engine that goes out."""
    given = {"vendors": [Vendor("V1")], "send_outs": [ENGINE], "places": [BOOTH]}
    return plan([task("A", 5), task("B")], **{**given, **fields})


def ordered(*links: CrewLink) -> Plan:
    """Return that plan with an order of the crew."""
    return made(crew_links=links)


def hurried(**fields: Any) -> Plan:
    """Return that plan with an expedite: two days off task A for 10, unless told otherwise."""
    given = {"id": "X", "gains": ticks(2), "cost": TEN, "task": "A"}
    return made(expedites=[Expedite(**{**given, **fields})])


def refused(bad: Plan) -> tuple[type[PlanError], str, str]:
    """Return the error that a plan meets."""
    with pytest.raises(PlanError) as caught:
        check_plan(bad)
    assert str(caught.value) == f"{caught.value.where}: {caught.value.reason}"
    return type(caught.value), caught.value.where, caught.value.reason


@pytest.mark.parametrize(
    "good",
    [
        ordered(),
        ordered(CrewLink("A", "B"), CrewLink("B", "A")),
        ordered(CrewLink("A", "B", CrewLinkKind.PLACE, ("booth",))),
        ordered(CrewLink("A", "B", names=("anything",), units=3)),
        hurried(),
        hurried(gains=ticks(0.5), cost=Decimal(0)),
        hurried(taken=ticks(2)),
        hurried(by_the_day=True, taken=ticks(1)),
        hurried(task=None, send_out="S1"),
        hurried(task=None, send_out="S1", leg="ship_back"),
    ],
)
def test_what_makes_sense_is_accepted(good: Plan) -> None:
    """Two crew links against each other are a loop, which is found where the links are laid."""
    check_plan(good)


@pytest.mark.parametrize(
    ("bad", "kind", "where", "reason"),
    [
        (
            ordered(CrewLink("X", "B")),
            UnknownReferenceError,
            "crew_links[0].from",
            'there is no task "X" in the plan',
        ),
        (
            ordered(CrewLink("A", "B"), CrewLink("A", "X")),
            UnknownReferenceError,
            "crew_links[1].to",
            'there is no task "X" in the plan',
        ),
        (
            ordered(CrewLink("A", "S1/vendor_work")),
            UnknownReferenceError,
            "crew_links[0].to",
            'there is no task "S1/vendor_work" in the plan',
        ),
        (
            ordered(CrewLink("A", "A")),
            InvalidValueError,
            "crew_links[0]",
            '"A" is linked to itself',
        ),
        (
            ordered(CrewLink("A", "B"), CrewLink("A", "B", CrewLinkKind.PLACE, ("booth",))),
            InvalidValueError,
            "crew_links[1]",
            '"B" waits for "A" already',
        ),
        (
            ordered(CrewLink("A", "B", CrewLinkKind.PLACE, ("booth", "jig"))),
            UnknownReferenceError,
            "crew_links[0].names[1]",
            'there is no place "jig" in the plan',
        ),
        (
            ordered(CrewLink("A", "B", CrewLinkKind.PLACE, ("booth", "booth"))),
            InvalidValueError,
            "crew_links[0].names[1]",
            'the place "booth" is named already',
        ),
        (
            ordered(CrewLink("A", "B", CrewLinkKind.PLACE)),
            InvalidValueError,
            "crew_links[0].names",
            '"B" waits for a place, and none is named',
        ),
    ],
)
def test_crew_links_that_make_no_sense_are_refused(
    bad: Plan, kind: type[PlanError], where: str, reason: str
) -> None:
    assert refused(bad) == (kind, where, reason)


@pytest.mark.parametrize(
    ("places", "kind", "place", "reason"),
    [
        (("jig",), UnknownReferenceError, 0, 'there is no place "jig" in the plan'),
        (("booth", "booth"), InvalidValueError, 1, 'the place "booth" is named already'),
    ],
)
def test_places_of_a_task_are_there_and_named_once(
    places: tuple[str, ...], kind: type[PlanError], place: int, reason: str
) -> None:
    bad = plan([task("A"), task("B", places=places)], places=[BOOTH])
    assert refused(bad) == (kind, f"tasks[1].places[{place}]", reason)


LEGS = ", ".join(EXPEDITED_LEGS)


@pytest.mark.parametrize(
    ("bad", "field", "reason"),
    [
        (hurried(gains=0), "gains_days", '"X" takes off nothing'),
        (hurried(gains=-ticks(1)), "gains_days", "-1 days is less than nothing"),
        (hurried(gains=LONGEST + 1440), "gains_days", "7321 days is more than 20 years"),
        (hurried(taken=-ticks(1)), "taken_days", "-1 days is less than nothing"),
        (hurried(taken=ticks(3)), "taken_days", '"X" cannot take off 3 days'),
        (hurried(taken=ticks(1)), "taken_days", '"X" is all or nothing, and 1 is neither'),
        (hurried(cost=Decimal("-0.01")), "cost", "-0.01 is less than nothing"),
        (
            hurried(by_the_day=True, gains=ticks(2.5)),
            "gains_days",
            '"X" is bought by the day, and 2.5 is no whole one',
        ),
        (
            hurried(by_the_day=True, taken=ticks(0.5)),
            "taken_days",
            '"X" is bought by the day, and 0.5 is no whole one',
        ),
        (hurried(task=None), "task", '"X" names neither a task nor a send-out'),
        (hurried(send_out="S1"), "send_out", '"X" names both a task and a send-out'),
        (
            hurried(task=None, send_out="S1", leg="S1/vendor_work"),
            "leg",
            f'"S1/vendor_work" is not one of {LEGS}',
        ),
        (
            hurried(task=None, send_out="S1", leg="return"),
            "leg",
            f'"return" is not one of {LEGS}',
        ),
        (
            hurried(task=None, send_out="S1", leg="intake"),
            "leg",
            'the send-out "S1" has no leg "intake"',
        ),
    ],
)
def test_expedites_that_make_no_sense_are_refused(bad: Plan, field: str, reason: str) -> None:
    assert refused(bad) == (InvalidValueError, f"expedites[0].{field}", reason)


@pytest.mark.parametrize(
    ("bad", "field", "reason"),
    [
        (hurried(task="C"), "task", 'there is no task "C" in the plan'),
        (
            hurried(task=None, send_out="S2"),
            "send_out",
            'there is no send-out "S2" in the plan',
        ),
    ],
)
def test_expedites_of_nothing_are_refused(bad: Plan, field: str, reason: str) -> None:
    assert refused(bad) == (UnknownReferenceError, f"expedites[0].{field}", reason)


def test_expedite_ids_used_twice_are_refused() -> None:
    twice = [Expedite("X", ticks(1), TEN, task="A"), Expedite("X", ticks(1), TEN, task="B")]
    reason = 'the expedite id "X" is used twice'
    assert refused(made(expedites=twice)) == (DuplicateIdError, "expedites[1].id", reason)


@pytest.mark.parametrize("leg", EXPEDITED_LEGS)
def test_every_leg_that_is_there_can_be_hurried(leg: str) -> None:
    legs: dict[str, Any] = {EXPEDITED_LEGS[leg]: ticks(3)}
    there = SendOut("S1", "V1", **legs)
    one = Expedite("X", ticks(1), TEN, send_out="S1", leg=leg)
    check_plan(made(send_outs=[there], expedites=[one]))
    no_legs: dict[str, Any] = dict.fromkeys(legs, 0)
    without = replace(there, **no_legs)
    assert refused(made(send_outs=[without], expedites=[one]))[1] == "expedites[0].leg"


def test_a_leg_that_an_expedite_took_away_altogether_may_be_gone() -> None:
    """Three days of road bought off: the plan holds what was taken, and the leg is 0 now."""
    gone = replace(ENGINE, ship_back=0)
    taken = Expedite("X", ticks(3), TEN, send_out="S1", leg="ship_back", taken=ticks(3))
    check_plan(made(send_outs=[gone], expedites=[taken]))


def test_work_that_only_a_promise_dates_can_be_hurried() -> None:
    promised = SendOut("S1", "V1", ship_back=1440, status=SendOutStatus(promised=date(2026, 3, 2)))
    work = Expedite("X", ticks(1), TEN, send_out="S1")
    check_plan(made(send_outs=[promised], expedites=[work]))
    intake = replace(work, leg="intake")
    assert refused(made(send_outs=[promised], expedites=[intake]))[1] == "expedites[0].leg"
