"""Who takes part: inviting, roles, leaving, closing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from ribstitch.services.accounts.errors import AccountStandsError, NoAccountError
from ribstitch.services.accounts.fields import email_of, name_of
from ribstitch.services.accounts.known import Known, Role, log
from ribstitch.services.accounts.links import Handed, end_links, make_link
from ribstitch.services.accounts.sessions import end_sessions
from ribstitch.store import Accounts, StaleEditError, Store, UnknownProjectError
from ribstitch.store.tables import AccountLogRow, AccountRow, MembershipRow


@dataclass(frozen=True, slots=True)
class Invited:
    """Who was invited, and the link to hand over; None: they have a password already."""

    account_id: int
    link: Handed | None


@dataclass(frozen=True, slots=True)
class PersonLine:
    """An account, and what it is in which projects."""

    account: AccountRow
    memberships: Sequence[MembershipRow]


def invite(
    store: Store,
    by: Known,
    email: str,
    name: str,
    roles: Mapping[int, Role],
    now: datetime,
    *,
    as_keeper: bool = False,
) -> Invited:
    """
    Let somebody take part: an account if they have none, its roles, and a link to hand over.

    A role that somebody has already stays as it is.

    Raises
    ------
    AccountError
        If email or name are refused.
    AccountStandsError
        If the account is closed.
    UnknownProjectError
        If there is no such project.
    """
    address = email_of(email)
    with store.accounts(writes=True) as accounts:
        account = accounts.by_email(address)
        if account is None:
            account = AccountRow(name=name_of(name or address), email=address, created_at=now)
            accounts.add(account)
            log(accounts, now, "invitation", by=by, about=account.id)
        if account.closed_at is not None:
            raise AccountStandsError(
                f"The account with the email {address} is closed: a keeper opens it again first."
            )
        number = account.id or 0
        if as_keeper and not account.is_keeper:
            account.is_keeper = True
            log(accounts, now, "keeper", by=by, about=number)
        for project_id, role in roles.items():
            _join(accounts, by, number, project_id, role, now)
        if account.password_hash is not None:
            return Invited(number, None)
        return Invited(number, make_link(accounts, "invitation", number, now))


def everybody(store: Store) -> Sequence[PersonLine]:
    """Return all accounts, the oldest first."""
    with store.accounts(writes=False) as accounts:
        return [
            PersonLine(one, accounts.memberships_of(one.id or 0)) for one in accounts.everybody()
        ]


def members(store: Store, project_id: int) -> Sequence[tuple[AccountRow, MembershipRow]]:
    """Return who is what in a project; its keepers are not among them."""
    with store.accounts(writes=False) as accounts:
        return accounts.members(project_id)


def change_role(
    store: Store,
    by: Known,
    project_id: int,
    account_id: int,
    role: Role,
    expected: int,
    now: datetime,
) -> MembershipRow:
    """
    Change what somebody is in a project.

    Raises
    ------
    NoAccountError
        If they are nothing in it.
    StaleEditError
        If somebody changed that in the meantime.
    """
    with store.accounts(writes=True) as accounts:
        row = _membership(accounts, project_id, account_id, expected)
        if row.role != role:
            detail = f"{row.role} -> {role}"
            row.role = role
            row.version += 1
            log(
                accounts, now, "role", by=by, about=account_id, project_id=project_id, detail=detail
            )
        return row


def remove_member(
    store: Store, by: Known, project_id: int, account_id: int, expected: int, now: datetime
) -> None:
    """Take somebody out of a project; raises as `change_role` does."""
    with store.accounts(writes=True) as accounts:
        row = _membership(accounts, project_id, account_id, expected)
        accounts.remove(row)
        log(
            accounts, now, "leave", by=by, about=account_id, project_id=project_id, detail=row.role
        )  # fmt: skip


def change_account(
    store: Store,
    by: Known,
    account_id: int,
    expected: int,
    now: datetime,
    *,
    is_keeper: bool | None = None,
    is_closed: bool | None = None,
) -> PersonLine:
    """
    Make somebody a keeper or none any more, close an account or open it again.

    Closing ends all sessions and links; tokens open nothing while an account is closed.

    Raises
    ------
    NoAccountError
        If there is no such account.
    StaleEditError
        If somebody changed it in the meantime.
    AccountStandsError
        If nobody would keep the server any more.
    """
    with store.accounts(writes=True) as accounts:
        keepers = {one.id for one in accounts.lock_keepers() if one.password_hash is not None}
        account = accounts.account(account_id, lock=True)
        if account is None:
            raise NoAccountError(f"account {account_id}")
        if account.version != expected:
            raise StaleEditError("account", str(account_id), expected, account.version, ())
        if keepers == {account_id} and (is_keeper is False or is_closed):
            raise AccountStandsError(
                f"{account.name} is the last keeper: make somebody else a keeper first."
            )
        if is_keeper is not None and is_keeper != account.is_keeper:
            account.is_keeper = is_keeper
            account.version += 1
            log(accounts, now, "keeper" if is_keeper else "no-keeper", by=by, about=account_id)
        if is_closed is not None and is_closed != (account.closed_at is not None):
            _close(accounts, by, account, now if is_closed else None, now)
        return PersonLine(account, accounts.memberships_of(account_id))


def log_lines(store: Store, before: int | None, limit: int) -> Sequence[AccountLogRow]:
    """Return lines of the account log, the newest first."""
    with store.accounts(writes=False) as accounts:
        return accounts.log_lines(before, limit)


def _join(
    accounts: Accounts, by: Known, account_id: int, project_id: int, role: Role, now: datetime
) -> None:
    if not accounts.is_project(project_id):
        raise UnknownProjectError(project_id)
    if accounts.membership(account_id, project_id) is None:
        accounts.add(MembershipRow(account_id=account_id, project_id=project_id, role=role))
        log(accounts, now, "join", by=by, about=account_id, project_id=project_id, detail=role)


def _membership(
    accounts: Accounts, project_id: int, account_id: int, expected: int
) -> MembershipRow:
    row = accounts.membership(account_id, project_id, lock=True)
    if row is None:
        raise NoAccountError(f"account {account_id} in this project")
    if row.version != expected:
        raise StaleEditError("member", str(account_id), expected, row.version, ())
    return row


def _close(
    accounts: Accounts, by: Known, account: AccountRow, closed_at: datetime | None, now: datetime
) -> None:
    number = account.id or 0
    account.closed_at = closed_at
    account.version += 1
    if closed_at is not None:
        end_sessions(accounts, number)
        end_links(accounts, number, "invitation", now)
        end_links(accounts, number, "new-password", now)
    log(accounts, now, "open" if closed_at is None else "close", by=by, about=number)
