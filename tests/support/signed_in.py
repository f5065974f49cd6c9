"""The service where people sign in: two projects, and somebody in every role."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from starlette.testclient import TestClient

from ribstitch.api import create_app
from ribstitch.clock import StoppedClock
from ribstitch.services.accounts.known import Known
from ribstitch.services.import_plan import import_plan
from ribstitch.settings import Settings
from ribstitch.store import Store
from tests.store.plans import AT, LEAD, short_plan
from tests.support.accounts import CHEAP, START, Hangar

ADDRESS = "http://127.0.0.1:8765"
SAME_SITE = {"Sec-Fetch-Site": "same-origin"}
"""What a browser says of its own accord when a page of the service asks."""
PROJECT, OTHER_PROJECT = 1, 2
EVERYBODY = ("viewer", "owner", "lead", "planner", "keeper", "stranger")
"""The stranger is planner of another project."""


class Furnished(NamedTuple):
    """A database in which somebody has every role."""

    file: Path
    known: dict[str, Known]


class House:
    """The service, its clock, and who has an account."""

    def __init__(self, app: Any, client: TestClient, clock: StoppedClock) -> None:
        self.app = app
        self.client = client
        self.clock = clock
        store: Store = self.app.state.doors.store
        self.hangar = Hangar(store)
        self.known: dict[str, Known] = {}

    def move_in(self) -> None:
        """Make two projects, and an account for each role."""
        for _ in (PROJECT, OTHER_PROJECT):
            import_plan(self.hangar.store, short_plan(), LEAD, AT)
        keeper = self.hangar.set_up()
        self.known["keeper"] = keeper
        for role in ("viewer", "owner", "lead", "planner"):
            self.known[role] = self.hangar.join(keeper, self.email(role), {PROJECT: role})
        self.known["stranger"] = self.hangar.join(
            keeper, self.email("stranger"), {OTHER_PROJECT: "planner"}
        )

    @staticmethod
    def email(who: str) -> str:
        """Return somebody's email."""
        return f"{who}@hangar.example"

    def come_as(self, who: str) -> TestClient:
        """Return the client with somebody's cookie; "nobody" has none."""
        self.client.cookies.clear()
        if who != "nobody":
            opened = self.hangar.sign_in(self.email(who))
            self.client.cookies.set(self.app.state.doors.cookie, opened.token, "127.0.0.1")
        return self.client


@contextmanager
def running_house(database_url: str, folder: Path, **settings: Any) -> Iterator[House]:
    """Run the service on an empty database; nobody has moved in yet."""
    clock = StoppedClock(START)
    wanted = {"database_url": database_url, "files": folder / "files", "runs": 500, **settings}
    app = create_app(Settings(**wanted), clock, CHEAP)
    with TestClient(app, ADDRESS, raise_server_exceptions=False) as client:
        client.headers.update(SAME_SITE)
        yield House(app, client, clock)
