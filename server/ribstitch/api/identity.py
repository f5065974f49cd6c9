"""
Who is asking, and what each endpoint asks of them.

Every endpoint of the API has exactly one rule, as the type of a parameter: `Anyone`, `Reader`,
`Editor`, `Decider`, `Planner`, `Maker`, `Keeper` or `SignedIn`. `guard` asks it before anything
of the request is read; what has no rule is refused when the service starts.

Where the service is open (see `Doors`) people choose a role, which a cookie keeps. Else they
sign in, and their account has a role in each project; a project in which it has none is not
there.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import lru_cache
from typing import Annotated, Any, Final, Literal, cast, get_type_hints

from fastapi import APIRouter, Depends, params
from fastapi.routing import APIRoute
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Scope

from ribstitch.api.doors import doors_of
from ribstitch.api.problems import CONFLICT, FORBIDDEN, SIGN_IN, ProblemError
from ribstitch.api.session_cookie import keep_token, token_in
from ribstitch.services.accounts.api_tokens import recognise_token
from ribstitch.services.accounts.known import Known
from ribstitch.services.accounts.sessions import recognise
from ribstitch.store import LAST_PROJECT, UnknownProjectError
from ribstitch.store.change_record import Person

Role = Literal["lead", "owner", "planner"]

COOKIE: Final = "ribstitch_role"
NAMES: Final[dict[str, str]] = {"lead": "Shop lead", "owner": "Owner", "planner": "Planner"}
_DEFAULT: Final = "lead"
_ONE_YEAR: Final = 365 * 24 * 3600
_CALENDAR: Final = "/calendar.ics"

_SIGN_IN = "Sign in first."
_TOKEN_OPENS_NOTHING = "This token opens nothing: it is over, revoked, or none."  # noqa: S105
_NO_ACCOUNTS = "Nobody has an account here yet; the link that the service prints makes the first."


def remember(response: Response, role: Role) -> None:
    """Keep a role in the browser."""
    response.set_cookie(COOKIE, role, max_age=_ONE_YEAR, httponly=True, samesite="lax", path="/")


# --- Who it is -------------------------------------------------------------------------


def is_open(request: Request) -> bool:
    """Return whether people choose a role instead of signing in."""
    return _asker(request)[0]


def known_in(request: Request) -> Known | None:
    """
    Return whose account a request is sent with; None: nobody's.

    Raises
    ------
    ProblemError
        401 for a token that opens nothing.
    """
    return _asker(request)[1]


def person_of(request: Request) -> Person:
    """
    Return who sent a request, and as what.

    Raises
    ------
    ProblemError
        401 if they have to sign in.
    UnknownProjectError
        If they have no part in the project.
    """
    open_to_all, known = _asker(request)
    if open_to_all:
        role = request.cookies.get(COOKIE, _DEFAULT)
        role = role if role in NAMES else _DEFAULT
        return Person(NAMES[role], role)
    if known is None:
        raise ProblemError(SIGN_IN, _SIGN_IN)
    project = request.path_params.get("project_id")
    if project is None:
        return Person(known.name, "planner" if known.is_keeper else "viewer")
    number = _number(str(project))
    role_there = None if number is None else known.role_in(number)
    if role_there is None:
        raise UnknownProjectError(number or 0)
    return Person(known.name, role_there)


def sender_of(request: Request) -> str:
    """
    Return what tells senders apart whose requests are done once.

    Raises
    ------
    ProblemError
        401 if they have to sign in.
    """
    open_to_all, known = _asker(request)
    if open_to_all:
        person = person_of(request)
        return f"{person.role} {person.name}"
    if known is None:
        raise ProblemError(SIGN_IN, _SIGN_IN)
    return f"account {known.account_id}"


def account_in(scope: Scope) -> int | None:
    """Return whose account a request was sent with, once that was looked up; None: nobody's."""
    known: Known | None = scope.get("state", {}).get("asker", (False, None))[1]
    return None if known is None else known.account_id


def _asker(request: Request) -> tuple[bool, Known | None]:
    """Return whether the service is open, and who asks; looked up once for each request."""
    if not hasattr(request.state, "asker"):
        open_to_all = doors_of(request).is_open()
        request.state.asker = (open_to_all, None if open_to_all else _recognised(request))
    return cast("tuple[bool, Known | None]", request.state.asker)


def _recognised(request: Request) -> Known | None:
    """Recognise a token in the Authorization header, of a calendar's address, or the cookie."""
    doors = doors_of(request)
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    by_header = scheme.lower() == "bearer"
    is_calendar = request.url.path.endswith(_CALENDAR)
    in_address = request.query_params.get("token", "") if is_calendar else ""
    if by_header or in_address:
        shown = token.strip() if by_header else in_address
        known = recognise_token(doors.store, shown, doors.now())
        if known is None or not (by_header or known.scope == "calendar"):
            raise ProblemError(SIGN_IN, _TOKEN_OPENS_NOTHING)
        return known
    cookie = token_in(request)
    found = None if cookie is None else recognise(doors.store, cookie, doors.now())
    if found is None:
        return None
    if found.new_token is not None:
        keep_token(request, found.new_token)
    return found.known


def _number(project: str) -> int | None:
    """Return the number of a project as it stands in an address."""
    is_number = project.isascii() and project.isdecimal() and len(project) <= 10
    return int(project) if is_number and int(project) <= LAST_PROJECT else None


