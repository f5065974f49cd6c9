"""A little of it in the suite; `tests.fuzz.generated` sends as much as one likes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.fuzz.generated import ROLES, described, generated, in_role, take_in
from tests.support.service import running_warm_service


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a service with one small project."""
    with running_warm_service(tmp_path_factory.mktemp("fuzzed")) as address:
        take_in(address)
        yield address


@pytest.mark.parametrize("role", ROLES)
def test_no_generated_request_fails_or_is_answered_otherwise_than_described(
    address: str, role: str
) -> None:
    """Each role tries its third of the operations."""
    description = described(address)
    paths = list(description["paths"].items())
    description["paths"] = dict(paths[ROLES.index(role) :: len(ROLES)])
    seen = generated(address, description, [in_role(role)], examples=1)
    assert seen.requests > len(description["paths"])
    assert seen.wrong == {}


def test_an_answer_that_is_not_described_is_seen(address: str) -> None:
    """The check of the test above can fail."""
    description = described(address)
    described_operation = description["paths"]["/api/v1/problems"]["get"]
    described_operation["responses"]["418"] = described_operation["responses"].pop("200")
    description["paths"] = {"/api/v1/problems": {"get": described_operation}}
    assert list(generated(address, description, [in_role("lead")], examples=1).wrong) == [
        "lead: GET /api/v1/problems"
    ]
