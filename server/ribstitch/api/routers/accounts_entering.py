"""Coming in and going out: sign-in, second factor, sign-out, one-time links."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response, no_content
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.device import address_of, device_of
from ribstitch.api.doors import DoorsDep
from ribstitch.api.identity import Anyone, SignedIn
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import (
    CONFLICT,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    SIGN_IN,
    TOO_MANY,
    UNSUPPORTED,
)
from ribstitch.api.schemas.accounts import (
    CameIn,
    CodeAsked,
    LinkFor,
    LinkLooked,
    LinkUsed,
    SignInAsked,
    SignOutAsked,
)
from ribstitch.api.session_cookie import keep_token, token_in
from ribstitch.services.accounts.links import look_at_link, use_link
from ribstitch.services.accounts.sessions import Opened, sign_out
from ribstitch.services.accounts.sign_in import pass_second_factor, sign_in

router = APIRouter(
    tags=["Accounts"], responses=refusals(INVALID, MALFORMED, UNSUPPORTED, SIGN_IN, TOO_MANY)
)
_TOKEN = "What stands behind the # of the link"  # noqa: S105 - an example


@router.post(
    "/sign-in",
    summary="Sign in",
    response_model=CameIn,
    openapi_extra=takes(
        SignInAsked, the_lead={"email": "lead@hangar.example", "password": "four words of yours"}
    ),
)
def come_in(
    request: Request,
    asked: Annotated[SignInAsked, Depends(body_of(SignInAsked))],
    doors: DoorsDep,
    _rule: Anyone,
) -> Response:
    """
    Open a session, which a cookie keeps; where there is a second factor, that comes next.

    What does not fit gets one answer, whatever it is; after a few tries the next has to wait.
    """
    opened = sign_in(
        doors.store, doors.passwords, asked.email, asked.password, address_of(request),
        device_of(request), doors.now(),
    )  # fmt: skip
    return _came_in(request, opened)


@router.post(
    "/sign-in/second-factor",
    summary="Give the second factor",
    response_model=CameIn,
    openapi_extra=takes(CodeAsked, of_the_app={"code": "123456"}),
)
def give_second_factor(
    request: Request,
    asked: Annotated[CodeAsked, Depends(body_of(CodeAsked))],
    doors: DoorsDep,
    _rule: Anyone,
) -> Response:
    """Finish a sign-in within ten minutes, by a code of the app or a recovery code."""
    opened = pass_second_factor(
        doors.store, token_in(request) or "", asked.code, address_of(request),
        device_of(request), doors.now(),
    )  # fmt: skip
    return _came_in(request, opened)


@router.post(
    "/sign-out",
    summary="Sign out",
    status_code=204,
    responses=refusals(CONFLICT),
    openapi_extra=takes(SignOutAsked, here={}, everywhere={"everywhere": True}),
)
def go_out(
    request: Request,
    asked: Annotated[SignOutAsked, Depends(body_of(SignOutAsked))],
    doors: DoorsDep,
    known: SignedIn,
) -> Response:
    """End this session, or all of one's own."""
    sign_out(doors.store, known, doors.now(), everywhere=asked.everywhere)
    keep_token(request, "")
    return no_content()


@router.post(
    "/one-time-links/look",
    summary="What a one-time link is for",
    response_model=LinkFor,
    responses=refusals(NOT_FOUND),
    openapi_extra=takes(LinkLooked, a_link={"token": _TOKEN}),
)
def look(
    asked: Annotated[LinkLooked, Depends(body_of(LinkLooked))], doors: DoorsDep, _rule: Anyone
) -> Response:
    """Return what a link is for, without using it; its token is in no address, so in no log."""
    told = look_at_link(doors.store, asked.token, doors.now())
    return json_response(told)


@router.post(
    "/one-time-links/use",
    summary="Use a one-time link",
    response_model=CameIn,
    responses=refusals(NOT_FOUND),
    openapi_extra=takes(
        LinkUsed,
        an_invitation={"token": _TOKEN, "name": "Metalworker 1", "password": "four words of yours"},
    ),
)
def use(
    request: Request,
    asked: Annotated[LinkUsed, Depends(body_of(LinkUsed))],
    doors: DoorsDep,
    _rule: Anyone,
) -> Response:
    """Make the first account, accept an invitation, or set a new password; and come in."""
    opened = use_link(
        doors.store, doors.passwords, asked.token, asked.name, asked.email, asked.password,
        device_of(request), doors.now(),
    )  # fmt: skip
    return _came_in(request, opened)


def _came_in(request: Request, opened: Opened) -> Response:
    keep_token(request, opened.token)
    return json_response({"second_factor": opened.waits})
