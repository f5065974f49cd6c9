"""Headers that every answer carries: what a page may load, and from where."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

REVALIDATE = {"Cache-Control": "no-cache"}
"""Of what a browser keeps, and asks each time whether it is still the same."""

SECURITY = {
    "Content-Security-Policy": (
        "default-src 'self'; style-src 'self'; img-src 'self' data:; object-src 'none'; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}

_ONLY_HTTPS = {"Strict-Transport-Security": "max-age=31536000"}
"""The browser asks for a year over TLS alone (RFC 6797)."""


class SecurityHeaders:
    """
    Add the headers to every answer; one that brings a policy of its own keeps it.

    Parameters
    ----------
    app
        What answers.
    only_https
        Whether people reach the service over TLS alone.
    """

    def __init__(self, app: ASGIApp, *, only_https: bool = False) -> None:
        self.app = app
        self._headers = {**SECURITY, **(_ONLY_HTTPS if only_https else {})}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and complete the answer's headers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers.setdefault(name, value)
            await send(message)

        await self.app(scope, receive, send_with_headers)
