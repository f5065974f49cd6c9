"""Who is asking: for now a role chosen from a list and kept in a cookie.

This is the seam for sign-in: whatever replaces it returns the same `Person`.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal

from fastapi import Depends
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.problems import FORBIDDEN, ProblemError
from ribstitch.store.change_record import Person

Role = Literal["lead", "owner", "planner"]

COOKIE: Final = "ribstitch_role"
NAMES: Final[dict[str, str]] = {"lead": "Shop lead", "owner": "Owner", "planner": "Planner"}
_DEFAULT: Final = "lead"
_ONE_YEAR: Final = 365 * 24 * 3600


def person_of(request: Request) -> Person:
    """Return who sent a request; without a (known) cookie, the shop lead."""
    role = request.cookies.get(COOKIE, _DEFAULT)
    if role not in NAMES:
        role = _DEFAULT
    return Person(NAMES[role], role)


def remember(response: Response, role: Role) -> None:
    """Keep a role in the browser."""
    response.set_cookie(COOKIE, role, max_age=_ONE_YEAR, httponly=True, samesite="lax", path="/")


async def current_person(request: Request) -> Person:
    """Return who is asking."""
    return person_of(request)


async def current_editor(request: Request) -> Person:
    """
    Return who is asking, if they may change the plan.

    Raises
    ------
    ProblemError
        403 for the owner, who reads.
    """
    person = person_of(request)
    if person.role == "owner":
        raise ProblemError(
            FORBIDDEN, "The owner reads the plan; the shop lead and the planner change it."
        )
    return person


async def current_decider(request: Request) -> Person:
    """
    Return who is asking, if they may say yes or no to money.

    Raises
    ------
    ProblemError
        403 for the shop lead, who asks.
    """
    person = person_of(request)
    if person.role == "lead":
        raise ProblemError(
            FORBIDDEN, "The shop lead asks; the owner and the planner approve and decline."
        )
    return person


Reader = Annotated[Person, Depends(current_person)]
Editor = Annotated[Person, Depends(current_editor)]
Decider = Annotated[Person, Depends(current_decider)]
