"""Turns away what no page of the service sends: long headers, foreign hosts and sites, floods."""

from __future__ import annotations

from collections import OrderedDict
from math import ceil
from time import monotonic
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from ribstitch.api.device import address_of
from ribstitch.api.doors import Doors
from ribstitch.api.problems import CROSS_SITE, LONG_HEADERS, MISDIRECTED, TOO_MANY, answer

SAFE: Final = frozenset({"GET", "HEAD", "OPTIONS"})
MOST_HEADERS: Final = 100
LONGEST_HEAD: Final = 65_536
"""Most bytes of an address with all headers."""
_PER_MINUTE: Final = 600
_MOST_KNOWN: Final = 10_000


class Doorkeeper:
    """
    Looks at each request before anything else does.

    Parameters
    ----------
    app
        What answers.
    doors
        Under which names the service is reached.
    per_minute
        How many requests that change something one address may send.
    """

    def __init__(self, app: ASGIApp, doors: Doors, per_minute: int = _PER_MINUTE) -> None:
        self.app = app
        self._doors = doors
        self._allowance = Allowance(per_minute)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer why not."""
        if scope["type"] == "http":
            refused = self._refused(Request(scope))
            if refused is not None:
                await refused(scope, receive, send)
                return
        await self.app(scope, receive, send)

    def _refused(self, request: Request) -> Response | None:
        if _is_long(request.scope):
            sentence = "The address and the headers are longer than 64 KB, or over 100 headers."
            return answer(request, LONG_HEADERS, sentence)
        host = request.headers.get("host", "")
        if not self._doors.is_ours(host):
            sentence = (
                f'This service is not called "{host[:80]}": RIBSTITCH_PUBLIC_URL says under which '
                "address it is reached."
            )
            return answer(request, MISDIRECTED, sentence)
        if request.method in SAFE:
            return None
        if self._is_foreign(request, host):
            sentence = (
                "This request may come from a page of another site; a script sends a token and "
                "no cookie."
            )
            return answer(request, CROSS_SITE, sentence)
        waits = self._allowance.seconds_to_wait(address_of(request))
        if waits:
            sentence = f"Too many changes at once: send the next in {waits} s."
            return answer(request, TOO_MANY, sentence, headers={"Retry-After": str(waits)})
        return None

    def _is_foreign(self, request: Request, host: str) -> bool:
        """
        Return whether a page of another site may have sent a request that changes something.

        Browsers say where it comes from. Who says nothing is no browser, and has to show more
        than the cookie that a browser would have sent along.
        """
        site = request.headers.get("sec-fetch-site")
        if site is not None:
            return site not in {"same-origin", "none"}
        origin = request.headers.get("origin")
        if origin is not None:
            return origin.lower() != self._doors.origin(request.url.scheme, host)
        return self._doors.cookie in request.cookies


def _is_long(scope: Scope) -> bool:
    """Return whether the address and the headers are more than any page or script sends."""
    headers = scope["headers"]
    size = sum(len(name) + len(value) for name, value in headers)
    size += len(scope["path"]) + len(scope["query_string"])
    return len(headers) > MOST_HEADERS or size > LONGEST_HEAD


class Allowance:
    """
    How much each address may still send: so many a minute, in any order.

    Parameters
    ----------
    per_minute
        How many.
    """

    def __init__(self, per_minute: int) -> None:
        self._most = float(per_minute)
        self._per_second = per_minute / 60
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def seconds_to_wait(self, address: str, at: float | None = None) -> int:
        """Take one from an address's allowance; return how long to wait if none is left. [s]"""
        now = monotonic() if at is None else at
        left, since = self._left.pop(address, (self._most, now))
        left = min(self._most, left + (now - since) * self._per_second)
        is_any = left >= 1
        self._left[address] = (left - is_any, now)
        if len(self._left) > _MOST_KNOWN:
            self._left.popitem(last=False)
        return 0 if is_any else ceil((1 - left) / self._per_second)
