"""Read and write plan files; every refusal is one sentence naming file, place and value."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from ribstitch.planfile.convert import plan_from, plan_to
from ribstitch.planfile.document import CURRENCY, NO_NUL, ONE_LINE, SHA_256, PlanDocument
from ribstitch.planfile.errors import PlanFileError
from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Plan

LARGEST_BYTES = 20_000_000
"""No plan file may be larger. [bytes]"""

_PATTERNS = {
    NO_NUL: "holds a character that cannot be kept (NUL)",
    ONE_LINE: "{value} holds a control character, such as the end of a line",
    CURRENCY: "{value} is not a currency (three capitals, such as EUR)",
    SHA_256: "{value} is no SHA-256 digest (64 hexadecimal digits in small letters)",
}
"""What is said of a text that is not of its pattern."""

_DECIMALS = {
    "decimal_parsing": "{value} is not a number (digits and a point, such as 12.50)",
    "decimal_whole_digits": "{value} has more than {whole_digits} digits before the point",
    "decimal_max_places": "{value} has more than {decimal_places} decimal places",
}
"""What is said of an amount that is none, or cannot be kept exactly."""

_Part = TypeVar("_Part", bound=BaseModel)


def read_plan_file(path: Path) -> Plan:
    """
    Read and check a plan file.

    Raises
    ------
    PlanFileError
        If the file cannot be read or is refused.
    """
    try:
        with path.open("rb") as file:
            size = path.stat().st_size
            data = b"" if size > LARGEST_BYTES else file.read(LARGEST_BYTES + 1)
    except OSError as failed:
        raise PlanFileError(str(path), "", f"cannot be read ({failed.strerror})") from failed
    if max(size, len(data)) > LARGEST_BYTES:
        raise PlanFileError(str(path), "", _too_large(max(size, len(data))))
    return parse_plan(data, str(path))


def parse_plan(data: bytes, name: str) -> Plan:
    """
    Parse and check the bytes of a plan file; `name` is what a sentence calls it.

    Raises
    ------
    PlanFileError
        If it is refused.
    """
    if len(data) > LARGEST_BYTES:
        raise PlanFileError(name, "", _too_large(len(data)))
    part = parse_part(PlanDocument, data, name)
    try:
        plan = plan_from(part)
        check_plan(plan)
    except PlanError as refused:
        raise PlanFileError(name, refused.where, refused.reason) from refused
    return plan


def parse_part(kind: type[_Part], data: bytes, name: str) -> _Part:
    """
    Parse JSON as one part of a plan file.

    Raises
    ------
    PlanFileError
        For the first fault found.
    """
    try:
        part = kind.model_validate_json(data)
    except ValidationError as refused:
        first = refused.errors(include_url=False)[0]
        where = key_path(first["loc"][:-1] if first["type"] == "extra_forbidden" else first["loc"])
        raise PlanFileError(name, where, sentence(first)) from refused
    refuse_repeats(data, name)
    return part


def refuse_repeats(data: bytes, name: str) -> None:
    """
    Refuse JSON in which an object has a key twice: one of the two values would be lost.

    Raises
    ------
    PlanFileError
        For the first such key.
    """

    def once(pairs: list[tuple[str, Any]]) -> None:
        seen: set[str] = set()
        for key, _ in pairs:
            if key in seen:
                raise PlanFileError(name, "", f'has the key "{_short(key)}" twice in one object')
            seen.add(key)

    json.loads(data, object_pairs_hook=once, parse_int=str, parse_float=str)


def plan_document(plan: Plan) -> dict[str, Any]:
    """Return a plan as JSON-ready data, with defaults left out."""
    return plan_to(plan).model_dump(mode="json", by_alias=True, exclude_defaults=True)


def dump_plan(plan: Plan) -> bytes:
    """Return a plan as the bytes of a plan file: the same plan gives the same bytes."""
    return (json.dumps(plan_document(plan), indent=1, ensure_ascii=False) + "\n").encode()


def key_path(location: Sequence[str | int]) -> str:
    """Return a key path such as ``tasks[3].days``."""
    path = ""
    for step in location:
        path += f"[{step}]" if isinstance(step, int) else f".{step}" if path else str(step)
    return path


def sentence(fault: ErrorDetails) -> str:
    """Say what is wrong with one value."""
    given = fault["input"]
    value = _short(json.dumps(given, default=str, ensure_ascii=False))
    match fault["type"]:
        case "json_invalid" if "recursion" in fault["ctx"]["error"]:
            said = "is nested too deeply to be a plan"
        case "json_invalid":
            said = f"is not JSON ({fault['ctx']['error']})"
        case "extra_forbidden":
            said = f'unknown key "{_short(str(fault["loc"][-1]))}"'
        case "missing":
            said = "is missing"
        case "string_pattern_mismatch":
            said = _PATTERNS[fault["ctx"]["pattern"]].format(value=value)
        case "finite_number":
            said = f"{value} is not a number"
        case kind if kind in _DECIMALS:
            said = _DECIMALS[kind].format(value=value, **fault.get("ctx", {}))
        case "value_error":
            said = str(fault["ctx"]["error"])
        case kind if kind.startswith("date"):
            said = f"{value} is not a date (year-month-day, such as 2026-10-09)"
        case _:
            said = f"{value}: {fault['msg'][0].lower()}{fault['msg'][1:]}"
    return said


def _short(text: str, most: int = 60) -> str:
    """Cut a value that is too long for a sentence."""
    return text if len(text) <= most else f"{text[:most]}..."


def _too_large(size: int) -> str:
    """Say that a file is too large."""
    return f"has {size / 1e6:.1f} MB; a plan file may have at most {LARGEST_BYTES / 1e6:.0f} MB"
