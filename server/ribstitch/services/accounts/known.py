"""Who is asking, once that is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from ribstitch.store import Accounts
from ribstitch.store.tables import AccountLogRow, AccountRow

Role = Literal["planner", "lead", "owner", "viewer"]
Scope = Literal["read", "write", "calendar"]


@dataclass(frozen=True, slots=True)
class Known:
    """An account, and by what it was recognised."""

    account_id: int
    name: str
    email: str
    is_keeper: bool
    roles: Mapping[int, str]
    """By project; a keeper is planner in all, also in those that are not here."""
    session_id: int | None = None
    """Of the browser; None: a script's token."""
    scope: str | None = None
    """What the token is for."""
    only_project: int | None = None
    """The one project that the token opens; None: all."""

    def role_in(self, project_id: int) -> str | None:
        """Return the role in a project; None: it must look as if there were no such project."""
        if self.only_project not in {None, project_id}:
            return None
        return "planner" if self.is_keeper else self.roles.get(project_id)

    @property
    def first_role(self) -> str:
        """Return the role in the first project; without one, the viewer's."""
        return "planner" if self.is_keeper else next(iter(self.roles.values()), "viewer")


def known_of(
    accounts: Accounts,
    account: AccountRow,
    *,
    session_id: int | None = None,
    scope: str | None = None,
    only_project: int | None = None,
) -> Known:
    """Return an account as it is known from now on."""
    number = account.id or 0
    roles = {one.project_id: one.role for one in accounts.memberships_of(number)}
    return Known(
        number, account.name, account.email, account.is_keeper, roles, session_id, scope,
        only_project,
    )  # fmt: skip


def log(
    accounts: Accounts,
    now: datetime,
    action: str,
    *,
    by: Known | AccountRow | None = None,
    about: int | None = None,
    project_id: int | None = None,
    detail: str = "",
) -> None:
    """Add a line to the account log; without `by` it was the command, or nobody who is known."""
    accounts.add(
        AccountLogRow(
            at=now,
            who="" if by is None else by.name,
            who_id=by.account_id if isinstance(by, Known) else by.id if by else None,
            action=action,
            account_id=about,
            project_id=project_id,
            detail=detail,
        )
    )
