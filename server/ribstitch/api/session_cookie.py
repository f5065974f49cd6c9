"""The cookie of a browser in which somebody signed in."""

from __future__ import annotations

from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ribstitch.api.doors import Doors, doors_of
from ribstitch.services.accounts.sessions import LONGEST

_STATE: Final = "session_token"


def token_in(request: Request) -> str | None:
    """Return the token that the browser brings."""
    return request.cookies.get(doors_of(request).cookie)


def keep_token(request: Request, token: str) -> None:
    """Give the browser a token with the answer; an empty one takes it away."""
    setattr(request.state, _STATE, token)


class SessionCookie:
    """Sets the cookie of whatever answer follows `keep_token`."""

    def __init__(self, app: ASGIApp, doors: Doors) -> None:
        self.app = app
        self._doors = doors

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; add the cookie to the answer's headers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        state = scope.setdefault("state", {})

        async def send_with_cookie(message: Message) -> None:
            if message["type"] == "http.response.start" and _STATE in state:
                headers = MutableHeaders(scope=message)
                headers.append("Set-Cookie", self._cookie(state[_STATE]))
            await send(message)

        await self.app(scope, receive, send_with_cookie)

    def _cookie(self, token: str) -> str:
        made = Response()
        made.set_cookie(
            self._doors.cookie,
            token,
            max_age=int(LONGEST.total_seconds()) if token else 0,
            path="/",
            secure=self._doors.is_https,
            httponly=True,
            samesite="lax",
        )
        return made.headers["set-cookie"]
