"""
Requests that are done once, however often they are sent.

A program that gets no answer cannot know whether its request arrived. It gives the request a
key of its own (`Idempotency-Key`) and sends it again: the same key gets the same answer, and
nothing is done a second time.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import read_body_if_any
from ribstitch.api.deps import Service
from ribstitch.api.errors import refusal, unavailable
from ribstitch.api.identity import sender_of
from ribstitch.api.problems import KEY_USED, MALFORMED, ProblemError, answer
from ribstitch.planfile.reading import LARGEST_BYTES
from ribstitch.store import Answer, KeyUsedError, NamedRequest, UnavailableError, doing

HEADER: Final = "Idempotency-Key"
_UNSAFE: Final = frozenset({"POST", "PUT", "PATCH", "DELETE"})
_KEY: Final = re.compile(r"[A-Za-z0-9_-]{8,64}")


class Once:
    """Answer a request whose key is known as before; keep the answers of those that are new."""

    def __init__(self, app: ASGIApp, service: Service) -> None:
        self._app = app
        self._service = service
        self._turns = _Turns()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, unless it was done before."""
        key = Headers(scope=scope).get(HEADER) if scope["type"] == "http" else None
        if key is None or scope["method"] not in _UNSAFE:
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        try:
            named, body = await self._named(request, key)
            async with self._turns.of(named.sender, named.key):
                answered = await self._answered(scope, named, body)
        except ProblemError as refused:
            answered = refusal(request, refused)
        except KeyUsedError as refused:
            answered = answer(request, KEY_USED, str(refused))
        except UnavailableError as failed:
            answered = unavailable(request, failed)
        await answered(scope, receive, send)

    async def _named(self, request: Request, key: str) -> tuple[NamedRequest, bytes]:
        """Read a request to its end; return it with its key, and its body."""
        if not _KEY.fullmatch(key):
            raise ProblemError(
                MALFORMED,
                f'{HEADER}: "{key[:64]}" is not 8 to 64 letters, digits, hyphens or underscores.',
            )
        sender = await run_in_threadpool(sender_of, request)
        body = await read_body_if_any(request, max(LARGEST_BYTES, self._service.largest_file))
        asked = (request.method, request.url.path, request.url.query,
                 request.headers.get("if-match", ""))  # fmt: skip
        digest = sha256(b"\0".join((*(one.encode() for one in asked), body))).hexdigest()
        return NamedRequest(sender, key, digest), body

    async def _answered(self, scope: Scope, named: NamedRequest, body: bytes) -> Response:
        """Return the answer that was kept, or that of the request, which is done now."""
        store = self._service.store
        known = await run_in_threadpool(store.answered, named)
        if known is not None:
            return _response(known)
        caught = _Caught(body)
        with doing(named):
            await self._app(scope, caught.receive, caught.send)
        if named.was_done:
            known = await run_in_threadpool(store.answered, named)
            return _response(known or Answer(0, "", "", b""))
        if named.is_written and caught.status < 400:
            headers = Headers(raw=caught.headers)
            kept = Answer(
                caught.status,
                headers.get("content-type", ""),
                headers.get("etag", ""),
                bytes(caught.content),
            )
            await run_in_threadpool(store.keep_answer, named, kept)
        return caught.response()


@dataclass
class _Caught:
    """A request's body on its way in again, and the answer before it is sent."""

    body: bytes
    status: int = 500
    headers: list[tuple[bytes, bytes]] = field(default_factory=list)
    content: bytearray = field(default_factory=bytearray)
    is_read: bool = False

    async def receive(self) -> Message:
        """Hand the body over, whole; nobody hangs up before the answer is caught."""
        if self.is_read:
            await asyncio.Event().wait()
        self.is_read = True
        return {"type": "http.request", "body": self.body, "more_body": False}

    async def send(self, message: Message) -> None:
        """Take a part of the answer."""
        if message["type"] == "http.response.start":
            self.status, self.headers = message["status"], list(message["headers"])
        elif message["type"] == "http.response.body":
            self.content += message.get("body", b"")

    def response(self) -> Response:
        """Return the answer."""
        caught = Response(bytes(self.content), self.status)
        caught.raw_headers = self.headers
        return caught


class _Turns:
    """Lets those who send the same key at the same time wait for each other."""

    def __init__(self) -> None:
        self._waiting: dict[tuple[str, str], tuple[asyncio.Lock, int]] = {}

    @asynccontextmanager
    async def of(self, sender: str, key: str) -> AsyncIterator[None]:
        """Wait until nobody else does the request of a key."""
        name = sender, key
        lock, count = self._waiting.get(name, (asyncio.Lock(), 0))
        self._waiting[name] = lock, count + 1
        try:
            async with lock:
                yield
        finally:
            _, count = self._waiting[name]
            if count == 1:
                del self._waiting[name]
            else:
                self._waiting[name] = lock, count - 1


def _response(known: Answer) -> Response:
    """Return the answer that a request got; where it was never kept, that it was done."""
    if not known.status:
        return json_response({"done_before": True})
    headers = {"Cache-Control": "no-store"}
    if known.etag:
        headers["ETag"] = known.etag
    if known.media_type:
        headers["Content-Type"] = known.media_type
    return Response(known.body, known.status, headers=headers)
