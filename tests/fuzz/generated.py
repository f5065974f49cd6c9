"""
Requests generated from the API's own description, sent by every role.

``python -m tests.fuzz.generated --examples 60`` on a service of its own. Each answer must be one
that the description names for that operation, of a content type and a shape that it names, and
never a failure of the service. Ends with status 1 otherwise.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path
from typing import Any

import httpx
import schemathesis
from hypothesis import HealthCheck, Phase, Verbosity, given, seed, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import APIOperation, Case, GenerationMode
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.core.failures import FailureGroup
from schemathesis.core.result import Err

from tests.api.asking import small_plan
from tests.bench.service import running_service

Operation = APIOperation[Any, Any, Any, Any]
ROLES = ("lead", "owner", "planner")
STREAMS = ("/events",)
"""Answers without an end: they have tests of their own."""
_CHECKED = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
)


@dataclass(frozen=True)
class Asker:
    """Somebody in a role, and the headers that say so."""

    role: str
    headers: dict[str, str]


def in_role(role: str) -> Asker:
    """Return somebody in a role, where nobody signs in."""
    return Asker(role, {"Cookie": f"ribstitch_role={role}"})


@dataclass
class Seen:
    """What was sent, and which answers were wrong."""

    requests: int = 0
    statuses: dict[int, int] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    """The first wrong answer of each operation and role."""


def described(address: str) -> dict[str, Any]:
    """Return a running service's description of its API."""
    answer = httpx.get(f"{address}/api/v1/openapi.json", timeout=60)
    answer.raise_for_status()
    return dict(answer.json())


def generated(
    address: str,
    description: dict[str, Any],
    asked_by: Sequence[Asker],
    examples: int,
) -> Seen:
    """
    Send generated requests, good and bad ones, to every operation of a running service.

    Parameters
    ----------
    address
        Of the service; it has project 1.
    description
        Of its API.
    asked_by
        Who asks: each operation is tried by all of them.
    examples
        How many of each operation, of each kind: as described, and not as described.
    """
    seen = Seen()
    for asker, operation in product(asked_by, _operations(address, description)):
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
            _try(operation, mode, asker, examples, seen)
    return seen


def _operations(address: str, description: dict[str, Any]) -> Iterator[Operation]:
    """Give the operations of a description, but those whose answer has no end."""
    schema = schemathesis.openapi.from_dict(description)
    schema.config.update(base_url=address)
    for result in schema.get_all_operations():
        if isinstance(result, Err):
            raise result.err()
        operation = result.ok()
        if not operation.path.endswith(STREAMS):
            yield operation


def _try(
    operation: Operation,
    mode: GenerationMode,
    asker: Asker,
    examples: int,
    seen: Seen,
) -> None:
    """Send an operation's examples; stop at the first wrong answer."""
    load_all_checks()
    checks: list[Any] = [CHECKS.get_one(name) for name in _CHECKED]

    @seed(1)
    @settings(
        max_examples=examples,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        verbosity=Verbosity.quiet,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def send(case: Case[Any]) -> None:
        if "project_id" in case.path_parameters and seen.requests % 4:
            case.path_parameters["project_id"] = 1
        seen.requests += 1
        answer = case.call(headers=asker.headers, timeout=60)
        seen.statuses[answer.status_code] = seen.statuses.get(answer.status_code, 0) + 1
        case.validate_response(answer, checks=checks)

    try:
        send()
    except FailureGroup as failed:
        told = "; ".join(str(one).replace("\n", " ") for one in failed.exceptions)
        seen.wrong[f"{asker.role}: {operation.method.upper()} {operation.path}"] = told
    except Unsatisfiable:
        if mode is GenerationMode.POSITIVE:
            raise


def take_in(address: str) -> None:
    """Give the service its project 1."""
    answer = httpx.post(f"{address}/api/v1/projects", json=small_plan(), timeout=60)
    answer.raise_for_status()


def main() -> int:
    """Send as many as asked for; print what was seen."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--examples", type=int, default=60)
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="ribstitch-fuzz-") as folder:
        url = f"sqlite:///{Path(folder) / 'ribstitch.db'}"
        with running_service(url) as service:
            take_in(service.address)
            askers = [in_role(role) for role in ROLES]
            seen = generated(service.address, described(service.address), askers, wanted.examples)
    by_status = ", ".join(f"{status}: {count}" for status, count in sorted(seen.statuses.items()))
    print(f"{seen.requests} requests ({by_status}); {len(seen.wrong)} wrong")
    for name, why in seen.wrong.items():
        print(f"{name}\n    {why[:600]}")
    return 1 if seen.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
