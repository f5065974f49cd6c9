"""How the service is entered: openly or by signing in, under which names, with which cookie."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from ipaddress import ip_address
from typing import Annotated, cast
from urllib.parse import urlsplit

from fastapi import Depends
from starlette.requests import Request

from ribstitch.clock import Clock
from ribstitch.services.accounts.passwords import Passwords
from ribstitch.settings import is_loopback
from ribstitch.store import Store

_EVERYWHERE = {"0.0.0.0", "::", ""}  # noqa: S104 - only compared


@dataclass
class Doors:
    """
    What entering the service depends on.

    It is open while it serves its own machine alone and nobody has an account; from then on
    people sign in.
    """

    store: Store
    clock: Clock
    passwords: Passwords
    host: str
    """The address that is served on."""
    public_url: str | None = None
    """Where people reach it, if that is another address, such as https://plan.hangar.example."""
    _has_accounts: bool = field(default=False, init=False)

    def now(self) -> datetime:
        """Return this instant in UTC."""
        return self.clock.now_utc()

    def is_open(self) -> bool:
        """Return whether people choose a role instead of signing in."""
        if not is_loopback(self.host):
            return False
        if not self._has_accounts:  # No account is ever taken away.
            with self.store.accounts(writes=False) as accounts:
                self._has_accounts = accounts.is_any()
        return not self._has_accounts

    @property
    def is_https(self) -> bool:
        """Return whether browsers reach it over TLS."""
        return self.public_url is not None and self.public_url.startswith("https:")

    @property
    def cookie(self) -> str:
        """Return the name of the session's cookie; over TLS no other host can set it."""
        return "__Host-ribstitch" if self.is_https else "ribstitch_session"

    def is_ours(self, host: str) -> bool:
        """
        Return whether a Host header (RFC 9110, section 7.2) names this service.

        A name that anybody can let lead here is none, or pages of others could ask the service
        in the name of who looks at them; an address in numbers can lead nowhere else.
        """
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        if is_loopback(name) or name == self.host.strip("[]").lower():
            return True
        if self.public_url is not None and name == urlsplit(self.public_url).hostname:
            return True
        return self.host in _EVERYWHERE and _is_address(name)

    def origin(self, scheme: str, host: str) -> str:
        """Return the origin of the service's own pages under a name (RFC 6454)."""
        public = urlsplit(self.public_url or "")
        if public.hostname is not None and public.hostname == urlsplit(f"//{host}").hostname:
            return f"{public.scheme}://{public.netloc}".lower()
        return f"{scheme}://{host}".lower()


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def doors_of(request: Request) -> Doors:
    """Return the doors of the application that is asked."""
    return cast("Doors", request.app.state.doors)


async def _doors(request: Request) -> Doors:
    return doors_of(request)


DoorsDep = Annotated[Doors, Depends(_doors)]
