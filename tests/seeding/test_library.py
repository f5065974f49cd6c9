"""What is shipped for every project: whole, and fit for the planner."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.checks import check_plan
from ribstitch.planning.drafting import draft_plan, merge, merged
from ribstitch.planning.model import CheckKind, Plan, Project, StepOrder, StepPlace
from ribstitch.planning.schedule import schedule
from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows

START = date(2026, 1, 5)


def test_every_card_has_its_steps_and_is_marked_as_from_memory() -> None:
    cards = library.method_cards()
    counted = Counter(row["card"] for row in rows(library.shipped()["method_steps"]))
    assert {card.id: len(card.steps) for card in cards} == counted
    assert len(cards) == 33
    assert all(card.from_memory and card.sources for card in cards)
    checks = Counter(step.check for card in cards for step in card.steps)
    flags = Counter(row["f"] for row in rows(library.shipped()["method_steps"]))
    assert checks == {
        CheckKind.HOLD: flags["H"], CheckKind.BUY_OFF: flags["B"], CheckKind.WITNESS: flags["W"],
        None: flags[""] + flags["E"],
    }  # fmt: skip


def test_a_card_reads_as_it_is_written_in_its_tables() -> None:
    """Card M10 and step 3 of card M13, from the tables by eye."""
    cards = {card.id: card for card in library.method_cards()}
    splice = cards["M10"]
    assert splice.inside == (StepOrder("M09", 2, 1), StepOrder("M09", 4, 2))
    assert (splice.leaves_after, splice.back_before, splice.material) == (1, 2, "D")
    assert splice.steps[3].hours == (Decimal(48), Decimal(72), Decimal(120))
    assert splice.steps[3].trade is None
    assert splice.risk is not None
    assert splice.risk.weeks == (Decimal(6), Decimal(9), Decimal(12))
    assert cards["M13"].steps[0].places == (StepPlace("hull-cradle", ("centre",)),)
    assert cards["M12"].steps[4].calendar == "dope-season"
    assert cards["M19"].one_by_one


def test_kinds_have_the_middle_of_what_is_usually_quoted() -> None:
    """An engine: 20 to 40 weeks of five days."""
    kinds = {kind.id: kind for kind in library.send_out_kinds()}
    assert kinds["engine"].quoted_days == 150
    assert all(kind.quoted_days for kind in kinds.values())
    usual = {kind for chapter in library.chapters() for kind in chapter.kinds}
    assert usual <= set(kinds)


def test_every_grade_and_every_class_of_material_has_its_allowance() -> None:
    assumed = library.assumptions()
    assert sorted(assumed.hidden_percent) == [0, 1, 2, 3, 4, 5]
    assert {card.material for card in library.method_cards()} <= set(assumed.material)
    for row in rows(library.shipped()["material_classes"]):
        low, high = int(row["from"]), int(row["to"] or 10**9)
        assert low < int(row["allowance"]) < high


@pytest.mark.parametrize("airframe", library.airframes())
def test_standing_jobs_of_every_airframe_make_a_plan_from_make_safe_to_handing_over(
    airframe: str,
) -> None:
    plan = Plan(
        Project(START, START, airframe=airframe),
        zones=library.zones(airframe),
        cards=library.method_cards(),
        standing_jobs=library.standing_jobs(airframe),
    )
    first = merged(plan, merge(plan, draft_plan(plan, library.assumptions())))
    first = replace(first, project=replace(first.project, calendar="elapsed"))
    first = replace(first, tasks=tuple(replace(one, calendar=None) for one in first.tasks))
    check_plan(first)
    assert schedule(first).finish_on > START
    after = {link.after for link in first.links}
    before = {link.before for link in first.links}
    tasks = [task.id for task in first.tasks]
    assert [one for one in tasks if one not in after] == ["M01.1"]
    assert [one for one in tasks if one not in before] == ["handed_over"]
    opened = {zone.id for zone in first.zones if zone.opened_by}
    bays = {job.zone for job in plan.standing_jobs if job.card == "M05"}
    assert opened == bays
    assert len(bays) >= 6


def test_airframes_are_those_that_can_be_drawn() -> None:
    assert set(library.airframes()) == {"amphibian", "landplane", "biplane"}
