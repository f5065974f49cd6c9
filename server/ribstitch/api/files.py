"""Files on their way in and out: photos and documents, as bytes and never as pages.

What is given out can run nothing: it has the type that its content shows, no browser may
guess another, and a content policy of its own puts it into an empty room.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import PurePath
from typing import Any, Final
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.bodies import declared_type, read_body
from ribstitch.api.conditional import matches
from ribstitch.services.evidence import Sent
from ribstitch.services.evidence_file import ENDINGS, PDF

_ALONE: Final = {
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; sandbox",
}
_ALWAYS_THE_SAME: Final = "private, max-age=31536000, immutable"
_ASK_AGAIN: Final = "private, no-cache"


def file_content(types: Iterable[str]) -> dict[str, Any]:
    """Return how the description of the API says that a body is a file of one of these types."""
    return {one: {"schema": {"type": "string", "format": "binary"}} for one in types}


def takes_a_file(types: Iterable[str]) -> dict[str, Any]:
    """Return what an endpoint says that takes a file."""
    return {"requestBody": {"required": True, "content": file_content(types)}}


async def read_file(request: Request, taken: Sequence[str], most: int) -> Sent:
    """
    Read a body that is a file of at most `most` bytes.

    Raises
    ------
    ProblemError
        If its Content-Type is none that is `taken`, or it is empty or too large.
    """
    declared = declared_type(request, taken, f"one of {', '.join(taken)}")
    return Sent(await read_body(request, most, "file"), declared)


def download(content: bytes, media_type: str, name: str) -> Response:
    """Return a file that is made for whoever asks, and that nobody keeps."""
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Cache-Control": "no-store",
    }
    return Response(content, media_type=media_type, headers=headers)


def file_response(
    request: Request, content: bytes, media_type: str, digest: str, name: str, given: str | None
) -> Response:
    """
    Return a file as an answer.

    Parameters
    ----------
    request
        Who asks; is answered 304 if they have it.
    content, media_type
        The file and what it was found to be.
    digest
        Of the file that it is or was made from.
    name
        How it is called where it is kept.
    given
        The digest in the address. With it the answer never changes, so nobody asks again.
    """
    headers = {
        **_ALONE,
        "ETag": f'"{digest}"',
        "Cache-Control": _ALWAYS_THE_SAME if given == digest else _ASK_AGAIN,
        "Content-Disposition": disposition(media_type, name),
    }
    if matches(request.headers.get("if-none-match"), headers["ETag"]):
        return Response(status_code=304, headers=headers)
    return Response(content, media_type=media_type, headers=headers)


def disposition(media_type: str, name: str) -> str:
    """
    Return the Content-Disposition of a file (RFC 6266, with RFC 8187 for other letters).

    Its ending is one of its type, so that it is opened as what it is.
    """
    endings = ENDINGS[media_type]
    if PurePath(name).suffix.lower() not in endings:
        name += endings[0]
    plain = "".join(
        letter if letter.isascii() and letter.isprintable() and letter not in '"\\%' else "_"
        for letter in name
    )
    kind = "attachment" if media_type == PDF else "inline"
    return f"{kind}; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