# --- What is asked of them -------------------------------------------------------------


async def anyone(request: Request) -> None:
    """Ask nothing: what everybody may know, and the way in."""


async def reader(request: Request) -> Person:
    """Ask that they have a part in the project; without a project, that they are known."""
    return person_of(request)


async def editor(request: Request) -> Person:
    """Ask that they may change the plan."""
    person = person_of(request)
    if person.role not in {"lead", "planner"}:
        raise ProblemError(
            FORBIDDEN,
            f"The {person.role} reads the plan; the shop lead and the planner change it.",
        )
    return person


async def decider(request: Request) -> Person:
    """Ask that they may say yes or no to money."""
    person = person_of(request)
    if person.role == "lead":
        raise ProblemError(
            FORBIDDEN, "The shop lead asks; the owner and the planner approve and decline."
        )
    if person.role == "viewer":
        raise ProblemError(FORBIDDEN, "The viewer reads; the owner and the planner decide.")
    return person


async def planner(request: Request) -> Known:
    """Ask that they plan the project, and are signed in themselves: about its people."""
    known = _by_themselves(request)
    if person_of(request).role != "planner":
        raise ProblemError(FORBIDDEN, "The planner says who takes part in the project.")
    return known


async def maker(request: Request) -> Person:
    """Ask that they may begin projects: a keeper; where the service is open, who edits."""
    if is_open(request):
        return person_of(request) if request.method == "GET" else await editor(request)
    person, known = person_of(request), known_in(request)
    if known is None or not known.is_keeper or known.only_project is not None:
        raise ProblemError(FORBIDDEN, "A keeper of the server begins projects.")
    return person


async def keeper(request: Request) -> Known:
    """Ask that they keep the server, and are signed in themselves."""
    known = _by_themselves(request)
    if not known.is_keeper:
        raise ProblemError(FORBIDDEN, "A keeper of the server looks after accounts.")
    return known


async def signed_in(request: Request) -> Known:
    """Ask that they are signed in themselves: about their own account."""
    return _by_themselves(request)


def _by_themselves(request: Request) -> Known:
    """Return who is signed in; a script's token is not enough."""
    if is_open(request):
        raise ProblemError(CONFLICT, _NO_ACCOUNTS)
    known = known_in(request)
    if known is None:
        raise ProblemError(SIGN_IN, _SIGN_IN)
    if known.session_id is None:
        raise ProblemError(FORBIDDEN, "A token opens no accounts: sign in for that.")
    return known


Anyone = Annotated[None, Depends(anyone)]
Reader = Annotated[Person, Depends(reader)]
Editor = Annotated[Person, Depends(editor)]
Decider = Annotated[Person, Depends(decider)]
Planner = Annotated[Known, Depends(planner)]
Maker = Annotated[Person, Depends(maker)]
Keeper = Annotated[Known, Depends(keeper)]
SignedIn = Annotated[Known, Depends(signed_in)]

Rule = Callable[[Request], Awaitable[Any]]
RULES: Final[tuple[Rule, ...]] = (
    anyone, reader, editor, decider, planner, maker, keeper, signed_in,
)  # fmt: skip


# --- Before anything else --------------------------------------------------------------


async def guard(request: Request) -> None:
    """Ask the endpoint's rule before anything of the request is read."""
    rule = rule_of(request.scope["endpoint"])
    if rule is anyone:
        return
    if not await run_in_threadpool(is_open, request):
        _check_scope(request)
    await rule(request)


def check_rules(router: APIRouter) -> None:
    """
    Look whether every route of a router has its one rule.

    Raises
    ------
    LookupError
        If one has none, or several.
    """
    for route in router.routes:
        if isinstance(route, APIRoute):
            rule_of(route.endpoint)


@lru_cache(maxsize=1024)
def rule_of(endpoint: Callable[..., Any]) -> Rule:
    """
    Return the one rule that an endpoint names, itself or through what it is given.

    Raises
    ------
    LookupError
        If it names none, or several.
    """
    asked = list(_dependencies(endpoint))
    direct = {one for one in asked if one in RULES}
    found = direct or {rule for one in asked for rule in _rules_below(one)}
    if len(found) != 1:
        raise LookupError(f"{endpoint.__module__}.{endpoint.__name__} has {len(found)} rules")
    rule: Rule = found.pop()
    return rule


def _rules_below(dependency: Callable[..., Any]) -> set[Rule]:
    if dependency in RULES:
        return {dependency}
    return {rule for one in _dependencies(dependency) for rule in _rules_below(one)}


def _dependencies(function: Callable[..., Any]) -> list[Callable[..., Any]]:
    """Return what a function is given by dependencies that its parameters' types name."""
    hints = get_type_hints(function, include_extras=True)
    told = [one for hint in hints.values() for one in getattr(hint, "__metadata__", ())]
    return [one.dependency for one in told if isinstance(one, params.Depends) and one.dependency]


def _check_scope(request: Request) -> None:
    """Refuse what a script's token is not for."""
    known = known_in(request)
    scope = None if known is None else known.scope
    if scope == "read" and request.method != "GET":
        raise ProblemError(FORBIDDEN, "This token reads, and changes nothing.")
    if scope == "calendar" and not request.url.path.endswith(_CALENDAR):
        raise ProblemError(FORBIDDEN, "This token opens the calendar alone.")
