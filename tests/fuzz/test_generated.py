"""A little of it in the suite; `tests.fuzz.generated` sends as much as one likes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.fuzz.generated import ROLES, Asker, described, generated, in_role, take_in
from tests.fuzz.household import EVERYBODY, Household


@pytest.fixture(scope="module")
def address(empty_service: str) -> str:
    """Address of a service with one small project."""
    take_in(empty_service)
    return empty_service


@pytest.fixture(scope="module")
def household(address: str, service_folder: Path) -> Iterator[Household]:
    """People with accounts at the same service: from now on they sign in."""
    assert address
    household = Household(f"sqlite:///{service_folder / 'ribstitch.db'}")
    yield household
    household.leave()


def _asks_for_a_part(address: str, asker: Asker, number: int, of: int) -> None:
    """Try one part of so many of the operations."""
    description = described(address)
    paths = list(description["paths"].items())
    description["paths"] = dict(paths[number::of])
    seen = generated(address, description, [asker], examples=1)
    assert seen.requests > len(description["paths"])
    assert seen.wrong == {}


@pytest.mark.parametrize("role", ROLES)
def test_no_generated_request_fails_or_is_answered_otherwise_than_described(
    address: str, role: str
) -> None:
    """Each role tries its third of the operations."""
    _asks_for_a_part(address, in_role(role), ROLES.index(role), len(ROLES))


@pytest.mark.parametrize("who", EVERYBODY)
def test_the_same_holds_where_people_sign_in(address: str, household: Household, who: str) -> None:
    """Each tries a seventh of the operations; what no role may is asked of the rules elsewhere."""
    asker = Asker(who, household.way_in(who))
    _asks_for_a_part(address, asker, EVERYBODY.index(who), len(EVERYBODY))


def test_an_answer_that_is_not_described_is_seen(address: str) -> None:
    """The check of the tests above can fail."""
    description = described(address)
    described_operation = description["paths"]["/api/v1/problems"]["get"]
    described_operation["responses"]["418"] = described_operation["responses"].pop("200")
    description["paths"] = {"/api/v1/problems": {"get": described_operation}}
    assert list(generated(address, description, [in_role("lead")], examples=1).wrong) == [
        "lead: GET /api/v1/problems"
    ]
