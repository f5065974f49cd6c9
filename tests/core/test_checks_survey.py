"""What findings, cards, evidence and sign-offs are refused for, in one sentence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    Calendar,
    CardRisk,
    CardStep,
    Evidence,
    Finding,
    MethodCard,
    Plan,
    Project,
    SignOff,
    StandingJob,
    StepOrder,
    Task,
    Zone,
)

DAY = date(2026, 3, 2)
HOURS = (Decimal(1), Decimal(2), Decimal(3))
STEP = CardStep(1, "Drain", HOURS)
CARD = MethodCard("M01", "Make safe", "aircraft", (STEP, CardStep(2, "Chock", HOURS, after=(1,))))
LATER = MethodCard("M02", "Record", "aircraft", (STEP,), ("M01",))
FINDING = Finding("F1", "A stain", "tail", card="M01")
PHOTO = Evidence("E1", "a" * 64, "image/png", 1, DAY, finding="F1")
SIGNED = SignOff("G1", DAY, "Inspector 1", task="T1", evidence=("E1",))


def plan(**parts: Any) -> Plan:
    """Return a plan with one of everything, and what is given in its place."""
    return Plan(
        project=Project(DAY, DAY),
        calendars=(Calendar("shop"),),
        zones=(Zone("tail"),),
        tasks=(Task("T1", 1440),),
        **{
            "cards": (CARD, LATER),
            "findings": (FINDING,),
            "evidence": (PHOTO,),
            "sign_offs": (SIGNED,),
            "standing_jobs": (StandingJob("M02", "M02"),),
        }
        | parts,
    )


def test_a_plan_with_one_of_everything_is_taken() -> None:
    check_plan(plan())


def test_steps_of_a_card_need_not_stand_in_the_order_of_their_numbers() -> None:
    steps = (CardStep(2, "Chock", HOURS), replace(STEP, after=(2,)))
    check_plan(plan(cards=(replace(CARD, steps=steps), LATER)))


def finding(**fields: Any) -> dict[str, Any]:
    return {"findings": (replace(FINDING, **fields),)}


def card(**fields: Any) -> dict[str, Any]:
    return {"cards": (replace(CARD, **fields), LATER)}


def step(**fields: Any) -> dict[str, Any]:
    return card(steps=(replace(STEP, **fields),))


def signed(**fields: Any) -> dict[str, Any]:
    return {"sign_offs": (replace(SIGNED, **fields),)}


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        (finding(zone="bow"), 'findings[0].zone: there is no zone "bow" in the plan'),
        (finding(card="M9"), 'findings[0].card: there is no method card "M9" in the plan'),
        (finding(grade=6), "findings[0].grade: 6 is not between 0 and 5"),
        (finding(quantity=Decimal(0)), "findings[0].quantity: 0 is not more than nothing"),
        (
            finding(own_hours=HOURS, own_trade="metal"),
            'findings[0].own_hours: "F1" takes its hours from card M01, so it has none of its own',
        ),
        (
            finding(card=None, own_hours=HOURS),
            'findings[0].own_trade: "F1" needs hours and a trade, or neither',
        ),
        (
            finding(card=None, own_hours=HOURS[::-1], own_trade="metal"),
            "findings[0].own_hours: low, likely and high must rise: 3, 2, 1 hours",
        ),
        (
            finding(seen_on=date(2026, 3, 3)),
            'findings[0].seen_on: 2026-03-03 of "F1" is after the as-of date 2026-03-02',
        ),
        (
            {"findings": (FINDING, FINDING)},
            'findings[1].id: the finding id "F1" is used twice',
        ),
        (card(steps=()), 'cards[0].steps: "M01" has no step'),
        (step(after=(1,)), "cards[0].steps[0].after[0]: 1 is no earlier step"),
        (
            card(steps=(STEP, STEP)),
            "cards[0].steps[1].number: there is a step 1 before it",
        ),
        (
            step(hours=(Decimal(-1), Decimal(1), Decimal(2))),
            "cards[0].steps[0].hours: -1 hours is less than nothing",
        ),
        (card(leaves_after=7), "cards[0].leaves_after: 7 is no step of the card"),
        (
            {"cards": (CARD, replace(LATER, inside=(StepOrder("M01", 3, 1),)))},
            "cards[1].inside[0].step: 3 is no step of M01",
        ),
        (
            card(inside=(StepOrder("M02", 1, 1),)),
            'cards[0].inside[0].card: there is no card that comes first "M02" in the plan',
        ),
        (
            card(after_cards=("M02",)),
            "cards: these come before each other in a circle: M02 -> M01 -> M02",
        ),
        (
            card(risk=CardRisk("crack", 1.5)),
            "cards[0].risk.probability: 1.5 is not between 0 and 1",
        ),
        (card(risk=CardRisk("crack", 0.5, 3)), "cards[0].risk.step: 3 is no step of the card"),
        (
            {"standing_jobs": (StandingJob("M9", "M9"),)},
            'standing_jobs[0].card: there is no method card "M9" in the plan',
        ),
        (
            {"evidence": (replace(PHOTO, finding="F9"),)},
            'evidence[0].finding: there is no finding "F9" in the plan',
        ),
        (
            signed(evidence=("E9",)),
            'sign_offs[0].evidence[0]: there is no piece of evidence "E9" in the plan',
        ),
        (signed(by=" "), 'sign_offs[0].by: "G1" needs the name of a person'),
        (
            signed(record="weighing"),
            'sign_offs[0].task: "G1" is about a task or a record: one of them',
        ),
        (
            signed(on=date(2026, 3, 3)),
            'sign_offs[0].on: 2026-03-03 of "G1" is after the as-of date 2026-03-02',
        ),
    ],
)
def test_what_makes_no_sense_is_refused_by_its_place(parts: dict[str, Any], sentence: str) -> None:
    with pytest.raises(PlanError) as refused:
        check_plan(plan(**parts))
    assert str(refused.value) == sentence
