"""Somebody with an account for every role, and nobody, in the database of a running service."""

from __future__ import annotations

from collections.abc import Callable

from ribstitch.clock import Clock
from ribstitch.services.accounts.api_tokens import make_token
from ribstitch.services.accounts.known import Known
from ribstitch.services.accounts.sessions import open_session
from ribstitch.store import Store, make_engine
from tests.support.accounts import Hangar

PROJECT = 1
EVERYBODY = ("nobody", "viewer", "owner", "lead", "script", "planner", "keeper")
"""Who is taken out by whom comes before them. The script has a token of the planner's."""
_MEMBERS = ("viewer", "owner", "lead", "planner")


class Household:
    """
    People in the database of a service, and how they come to it.

    Parameters
    ----------
    database_url
        Of the service; it has project 1, and nobody has an account yet.
    """

    def __init__(self, database_url: str) -> None:
        self._store = Store(make_engine(database_url))
        self._clock = Clock()
        hangar = Hangar(self._store)
        hangar.now = self._clock.now_utc()
        keeper = hangar.set_up()
        self._known: dict[str, Known] = {"keeper": keeper}
        for role in _MEMBERS:
            email = f"{role}@hangar.example"
            self._known[role] = hangar.join(keeper, email, {PROJECT: role})  # type: ignore[dict-item]

    def way_in(self, who: str) -> Callable[[], dict[str, str]]:
        """Return what gives somebody's headers, in a session of its own each time."""
        return {"nobody": dict[str, str], "script": self._with_token}.get(
            who, lambda: self._with_cookie(self._known[who])
        )

    def leave(self) -> None:
        """Close the connections to the database."""
        self._store.close()

    def _with_cookie(self, known: Known) -> dict[str, str]:
        with self._store.accounts(writes=True) as accounts:
            account = accounts.account(known.account_id)
            assert account is not None
            opened = open_session(accounts, account, "test", self._clock.now_utc(), is_whole=True)
        return {"Cookie": f"ribstitch_session={opened.token}", "Sec-Fetch-Site": "same-origin"}

    def _with_token(self) -> dict[str, str]:
        planner, now = self._known["planner"], self._clock.now_utc()
        made = make_token(self._store, planner, "script", "write", None, 1, now)
        return {"Authorization": f"Bearer {made.token}"}
