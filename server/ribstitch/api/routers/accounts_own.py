"""One's own account: name, password, sessions, second factor, tokens."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response, no_content
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Expected
from ribstitch.api.device import address_of, device_of
from ribstitch.api.doors import DoorsDep
from ribstitch.api.identity import SignedIn
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
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
    CodeAsked,
    NameAsked,
    OwnAccount,
    PasswordAsked,
    ProofAsked,
    RecoveryCodes,
    SecondFactorShown,
    SessionLines,
    TokenAsked,
    TokenLines,
    TokenTold,
    own_document,
    session_document,
    token_document,
)
from ribstitch.api.session_cookie import keep_token
from ribstitch.services.accounts.api_tokens import make_token, revoke_token, tokens_of
from ribstitch.services.accounts.own import (
    change_name,
    change_password,
    confirm_second_factor,
    drop_second_factor,
    offer_second_factor,
    own_account,
)
from ribstitch.services.accounts.sessions import end_session, sessions_of

router = APIRouter(
    prefix="/account",
    tags=["Accounts"],
    responses=refusals(INVALID, SIGN_IN, CONFLICT),
)
_SENDING = refusals(MALFORMED, UNSUPPORTED, TOO_MANY)
_PROOF = {"password": "your password"}
Number = Annotated[int, Path(ge=1, le=2**31 - 1, description="Its `id`, as in the list")]


@router.get("", summary="My account", response_model=OwnAccount)
def account(doors: DoorsDep, known: SignedIn) -> Response:
    """Return one's own account."""
    row = own_account(doors.store, known)
    return json_response(own_document(row), ETag=etag(row.version))


@router.patch(
    "",
    summary="Change my name",
    response_model=OwnAccount,
    responses=EDIT_REFUSALS,
    openapi_extra=takes(NameAsked, a_name={"name": "Metalworker 1"}),
)
def rename(
    asked: Annotated[NameAsked, Depends(body_of(NameAsked))],
    doors: DoorsDep,
    expected: Expected,
    known: SignedIn,
) -> Response:
    """Change one's name; what was done before keeps the old one."""
    row = change_name(doors.store, known, asked.name, expected, doors.now())
    return json_response(own_document(row), ETag=etag(row.version))


@router.post(
    "/password",
    summary="Change my password",
    status_code=204,
    responses=_SENDING,
    openapi_extra=takes(
        PasswordAsked,
        a_new_one={"old_password": "your password", "new_password": "four other words"},
    ),
)
def new_password(
    request: Request,
    asked: Annotated[PasswordAsked, Depends(body_of(PasswordAsked))],
    doors: DoorsDep,
    known: SignedIn,
) -> Response:
    """Change one's password; all other sessions end."""
    opened = change_password(
        doors.store, doors.passwords, known, asked.old_password, asked.new_password,
        address_of(request), device_of(request), doors.now(),
    )  # fmt: skip
    keep_token(request, opened.token)
    return no_content()


@router.get("/sessions", summary="Where I am signed in", response_model=SessionLines)
def sessions(doors: DoorsDep, known: SignedIn) -> Response:
    """Return one's own sessions, the one used last first."""
    rows = sessions_of(doors.store, known, doors.now())
    return json_response({"sessions": [session_document(row, known.session_id) for row in rows]})


@router.delete(
    "/sessions/{session_id}",
    summary="End one of my sessions",
    status_code=204,
    responses=refusals(NOT_FOUND),
)
def end(session_id: Number, doors: DoorsDep, known: SignedIn) -> Response:
    """Sign out in another browser."""
    end_session(doors.store, known, session_id, doors.now())
    return no_content()


@router.post(
    "/second-factor",
    summary="Get a second factor",
    response_model=SecondFactorShown,
    responses=_SENDING,
    openapi_extra=takes(ProofAsked, my_password=_PROOF),
)
def offer(
    request: Request,
    asked: Annotated[ProofAsked, Depends(body_of(ProofAsked))],
    doors: DoorsDep,
    known: SignedIn,
) -> Response:
    """Show a new secret; it counts once a code of it was given."""
    shown = offer_second_factor(
        doors.store, doors.passwords, known, asked.password, address_of(request), doors.now()
    )
    return json_response(shown)


@router.put(
    "/second-factor",
    summary="Confirm my second factor",
    response_model=RecoveryCodes,
    responses=_SENDING,
    openapi_extra=takes(CodeAsked, of_the_app={"code": "123456"}),
)
def confirm(
    asked: Annotated[CodeAsked, Depends(body_of(CodeAsked))], doors: DoorsDep, known: SignedIn
) -> Response:
    """Let the secret count from now on; the answer has the recovery codes, this once."""
    codes = confirm_second_factor(doors.store, known, asked.code, doors.now())
    return json_response({"recovery_codes": codes})


@router.post(
    "/second-factor/drop",
    summary="Do without a second factor",
    status_code=204,
    responses=_SENDING,
    openapi_extra=takes(ProofAsked, my_password=_PROOF),
)
def drop(
    request: Request,
    asked: Annotated[ProofAsked, Depends(body_of(ProofAsked))],
    doors: DoorsDep,
    known: SignedIn,
) -> Response:
    """Forget the second factor and its recovery codes."""
    drop_second_factor(
        doors.store, doors.passwords, known, asked.password, address_of(request), doors.now()
    )
    return no_content()


@router.get("/tokens", summary="My tokens", response_model=TokenLines)
def tokens(doors: DoorsDep, known: SignedIn) -> Response:
    """Return one's own tokens, the newest first, without what opens."""
    return json_response({"tokens": list(map(token_document, tokens_of(doors.store, known)))})


@router.post(
    "/tokens",
    summary="Make a token",
    status_code=201,
    response_model=TokenTold,
    responses={**_SENDING, **refusals(NOT_FOUND)},
    openapi_extra=takes(
        TokenAsked, for_a_calendar={"name": "Telephone", "scope": "calendar", "days": 366}
    ),
)
def make(
    asked: Annotated[TokenAsked, Depends(body_of(TokenAsked))], doors: DoorsDep, known: SignedIn
) -> Response:
    """Make a token that may do at most what one may oneself; it is told this once."""
    made = make_token(
        doors.store, known, asked.name, asked.scope, asked.project, asked.days, doors.now()
    )
    return json_response({"token": made.token, "line": token_document(made.row)}, status=201)


@router.delete(
    "/tokens/{token_id}",
    summary="Revoke one of my tokens",
    status_code=204,
    responses=refusals(NOT_FOUND),
)
def revoke(token_id: Number, doors: DoorsDep, known: SignedIn) -> Response:
    """Let a token open nothing any more."""
    revoke_token(doors.store, known, token_id, doors.now())
    return no_content()
