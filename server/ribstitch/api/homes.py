"""
Several processes serve one database; each project is at home in one of them.

There its forecast is computed once for each change, and what somebody has asked for is watched
and cancelled: a simulation, a levelling, an earlier finish. The others hand requests about the
project on to it, through a socket that only they can open. What is large or lasts (files, tables,
the stream of changes) is answered by the process that was asked, from the database.
"""

from __future__ import annotations

import re
import socket
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from time import monotonic, sleep
from typing import Final, NamedTuple

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from ribstitch.api.bodies import SMALL
from ribstitch.api.headers import SECURITY
from ribstitch.api.problems import UNAVAILABLE, answer

AT_HOME: Final = re.compile(
    r"/api/v1/projects/(\d{1,10})/(?!(?:events|evidence|drawings|imports|exports)(?:/|$)).*"
)
"""What is asked of a project's own process."""
_SENT: Final = "x-ribstitch-sent"
_OF_THE_WAY: Final = {"connection", "keep-alive", "transfer-encoding", "content-length", "date"}
_SECONDS: Final = 60.0
_SECONDS_TO_START: Final = 5.0
_LOOK_EVERY: Final = 0.1


@dataclass(frozen=True, slots=True)
class Homes:
    """
    Where the processes find each other.

    Parameters
    ----------
    folder
        With a socket for each; nobody else can look into it.
    count
        How many processes there are.
    own
        Which one this is, from 0.
    """

    folder: Path
    count: int
    own: int

    def place(self, number: int) -> Path:
        """Return the socket of a process."""
        return self.folder / f"process-{number}"

    def of(self, path: str) -> int:
        """Return the process that answers an address."""
        asked = AT_HOME.fullmatch(path)
        return self.own if asked is None else int(asked[1]) % self.count


class HandOn:
    """
    Hands on what another process keeps.

    Parameters
    ----------
    app
        What answers here.
    homes
        Where the others are.
    """

    def __init__(self, app: ASGIApp, homes: Homes) -> None:
        self.app = app
        self._homes = homes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer here, or ask the other process."""
        if scope["type"] == "http":
            if scope["server"] == (str(self._homes.place(self._homes.own)), None):
                _put_back(scope)
            elif (home := self._homes.of(scope["path"])) != self._homes.own:
                await self._hand_on(home, scope, receive, send)
                return
        await self.app(scope, receive, send)

    async def _hand_on(self, home: int, scope: Scope, receive: Receive, send: Send) -> None:
        """Ask another process, and answer what it answers."""
        body = await _body(receive)
        if body is None:
            return
        try:
            found = await run_in_threadpool(_asked, self._homes.place(home), scope, body)
        except (OSError, HTTPException):
            said = "The process that computes this is being started; nothing was stored."
            headers = {**SECURITY, "Retry-After": "2"}
            refused = answer(Request(scope), UNAVAILABLE, said, headers=headers)
            await refused(scope, receive, send)
            return
        await send(
            {"type": "http.response.start", "status": found.status, "headers": found.headers}
        )
        await send({"type": "http.response.body", "body": found.body})


class _Found(NamedTuple):
    """What another process has answered."""

    status: int
    headers: list[tuple[bytes, bytes]]
    body: bytes


class _Connection(HTTPConnection):
    """A connection to a socket of this machine."""

    def __init__(self, place: Path) -> None:
        super().__init__("localhost", timeout=_SECONDS)
        self._place = place

    def connect(self) -> None:
        """Connect; a process that is being started is waited for a little."""
        until = monotonic() + _SECONDS_TO_START
        while True:
            self.sock = socket.socket(socket.AF_UNIX)
            self.sock.settimeout(_SECONDS)
            try:
                self.sock.connect(str(self._place))
            except (FileNotFoundError, ConnectionRefusedError):
                self.sock.close()
                if monotonic() > until:
                    raise
                sleep(_LOOK_EVERY)
            else:
                return


def _asked(place: Path, scope: Scope, body: bytes) -> _Found:
    """Send a request to another process as it came, and wait for the answer."""
    query = scope["query_string"].decode("latin-1")
    path = scope["raw_path"].decode("latin-1")
    connection = _Connection(place)
    try:
        connection.putrequest(
            scope["method"],
            f"{path}?{query}" if query else path,
            skip_host=True,
            skip_accept_encoding=True,
        )
        for name, value in scope["headers"]:
            if name.decode("latin-1") not in {*_OF_THE_WAY, _SENT}:
                connection.putheader(name.decode("latin-1"), value)
        host, port = scope["client"] or ("", 0)
        connection.putheader(_SENT, f"{scope['scheme']} {port} {host}")
        connection.putheader("content-length", str(len(body)))
        connection.endheaders(body)
        response = connection.getresponse()
        headers = [
            (name.lower().encode("latin-1"), value.encode("latin-1"))
            for name, value in response.getheaders()
            if name.lower() not in _OF_THE_WAY - {"content-length"}
        ]
        return _Found(response.status, headers, response.read())
    finally:
        connection.close()


def _put_back(scope: Scope) -> None:
    """Let a request that was handed on look as it came to the service."""
    headers = MutableHeaders(scope=scope)
    scheme, port, host = headers.get(_SENT, "http 0 ").split(" ", 2)
    scope["scheme"] = scheme
    scope["client"] = (host, int(port)) if host else None
    del headers[_SENT]


async def _body(receive: Receive) -> bytes | None:
    """Read a body, at most a little more than is taken; None if the request broke off."""
    body, more = bytearray(), True
    while more and len(body) <= SMALL:
        message = await receive()
        if message["type"] != "http.request":
            return None
        body += message.get("body", b"")
        more = message.get("more_body", False)
    return bytes(body)
