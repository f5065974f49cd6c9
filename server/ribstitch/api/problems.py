"""One shape for every refusal: problem details (RFC 9457).

A `ProblemError` is what the API itself refuses; the errors of other layers are mapped to
the same kinds in `ribstitch.api.errors`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson
from starlette.requests import Request
from starlette.responses import Response

MEDIA_TYPE = "application/problem+json"
ADDRESS = "/api/v1/problems/"


@dataclass(frozen=True, slots=True)
class Problem:
    """One kind of refusal: how it is called, its status, and what to do about it."""

    name: str
    status: int
    title: str
    advice: str

    @property
    def type(self) -> str:
        """Return the address that identifies the kind, where it is also explained."""
        return ADDRESS + self.name


MALFORMED = Problem(
    "malformed", 400, "The request cannot be read", "Send what the endpoint's page describes."
)
INVALID = Problem(
    "invalid",
    422,
    "The plan or a value makes no sense",
    "`detail` names the field (also in `field`) and the value; nothing was stored.",
)
SIGN_IN = Problem(
    "sign-in",
    401,
    "You are not signed in",
    "Sign in; a script sends `Authorization: Bearer` with a token of its account.",
)
CROSS_SITE = Problem(
    "cross-site",
    403,
    "A page of another site asked for this",
    "Send it from the service's own pages, or from a script with a token.",
)
FORBIDDEN = Problem("forbidden", 403, "This role may not do that", "`detail` says which roles may.")
NOT_FOUND = Problem("not-found", 404, "There is no such thing", "Look at the list it belongs to.")
NOT_ALLOWED = Problem(
    "method-not-allowed", 405, "The method is not allowed here", "`Allow` lists those that are."
)
CONFLICT = Problem(
    "conflict", 409, "That cannot be done as things are", "`detail` says what stands in the way."
)
STALE = Problem(
    "stale-edit",
    412,
    "Somebody changed this in the meantime",
    "`changes_since` lists what was changed; read the thing again, then repeat the edit.",
)
KEY_USED = Problem(
    "key-used",
    422,
    "The key belongs to another request",
    "Give each request a key of its own; send the same one again only with the same request.",
)
TOO_LARGE = Problem("too-large", 413, "The request is too large", "`detail` says what may be sent.")
LONG_HEADERS = Problem(
    "long-headers",
    431,
    "The address and the headers are too long",
    "Send at most 64 KB of them, and at most 100 headers.",
)
UNSUPPORTED = Problem(
    "unsupported-media-type",
    415,
    "The body is of a type that is not taken here",
    "Send what `detail` names, usually `Content-Type: application/json`.",
)
MISDIRECTED = Problem(
    "misdirected",
    421,
    "The service is not called that",
    "Use the address under which it is set up; `RIBSTITCH_PUBLIC_URL` says which.",
)
TOO_MANY = Problem(
    "too-many-requests", 429, "Too many requests", "Wait as long as `Retry-After` says."
)
UNCONDITIONAL = Problem(
    "precondition-required",
    428,
    "The edit does not say which version it changes",
    'Send `If-Match: "<version>"` with the version that was read.',
)
INTERNAL = Problem(
    "internal", 500, "Ribstitch made a mistake", "Nothing was stored; the log tells what happened."
)
UNAVAILABLE = Problem(
    "unavailable",
    503,
    "The database or the folder of files does not answer",
    "Nothing was stored: try again in a moment; the log tells what happened.",
)

PROBLEMS = (MALFORMED, SIGN_IN, CROSS_SITE, FORBIDDEN, NOT_FOUND, NOT_ALLOWED, CONFLICT, STALE,
            KEY_USED, TOO_LARGE, LONG_HEADERS, UNSUPPORTED, MISDIRECTED, INVALID, UNCONDITIONAL,
            TOO_MANY, INTERNAL, UNAVAILABLE)  # fmt: skip


class ProblemError(Exception):
    """A request that the API itself refuses; `detail` is one sentence for a person."""

    def __init__(self, problem: Problem, detail: str, **extra: Any) -> None:
        self.problem = problem
        self.detail = detail
        self.extra = extra
        super().__init__(detail)


def answer(
    request: Request,
    problem: Problem,
    detail: str,
    *,
    headers: dict[str, str] | None = None,
    **extra: Any,
) -> Response:
    """Return a refusal as an answer; `extra` are members of its own beside the standard ones."""
    body = {
        "type": problem.type,
        "title": problem.title,
        "status": problem.status,
        "detail": detail,
        "instance": request.url.path,
        **extra,
    }
    return Response(
        orjson.dumps(body),
        status_code=problem.status,
        media_type=MEDIA_TYPE,
        headers={"Cache-Control": "no-store", **(headers or {})},
    )
