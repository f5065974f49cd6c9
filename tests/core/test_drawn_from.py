"""Courses depend on what `drawn_from` keeps, and on nothing else."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from ribstitch.planfile import parse_plan
from ribstitch.planning.model import Plan
from ribstitch.planning.uncertainty import drawn_from, simulate

DEMO = Path(__file__).parents[2] / "seed_data" / "garganey.plan.json"


@pytest.fixture(scope="module")
def demo() -> Plan:
    return parse_plan(DEMO.read_bytes(), "demo")


def test_courses_of_the_demo_are_those_of_what_they_are_drawn_from(demo: Plan) -> None:
    """Money, findings, cards and sign-offs are gone from one of the two, and no date differs."""
    bare = drawn_from(demo)
    assert (bare.costs, bare.findings, bare.hours, bare.project.balance) == ((), (), (), None)
    whole, rest = simulate(demo, runs=200, seed=5), simulate(bare, runs=200, seed=5)
    assert np.array_equal(whole.finish, rest.finish)
    assert np.array_equal(whole.percentile_finishes, rest.percentile_finishes)
    assert np.array_equal(whole.criticality, rest.criticality)


def test_what_is_kept_tells_plans_apart(demo: Plan) -> None:
    kept = [one.name for one in fields(Plan) if getattr(drawn_from(demo), one.name)]
    assert len(kept) > 10
    for name in kept:
        if name != "project":
            other = replace(demo, **{name: getattr(demo, name)[1:]})
            assert drawn_from(other) != drawn_from(demo), name
