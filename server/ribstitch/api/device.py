"""From where somebody asks, in a few words."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request

_KINDS: Final = (("ipad", "tablet"), ("tablet", "tablet"), ("mobi", "telephone"))


def address_of(request: Request) -> str:
    """Return the address that a request came from."""
    return request.client.host if request.client else ""


def device_of(request: Request) -> str:
    """Return what kind of device asks, and from where: enough to know one's own again."""
    said = request.headers.get("user-agent", "").lower()
    kind = next((kind for sign, kind in _KINDS if sign in said), "computer")
    return f"{kind} at {address_of(request)}" if address_of(request) else kind
