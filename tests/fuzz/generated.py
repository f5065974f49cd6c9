"""
Requests generated from the API's own description, sent by every role.

``python -m tests.fuzz.generated --examples 60`` on a service of its own; with ``--signed-in`` where
people have accounts. Each answer must be one that the description names for that operation, of a
content type and a shape that it names, and never a failure of the service. Ends with status 1
otherwise.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
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
from schemathesis.core.transport import Response

from tests.api.asking import small_plan
from tests.bench.service import running_service
from tests.fuzz.household import EVERYBODY, Household

Operation = APIOperation[Any, Any, Any, Any]
ROLES = ("lead", "owner", "planner")
STREAMS = ("/events",)
"""Answers without an end: they have tests of their own."""
THINGS = {
    "tasks": "T2", "send-outs": "S2", "vendors": "V1", "calendars": "shop", "crew": "metal",
    "zones": "tail", "places": "booth", "risks": "R1", "costs": "C1", "kinds": "engine",
    "budget": "55", "exchange-rates": "GBP@2026-01-05", "exports": "tasks", "imports": "tasks",
}  # fmt: skip
"""What the project has of each list, by the list's place in the address."""
_KEYS = ("key", "task_id", "send_out_id", "table", "name")
_CHECKED = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
)


@dataclass(frozen=True)
class Asker:
    """Somebody in a role, and how they get the headers that say so."""

    role: str
    come: Callable[[], dict[str, str]]


def in_role(role: str) -> Asker:
    """Return somebody in a role, where nobody signs in."""
    return Asker(role, lambda: {"Cookie": f"ribstitch_role={role}"})


@dataclass
class Seen:
    """What was sent, and which answers were wrong."""

    requests: int = 0
    statuses: dict[int, int] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    """The first wrong answer of each operation and role."""
    slowest: dict[str, float] = field(default_factory=dict)
    """How long each operation took at most. [s]"""

    def note(self, operation: str, answer: Response) -> None:
        """Count an answer."""
        self.requests += 1
        self.statuses[answer.status_code] = self.statuses.get(answer.status_code, 0) + 1
        self.slowest[operation] = max(self.slowest.get(operation, 0.0), answer.elapsed)


def described(address: str) -> dict[str, Any]:
    """Return a running service's description of its API."""
    answer = httpx.get(f"{address}/api/v1/openapi.json", timeout=60)
    answer.raise_for_status()
    description: dict[str, Any] = answer.json()
    _say_tuples_as_lists(description)
    return description


def _say_tuples_as_lists(node: Any) -> None:
    """Say the same of tuples in words that the generator reads: the parts of ours are alike."""
    if isinstance(node, dict) and "prefixItems" in node:
        parts = node.pop("prefixItems")
        assert all(part == parts[0] for part in parts)
        node["items"] = parts[0]
    for inner in (
        node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    ):
        _say_tuples_as_lists(inner)


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
    name = f"{operation.method.upper()} {operation.path}"
    headers = asker.come()

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
        if seen.requests % 4:
            _aim(case, headers)
        answer = _answer(case, headers)
        seen.note(name, answer)
        case.validate_response(answer, checks=checks)

    try:
        send()
    except FailureGroup as failed:
        told = "; ".join(str(one).replace("\n", " ") for one in failed.exceptions)
        seen.wrong[f"{asker.role}: {name}"] = told
    except Unsatisfiable:
        if mode is GenerationMode.POSITIVE:
            raise


def _aim(case: Case[Any], headers: dict[str, str]) -> None:
    """Let a request find its project, its thing, and the version that this is in."""
    given = case.path_parameters
    if "project_id" not in given:
        return
    given["project_id"] = 1
    thing = THINGS.get(case.path.partition("{project_id}/")[2].partition("/")[0])
    for key in _KEYS:
        if key in given and thing is not None:
            given[key] = thing
    if "if-match" in (name.lower() for name in case.headers or {}):
        answer = httpx.get(_address(case), headers=headers, timeout=60)
        case.headers["if-match"] = answer.headers.get("etag", '"1"')


def _address(case: Case[Any]) -> str:
    """Return where the thing is that a request is about."""
    return f"{case.operation.schema.get_base_url()}{case.formatted_path.removesuffix('/sign-off')}"


def _answer(case: Case[Any], headers: dict[str, str]) -> Response:
    """Send a request; where too many came at once, a moment later again."""
    answer = case.call(headers=headers, timeout=60)
    while answer.headers.get("retry-after") == ["1"]:
        time.sleep(1)
        answer = case.call(headers=headers, timeout=60)
    return answer


def take_in(address: str) -> None:
    """Give the service its project 1."""
    answer = httpx.post(f"{address}/api/v1/projects", json=small_plan(), timeout=60)
    answer.raise_for_status()


def main() -> int:
    """Send as many as asked for; print what was seen."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--examples", type=int, default=60)
    asked.add_argument("--signed-in", action="store_true")
    asked.add_argument("--role", action="append", help="who asks; everybody, if not given")
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="ribstitch-fuzz-") as folder:
        url = f"sqlite:///{Path(folder) / 'ribstitch.db'}"
        with running_service(url) as service:
            take_in(service.address)
            roles = wanted.role or (EVERYBODY if wanted.signed_in else ROLES)
            household = Household(url) if wanted.signed_in else None
            askers = [
                in_role(role) if household is None else Asker(role, household.way_in(role))
                for role in roles
            ]
            description = described(service.address)
            wrong = 0
            for asker in askers:
                seen = generated(service.address, description, [asker], wanted.examples)
                _tell(asker.role, seen)
                wrong += len(seen.wrong)
            if household is not None:
                household.leave()
    return 1 if wrong else 0


def _tell(role: str, seen: Seen) -> None:
    """Print what somebody saw."""
    by_status = ", ".join(f"{status}: {count}" for status, count in sorted(seen.statuses.items()))
    print(f"{role}: {seen.requests} requests ({by_status}); {len(seen.wrong)} wrong")
    for name, why in seen.wrong.items():
        print(f"{name}\n    {why[:600]}")
    slowest = sorted(seen.slowest.items(), key=lambda one: -one[1])[:5]
    told = ", ".join(f"{name} {seconds:.1f} s" for name, seconds in slowest)
    print(f"    slowest: {told}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
