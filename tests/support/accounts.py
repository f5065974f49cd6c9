"""People with accounts in a store, and the short ways to them that tests need."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from pwdlib.hashers.argon2 import Argon2Hasher

from ribstitch.services.accounts.known import Known, Role
from ribstitch.services.accounts.links import make_set_up_link, use_link
from ribstitch.services.accounts.passwords import Passwords
from ribstitch.services.accounts.people import invite
from ribstitch.services.accounts.sessions import Opened, recognise
from ribstitch.services.accounts.sign_in import sign_in
from ribstitch.store import Store

CHEAP = Passwords(Argon2Hasher(time_cost=1, memory_cost=8, parallelism=1))
"""Hashes that take no time, and protect nothing."""
PASSWORD = "quilted marmot under tarpaulin"  # noqa: S105 - of nobody
"""Of everybody in the tests."""
OTHER = "seven anvils hum in the orchard"
START = datetime(2026, 2, 2, 9, 30, tzinfo=UTC)
HERE = "192.0.2.7"
"""An address for documentation (RFC 5737)."""
KEEPER = "keeper@hangar.example"


class Hangar:
    """A store whose people sign in; its clock is moved by hand."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.now = START

    def later(self, **by: float) -> datetime:
        """Move the clock."""
        self.now += timedelta(**by)
        return self.now

    def set_up(self) -> Known:
        """Make the first account."""
        link = make_set_up_link(self.store, self.now)
        assert link is not None
        return self.known(self.use(link.token, "Keeper", KEEPER))

    def use(self, token: str, name: str = "", email: str = "", password: str = PASSWORD) -> Opened:
        """Use a one-time link."""
        return use_link(self.store, CHEAP, token, name, email, password, "test", self.now)

    def join(
        self, by: Known, email: str, roles: Mapping[int, Role], *, as_keeper: bool = False
    ) -> Known:
        """Invite somebody, who accepts."""
        invited = invite(self.store, by, email, email, roles, self.now, as_keeper=as_keeper)
        assert invited.link is not None
        return self.known(self.use(invited.link.token, email.partition("@")[0].capitalize()))

    def sign_in(self, email: str, password: str = PASSWORD, address: str = HERE) -> Opened:
        """Sign in."""
        return sign_in(self.store, CHEAP, email, password, address, "test", self.now)

    def known(self, opened: Opened) -> Known:
        """Return whose session it is."""
        found = recognise(self.store, opened.token, self.now)
        assert found is not None
        return found.known

    def is_open(self, token: str) -> bool:
        """Return whether a session is open."""
        return recognise(self.store, token, self.now) is not None
