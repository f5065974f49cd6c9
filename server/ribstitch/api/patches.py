"""Edits as JSON merge patches (RFC 7396) of parts of a plan file.

What a patch leaves out keeps its value, null puts back the default, an object is merged,
a list is replaced. The result is checked like a plan file, so that an edit can bring in
nothing that a file could not.
"""

from __future__ import annotations

from typing import Any, TypeVar

import orjson
from pydantic import BaseModel, RootModel
from starlette.requests import Request

from ribstitch.api.bodies import SMALL, read_json
from ribstitch.api.problems import INVALID, MALFORMED, ProblemError
from ribstitch.planfile.reading import parse_part, refuse_repeats

_Part = TypeVar("_Part", bound=BaseModel)

_DEEPEST = 20
_KEPT = {
    "not_started": frozenset({"state"}),
    "in_work": frozenset({"state", "started", "remaining_days"}),
    "held": frozenset({"state", "started", "remaining_days"}),
    "done": frozenset({"state", "started"}),
    "dropped": frozenset({"state"}),
}
"""What a task keeps of its old status when it comes to another state."""


class Patch(RootModel[dict[str, Any]]):
    """A JSON merge patch: keys that are left out keep their value, null puts back the default."""


async def read_patch(request: Request) -> Patch:
    """
    Read the body of a PATCH.

    Raises
    ------
    ProblemError
        If it is no JSON object, or nested deeper than any part of a plan file.
    """
    body = await read_json(request, SMALL, "application/merge-patch+json")
    try:
        patch = orjson.loads(body)
    except orjson.JSONDecodeError as error:
        raise ProblemError(MALFORMED, f"The body is not JSON ({error.msg}).") from None
    if not isinstance(patch, dict):
        raise ProblemError(INVALID, "The body is no JSON object.")
    if _is_deeper(patch, _DEEPEST):
        raise ProblemError(INVALID, f"The body is nested more than {_DEEPEST} levels deep.")
    refuse_repeats(body, "")
    return Patch(patch)


def patched(part: _Part, patch: Patch, *, fixed: str | None = "id") -> _Part:
    """
    Return a part of a plan file with a patch on top of it.

    `fixed` is the key that names the thing and stays as it is.

    Raises
    ------
    PlanFileError
        If the result is no such part; names the key and the value.
    ProblemError
        If the patch would rename the thing.
    """
    before = part.model_dump(mode="json", by_alias=True)
    if fixed is not None and patch.root.get(fixed, before[fixed]) != before[fixed]:
        raise ProblemError(INVALID, f"{fixed}: it names the thing and stays as it is.", field=fixed)
    _settle(before, patch.root)
    return parse_part(type(part), orjson.dumps(_merge(before, patch.root)), "")


def _merge(target: Any, patch: Any) -> Any:
    """Apply a merge patch, as RFC 7396 section 2 defines it."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            result.pop(key, None)
        else:
            result[key] = _merge(result.get(key), value)
    return result


def _settle(before: dict[str, Any], patch: dict[str, Any]) -> None:
    """Forget what belongs to the state that a task is about to leave."""
    status, change = before.get("status"), patch.get("status")
    if not isinstance(change, dict) or not isinstance(status, dict) or "state" not in status:
        return
    state = change.get("state", status["state"])
    if isinstance(state, str) and state != status["state"] and state in _KEPT:
        before["status"] = {key: value for key, value in status.items() if key in _KEPT[state]}


def _is_deeper(value: Any, levels: int) -> bool:
    """Return whether containers are nested more deeply than so many levels."""
    if not isinstance(value, dict | list):
        return False
    inner = value.values() if isinstance(value, dict) else value
    return levels == 0 or any(_is_deeper(one, levels - 1) for one in inner)
