"""Bodies of requests: not too large; JSON is checked like a plan file.

Parts of a plan file are read with the plan file's own parser, so that a value is refused
in the same sentence wherever it comes from. `body_of` also notes what each endpoint
takes, for the OpenAPI description.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Awaitable, Callable, Container
from typing import Any, TypeVar

from pydantic import BaseModel
from starlette.requests import ClientDisconnect, Request

from ribstitch.api.problems import INVALID, MALFORMED, TOO_LARGE, UNSUPPORTED, ProblemError
from ribstitch.planfile.reading import LARGEST_BYTES, parse_part

SMALL = 256 * 1024
"""Most bytes of an ordinary body."""

SECONDS_TO_ARRIVE = 300.0
"""How long a body may take to arrive, whole. [s]"""

_NUL = re.compile(rb"(?<!\\)(?:\\\\)*\\u0000")
"""The character as JSON writes it (and not a backslash before the text u0000)."""

_Model = TypeVar("_Model", bound=BaseModel)


def body_of(kind: type[_Model]) -> Callable[[Request], Awaitable[_Model]]:
    """
    Return a dependency that reads the body of a request as a model.

    It raises `ProblemError` for what is no JSON or too large, and `PlanFileError` for
    what is not as the model says.
    """

    async def read(request: Request) -> _Model:
        return parse_part(kind, await read_json(request, SMALL), "")

    return read


async def read_json(request: Request, most: int, *also: str) -> bytes:
    """
    Read a JSON body of at most `most` bytes; `also` are further media types it may have.

    Raises
    ------
    ProblemError
        If it is not declared as JSON, is empty, or is larger: no more is read then.
    """
    declared_type(request, ("application/json", *also), "application/json")
    body = await read_body(request, most)
    if _NUL.search(body):
        raise ProblemError(INVALID, "The body holds the character NUL, which no text may hold.")
    return body


def declared_type(request: Request, taken: Container[str], needed: str) -> str:
    """
    Return the media type that a body is said to have; what is `needed` stands in a refusal.

    Raises
    ------
    ProblemError
        If it is none of those that are `taken`. It must be said, so that no page of another
        site can send one unasked.
    """
    declared = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if declared not in taken:
        given = f'"{declared[:60]}"' if declared else "nothing"
        raise ProblemError(UNSUPPORTED, f"Content-Type: {given} was given, {needed} is needed.")
    return declared


async def read_body(request: Request, most: int, what: str = "body") -> bytes:
    """
    Read a body of at most `most` bytes; `what` it is called in a refusal.

    Raises
    ------
    ProblemError
        If it is empty, breaks off, takes too long, or is larger: no more is read then.
    """
    body = await read_body_if_any(request, most, what)
    if not body:
        raise ProblemError(MALFORMED, f"The request has no {what}.")
    return body


async def read_body_if_any(request: Request, most: int, what: str = "body") -> bytes:
    """Read a body as `read_body` does; it may be empty, and no more than so slow."""
    declared = request.headers.get("content-length", "")
    if declared.isdecimal() and int(declared) > most:
        raise _too_large(most, what)
    body = bytearray()
    try:
        async with asyncio.timeout(SECONDS_TO_ARRIVE):
            async for chunk in request.stream():
                body += chunk
                if len(body) > most:
                    raise _too_large(most, what)
    except ClientDisconnect:
        raise ProblemError(MALFORMED, "The request broke off before its body ended.") from None
    except TimeoutError:
        late = f"The {what} did not arrive within {SECONDS_TO_ARRIVE:.0f} s."
        raise ProblemError(MALFORMED, late) from None
    return bytes(body)


async def refuse_nul(request: Request) -> None:
    """
    Refuse an address that holds the character NUL: no database keeps it in a text.

    Raises
    ------
    ProblemError
        If it does.
    """
    if "\x00" in request.url.path or "%00" in request.url.query:
        raise ProblemError(INVALID, "The address holds the character NUL, which no text may hold.")


def _too_large(most: int, what: str) -> ProblemError:
    """Return the refusal of a body that is too large."""
    limit = f"{most // 1024} KB" if most < 1_000_000 else f"{most / 1e6:.0f} MB"
    return ProblemError(
        TOO_LARGE, f"The {what} is larger than {limit}, the most that is taken here."
    )


async def read_plan_file(request: Request) -> bytes:
    """Read a body that is a whole plan file."""
    return await read_json(request, LARGEST_BYTES)


def takes(kind: type[BaseModel], **examples: Any) -> dict[str, Any]:
    """Describe a body for OpenAPI: ``openapi_extra=takes(TaskDocument, new_task={...})``."""
    content: dict[str, Any] = {"schema": {"$ref": f"#/components/schemas/{kind.__name__}"}}
    if examples:
        content["examples"] = {
            name: {"summary": name.replace("_", " ").capitalize(), "value": value}
            for name, value in examples.items()
        }
    return {"requestBody": {"required": True, "content": {"application/json": content}}}
