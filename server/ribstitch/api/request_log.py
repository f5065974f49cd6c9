"""Each request has an id, is counted and logged; what nobody foresaw is answered with the id."""

from __future__ import annotations

import logging
import re
from time import perf_counter
from typing import Final
from uuid import uuid4

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ribstitch.api.errors import mistake
from ribstitch.api.identity import account_in
from ribstitch.api.logs import request_id
from ribstitch.api.metrics import Metrics

_LOG = logging.getLogger("ribstitch.requests")
HEADER: Final = "X-Request-Id"
_API = "/api/v1"
_SAFE = re.compile(r"[A-Za-z0-9_-]{1,64}")
_METHODS = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"}


class RequestLog:
    """
    Stands around everything else.

    No body, no query, no cookie and no token is logged, and of the address only the route.

    Parameters
    ----------
    app
        What answers.
    metrics
        What counts.
    """

    def __init__(self, app: ASGIApp, metrics: Metrics) -> None:
        self.app = app
        self._metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and note what came of it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        asked, method, begun = _id_of(scope), _method(scope), perf_counter()
        token = request_id.set(asked)
        status = 0

        async def send_with_id(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)[HEADER] = asked
            await send(message)

        try:
            await self.app(scope, receive, send_with_id)
        except Exception:
            _LOG.exception("a mistake of Ribstitch")
            if status:
                raise
            await mistake(Request(scope), asked)(scope, receive, send_with_id)
        finally:
            self._note(method, scope, status, perf_counter() - begun)
            request_id.reset(token)

    def _note(self, method: str, scope: Scope, status: int, seconds: float) -> None:
        """Count and log one request."""
        route = _route(scope)
        self._metrics.answered(method, route, status, seconds)
        ms = round(seconds * 1000, 1)
        fields = {"method": method, "route": route, "status": status, "ms": ms}
        if (account := account_in(scope)) is not None:
            fields["account"] = account
        _LOG.info("%s %s %d %.1f ms", method, route, status, ms, extra={"fields": fields})


def _id_of(scope: Scope) -> str:
    """Return the id that a request brings, if it is short and plain, or a new one."""
    given = Headers(scope=scope).get(HEADER, "")
    return given if _SAFE.fullmatch(given) else uuid4().hex


def _method(scope: Scope) -> str:
    """Return the method, if it is one of those that anything answers."""
    method: str = scope["method"]
    return method if method in _METHODS else "OTHER"


def _route(scope: Scope) -> str:
    """Return the route that answers, with the names of its parameters and not their values."""
    path: str = getattr(scope.get("route"), "path", "")
    if path:  # which FastAPI tells without the prefix of its router, depending on the version
        is_of_api = scope["path"].startswith(f"{_API}/") and not path.startswith(_API)
        return f"{_API}{path}" if is_of_api else path
    return "/assets" if scope["path"].startswith("/assets/") else "none"
