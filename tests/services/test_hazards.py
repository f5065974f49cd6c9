"""Every hazard of the demo and of the method cards has its usual caution."""

from __future__ import annotations

from ribstitch.assets import seed_folder
from ribstitch.planfile import read_plan_file
from ribstitch.services.hazards import cautions, cautions_for
from ribstitch.services.load_demo import DEMO


def test_every_tag_of_the_demo_has_a_caution() -> None:
    plan = read_plan_file(seed_folder() / DEMO)
    tags = {tag for task in plan.tasks for tag in task.hazards}
    assert tags
    assert tags <= set(cautions())


def test_every_caution_says_where_it_comes_from() -> None:
    """Including whether that was read or is from memory."""
    assert all(one.caution and one.source.endswith(")") for one in cautions().values())


def test_tag_that_nobody_knows_gets_a_general_caution() -> None:
    (unknown,) = cautions_for(["glow-worms"]).values()
    assert unknown.caution == "Ask what this means before you begin."


def test_tags_are_told_once_in_order() -> None:
    assert list(cautions_for(["noise", "dope", "noise"])) == ["dope", "noise"]
