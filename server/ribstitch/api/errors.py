"""The only place where errors become answers.

Whatever goes wrong, in whichever layer, is answered as problem details: planning, plan
files, the store, FastAPI's own checks, unknown addresses, and mistakes of Ribstitch. Only
a person who follows a link to a page that is not there gets a page.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api import problems
from ribstitch.api.headers import SECURITY
from ribstitch.api.problems import ProblemError, answer
from ribstitch.api.schemas.changes import change_document
from ribstitch.api.static import is_page_wanted, no_such_page
from ribstitch.planfile import PlanFileError
from ribstitch.planning.errors import PlanError
from ribstitch.services.accounts.errors import (
    AccountError,
    AccountStandsError,
    LinkRefusedError,
    NoAccountError,
    SignInRefusedError,
    TooManyTriesError,
)
from ribstitch.services.adopt_levelling import NoOrderError
from ribstitch.services.holds import CheckHoldsError
from ribstitch.services.undo import UndoError
from ribstitch.store import (
    DamagedFileError,
    FilesUnavailableError,
    MissingFileError,
    RequestDoneError,
    StaleEditError,
    StoreError,
    UnavailableError,
    UnknownProjectError,
    UnknownThingError,
)

_LOG = logging.getLogger("ribstitch.api")
_LONGEST = 200
"""How much of an address a sentence repeats."""
_BY_STATUS = {problem.status: problem for problem in problems.PROBLEMS}


def install(app: FastAPI) -> None:
    """Answer every error of an application as problem details."""
    handlers: Sequence[tuple[type[Exception], Any]] = (
        (ProblemError, refusal),
        (PlanError, _plan),
        (PlanFileError, _plan_file),
        (StaleEditError, _stale),
        (UnavailableError, unavailable),
        (FilesUnavailableError, unavailable),
        (MissingFileError, _unknown),
        (DamagedFileError, _unknown),
        (UnknownProjectError, _unknown),
        (UnknownThingError, _unknown),
        (AccountError, _account),
        (NoAccountError, _unknown),
        (LinkRefusedError, _unknown),
        (SignInRefusedError, _sign_in),
        (TooManyTriesError, _too_many),
        (AccountStandsError, _conflict),
        (NoOrderError, _conflict),
        (CheckHoldsError, _check_holds),
        (UndoError, _conflict),
        (RequestDoneError, _conflict),
        (RequestValidationError, _parameters),
        (HTTPException, _http),
    )
    for error, handler in handlers:
        app.add_exception_handler(error, handler)


def refusal(request: Request, error: ProblemError) -> Response:
    """Answer what the API itself refuses."""
    headers = {"WWW-Authenticate": "Bearer"} if error.problem is problems.SIGN_IN else {}
    return answer(request, error.problem, error.detail, headers=headers, **error.extra)


def _account(request: Request, error: AccountError) -> Response:
    return answer(request, problems.INVALID, str(error), field=error.field)


def _sign_in(request: Request, error: SignInRefusedError) -> Response:
    return refusal(request, ProblemError(problems.SIGN_IN, str(error)))


def _too_many(request: Request, error: TooManyTriesError) -> Response:
    headers = {"Retry-After": str(error.seconds)}
    return answer(request, problems.TOO_MANY, str(error), headers=headers)


def _plan(request: Request, error: PlanError) -> Response:
    """Name the field; where one thing is edited, from the thing on and not by its place."""
    field = error.where
    things, _, rest = field.partition("[")
    if things != "cases" and f"/{things.replace('_', '-')}/" in f"{request.url.path}/":
        field = rest.partition("]")[2].lstrip(".")
    detail = f"{field}: {error.reason}" if field else error.reason
    return answer(request, problems.INVALID, detail, field=field)


def _plan_file(request: Request, error: PlanFileError) -> Response:
    sentence = str(error) if error.name or error.where else f"The body {error.reason}."
    return answer(request, problems.INVALID, sentence, field=error.where)


def _stale(request: Request, error: StaleEditError) -> Response:
    return answer(
        request,
        problems.STALE,
        str(error),
        current_version=error.current_version,
        changes_since=[change_document(one) for one in error.changes_since],
    )


def unavailable(request: Request, error: UnavailableError | FilesUnavailableError) -> Response:
    """Answer in words; what the system said may tell about the machine: the log has it."""
    _LOG.error("%s", error.reason)
    return answer(request, problems.UNAVAILABLE, str(error), headers={"Retry-After": "5"})


def _unknown(request: Request, error: StoreError | AccountError) -> Response:
    return answer(request, problems.NOT_FOUND, str(error))


def _conflict(request: Request, error: NoOrderError | UndoError | RequestDoneError) -> Response:
    return answer(request, problems.CONFLICT, str(error))


def _check_holds(request: Request, error: CheckHoldsError) -> Response:
    """Name the task or the item that may not go on, and the task whose check is not settled."""
    held: dict[str, Any] = {error.kind: error.thing}
    return answer(request, problems.CONFLICT, str(error), **held, check=error.check)


def _parameters(request: Request, error: RequestValidationError) -> Response:
    """Name the first parameter of the address that is refused."""
    first = error.errors()[0]
    field = ".".join(str(step) for step in first["loc"][1:])
    reason = f"{first['msg'][0].lower()}{first['msg'][1:]}"
    given = "" if first["type"] == "missing" else f" (given: {str(first['input'])[:60]})"
    return answer(request, problems.INVALID, f"{field}: {reason}{given}", field=field)


def _http(request: Request, error: HTTPException) -> Response:
    """Answer what the framework refuses: unknown addresses, methods that are not allowed."""
    problem = _BY_STATUS.get(error.status_code)
    if problem is problems.NOT_FOUND and is_page_wanted(request):
        return no_such_page()
    if problem is None:
        title = HTTPStatus(error.status_code).phrase
        problem = problems.Problem("other", error.status_code, title, "")
    detail = str(error.detail)
    if problem is problems.NOT_FOUND:
        detail = f"There is nothing at {request.url.path[:_LONGEST]}."
    elif problem is problems.NOT_ALLOWED:
        detail = f"{request.method} is not allowed at {request.url.path[:_LONGEST]}."
    return answer(request, problem, detail, headers=dict(error.headers or {}))


def mistake(request: Request, request_id: str) -> Response:
    """Answer a mistake of Ribstitch; under the request's id the server's log has the rest."""
    return answer(
        request,
        problems.INTERNAL,
        "Something went wrong inside Ribstitch; nothing was stored. "
        f"The log has it as request {request_id}.",
        headers=dict(SECURITY),
        request_id=request_id,
    )
