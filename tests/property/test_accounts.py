"""Accounts under random sequences of actions, against a slow and obvious model."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribstitch.services.accounts.errors import AccountStandsError, NoAccountError
from ribstitch.services.accounts.known import Known, Role
from ribstitch.services.accounts.people import (
    change_account,
    change_role,
    everybody,
    invite,
    remove_member,
)
from ribstitch.services.import_plan import import_plan
from ribstitch.store import Store, make_engine
from tests.store.plans import AT, LEAD, short_plan
from tests.support.accounts import Hangar

PEOPLE = 3
PROJECTS = (1, 2)
ROLES: tuple[Role, ...] = ("planner", "lead", "owner", "viewer")
ACTIONS = st.tuples(
    st.sampled_from(["join", "role", "leave", "keeper", "no keeper", "close", "open"]),
    st.integers(0, PEOPLE),
    st.sampled_from(PROJECTS),
    st.sampled_from(ROLES),
)


@dataclass
class Model:
    """Who is what, in plain sets: person 0 made the first account."""

    keepers: set[int] = field(default_factory=lambda: {0})
    closed: set[int] = field(default_factory=set)
    roles: dict[tuple[int, int], Role] = field(default_factory=dict)

    def is_refused(self, action: str, who: int, project: int) -> bool:
        """Say whether an action cannot be done; the last open keeper stays."""
        match action:
            case "join":
                return who in self.closed
            case "role" | "leave":
                return (who, project) not in self.roles
            case "no keeper" | "close":
                return self.keepers - self.closed == {who}
        return False

    def do(self, action: str, who: int, project: int, role: Role) -> None:
        """Do what is not refused."""
        match action:
            case "join":
                self.roles.setdefault((who, project), role)
            case "role":
                self.roles[who, project] = role
            case "leave":
                del self.roles[who, project]
            case "keeper":
                self.keepers.add(who)
            case "no keeper":
                self.keepers.discard(who)
            case "close":
                self.closed.add(who)
            case "open":
                self.closed.discard(who)


@pytest.fixture(scope="module")
def settled(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with two projects and four accounts, to be copied for each sequence."""
    file = shutil.copy(migrated_file, tmp_path_factory.mktemp("accounts") / "settled.db")
    store = Store(make_engine(f"sqlite:///{file}"))
    for _ in PROJECTS:
        import_plan(store, short_plan(), LEAD, AT)
    hangar = Hangar(store)
    keeper = hangar.set_up()
    for number in range(1, PEOPLE + 1):
        hangar.join(keeper, f"p{number}@hangar.example", {})
    store.close()
    return Path(file)


@settings(max_examples=10)
@given(st.lists(ACTIONS, max_size=10))
def test_accounts_stand_as_the_model_says_after_any_actions(
    settled: Path, actions: list[tuple[str, int, int, Role]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = Store(make_engine(f"sqlite:///{shutil.copy(settled, folder)}"))
        hangar, model = Hangar(store), Model()
        by = Known(1, "Keeper", "keeper@hangar.example", is_keeper=True, roles={})
        for action, who, project, role in actions:
            try:
                _do(hangar, by, action, who + 1, project, role)
            except (AccountStandsError, NoAccountError):
                assert model.is_refused(action, who, project)
            else:
                assert not model.is_refused(action, who, project)
                model.do(action, who, project, role)
            _compare(hangar, model)
        store.close()


def _do(hangar: Hangar, by: Known, action: str, number: int, project: int, role: Role) -> None:
    store, now = hangar.store, hangar.now
    lines = {line.account.id: line for line in everybody(store)}
    account = lines[number].account
    held = {one.project_id: one.version for one in lines[number].memberships}
    match action:
        case "join":
            assert invite(store, by, account.email, "", {project: role}, now).link is None
        case "role":
            change_role(store, by, project, number, role, held.get(project, 0), now)
        case "leave":
            remove_member(store, by, project, number, held.get(project, 0), now)
        case "keeper" | "no keeper":
            change_account(store, by, number, account.version, now, is_keeper=action == "keeper")
        case _:
            change_account(store, by, number, account.version, now, is_closed=action == "close")


def _compare(hangar: Hangar, model: Model) -> None:
    lines = {(line.account.id or 0) - 1: line for line in everybody(hangar.store)}
    assert {who for who, one in lines.items() if one.account.is_keeper} == model.keepers
    assert {who for who, one in lines.items() if one.account.closed_at} == model.closed
    held = {(who, at.project_id): at.role for who, one in lines.items() for at in one.memberships}
    assert held == model.roles
    assert model.keepers - model.closed
