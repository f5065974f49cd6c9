"""Whether the service runs, who is asking, what refusals mean."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path
from starlette.requests import Request
from starlette.responses import Response

from ribstitch import __version__
from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.identity import (
    NAMES,
    Anyone,
    is_open,
    known_in,
    person_of,
    remember,
)
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import (
    CONFLICT,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    PROBLEMS,
    UNSUPPORTED,
    Problem,
    ProblemError,
)
from ribstitch.api.schemas.bodies import SessionChoice
from ribstitch.api.schemas.service import Health, ProblemKind, ProblemKinds, Session

router = APIRouter(tags=["Service"], responses=refusals(INVALID))


@router.get("/health", summary="Is it running?", response_model=Health)
def health(_rule: Anyone) -> Response:
    """Answer as long as the process lives; `/ready` tells whether it can do its work."""
    return json_response({"status": "ok", "version": __version__})


@router.get("/session", summary="Who am I?", response_model=Session)
def session(request: Request, _rule: Anyone) -> Response:
    """
    Return how the service is entered, and who asks.

    Where it is `open` that is the role that the browser's cookie says; without one, the shop
    lead. Where people sign in, `name` is null until they have, and `roles` says what they are
    in which project; a keeper is planner in all.
    """
    if is_open(request):
        person = person_of(request)
        return json_response({"entry": "open", "role": person.role, "name": person.name})
    known = known_in(request)
    if known is None:
        return json_response({"entry": "sign-in", "role": None, "name": None})
    return json_response(
        {
            "entry": "sign-in",
            "role": known.first_role,
            "name": known.name,
            "account": known.account_id,
            "is_keeper": known.is_keeper,
            "roles": {str(project): role for project, role in known.roles.items()},
        }
    )


@router.put(
    "/session",
    summary="Choose a role",
    response_model=Session,
    responses=refusals(MALFORMED, CONFLICT, UNSUPPORTED),
    openapi_extra=takes(SessionChoice, owner={"role": "owner"}),
)
def choose_role(
    request: Request,
    choice: Annotated[SessionChoice, Depends(body_of(SessionChoice))],
    _rule: Anyone,
) -> Response:
    """Keep a role in a cookie of the browser; where people sign in, their account has it."""
    if not is_open(request):
        raise ProblemError(CONFLICT, "People sign in here: their account says what they are.")
    response = json_response({"entry": "open", "role": choice.role, "name": NAMES[choice.role]})
    remember(response, choice.role)
    return response


@router.get("/problems", summary="Kinds of refusals", response_model=ProblemKinds)
def problem_kinds(_rule: Anyone) -> Response:
    """Return every `type` of problem details, and what to do about it."""
    return json_response({"problems": [_kind(problem) for problem in PROBLEMS]})


@router.get(
    "/problems/{name}",
    summary="One kind of refusal",
    response_model=ProblemKind,
    responses=refusals(NOT_FOUND),
)
def problem_kind(
    name: Annotated[str, Path(max_length=60, description="The last part of its `type`")],
    _rule: Anyone,
) -> Response:
    """Explain the `type` of a problem: this is its address."""
    for problem in PROBLEMS:
        if problem.name == name:
            return json_response(_kind(problem))
    raise ProblemError(NOT_FOUND, f'There is no kind of problem "{name}".')


def _kind(problem: Problem) -> dict[str, str | int]:
    """Return a kind of refusal as plain data."""
    return {
        "type": problem.type,
        "title": problem.title,
        "status": problem.status,
        "advice": problem.advice,
    }
