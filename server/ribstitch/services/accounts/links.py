"""One-time links: the first account, an invitation, a new password."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from ribstitch.services.accounts.errors import (
    AccountStandsError,
    LinkRefusedError,
    NoAccountError,
)
from ribstitch.services.accounts.fields import email_of, name_of
from ribstitch.services.accounts.known import Known, log
from ribstitch.services.accounts.passwords import Passwords, check_password
from ribstitch.services.accounts.random_tokens import hash_of, new_token
from ribstitch.services.accounts.sessions import Opened, end_sessions, open_session
from ribstitch.store import Accounts, Store
from ribstitch.store.tables import AccountRow, OneTimeLinkRow

Purpose = Literal["set-up", "invitation", "new-password"]
_LASTS: Final[dict[Purpose, timedelta]] = {
    "set-up": timedelta(days=1),
    "invitation": timedelta(days=7),
    "new-password": timedelta(days=1),
}


@dataclass(frozen=True, slots=True)
class Handed:
    """A link to hand over: its token is told this once."""

    token: str
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class LinkTold:
    """What a link is for."""

    purpose: str
    name: str
    email: str
    ends_at: datetime


def make_set_up_link(store: Store, now: datetime) -> Handed | None:
    """Make a link to the first account; None if there is an account."""
    with store.accounts(writes=True) as accounts:
        return None if accounts.is_any() else make_link(accounts, "set-up", None, now)


def make_new_password_link(
    store: Store, email: str, now: datetime, *, drop_second_factor: bool = False
) -> Handed:
    """
    Make a link with which somebody sets a new password, as the command does.

    It can forget the second factor as well: of somebody who has lost the app and the codes.

    Raises
    ------
    NoAccountError
        If nobody who has this email has an open account.
    """
    with store.accounts(writes=True) as accounts:
        account = accounts.by_email(email_of(email))
        if account is None or account.closed_at is not None:
            raise NoAccountError(f"open account with the email {email}")
        if drop_second_factor:
            forget_second_factor(account)
            log(accounts, now, "no-second-factor", about=account.id)
        log(accounts, now, "new-password-link", about=account.id)
        return make_link(accounts, "new-password", account.id, now)


def forget_second_factor(account: AccountRow) -> None:
    """Forget the second factor of an account, with its recovery codes."""
    account.totp_secret = account.totp_pending = None
    account.recovery_hashes = []
    account.version += 1


def make_link(
    accounts: Accounts, purpose: Purpose, account_id: int | None, now: datetime
) -> Handed:
    """Make a link; for an account, those of the same purpose before it are over."""
    if account_id is not None:
        end_links(accounts, account_id, purpose, now)
    token = new_token()
    row = OneTimeLinkRow(
        token_hash=hash_of(token),
        purpose=purpose,
        account_id=account_id,
        made_at=now,
        ends_at=now + _LASTS[purpose],
    )
    accounts.add(row)
    return Handed(token, row.ends_at)


def end_links(accounts: Accounts, account_id: int, purpose: Purpose, now: datetime) -> None:
    """Let the links of an account be over."""
    for row in accounts.open_links(purpose, account_id):
        row.used_at = now


def look_at_link(store: Store, token: str, now: datetime) -> LinkTold:
    """
    Return what a link is for, without using it.

    Raises
    ------
    LinkRefusedError
        If it lets nobody in.
    """
    with store.accounts(writes=False) as accounts:
        row, account = _usable(accounts, token, now)
    name, email = (account.name, account.email) if account else ("", "")
    return LinkTold(row.purpose, name, email, row.ends_at)


def use_link(
    store: Store,
    passwords: Passwords,
    token: str,
    name: str,
    email: str,
    password: str,
    device: str,
    now: datetime,
) -> Opened:
    """
    Use a link: make the first account, accept an invitation, or set a new password.

    Whoever has a second factor still passes it. A new password ends all sessions.

    Parameters
    ----------
    store, passwords
        Where accounts are, and how passwords are kept.
    token
        Of the link.
    name
        Not for a new password.
    email
        Only for the first account.
    password
        The new one.
    device
        From where, in a few words.
    now
        By the service's clock.

    Raises
    ------
    LinkRefusedError
        If it lets nobody in.
    AccountError
        If a value is refused; the link can still be used.
    """
    told = look_at_link(store, token, now)
    is_new = told.purpose != "new-password"
    kept_name = name_of(name) if is_new else told.name
    kept_email = email_of(email) if told.purpose == "set-up" else told.email
    check_password(password, (kept_name, kept_email))
    password_hash = passwords.hash(password)
    with store.accounts(writes=True) as accounts:
        if told.purpose == "set-up":
            accounts.open_links("set-up", None)  # Two links are not used at once.
        row, account = _usable(accounts, token, now, lock=True)
        row.used_at = now
        if account is None:
            account = _first_account(accounts, kept_email, now)
        account.name, account.password_hash = kept_name, password_hash
        account.version += 1
        number = account.id or 0
        end_sessions(accounts, number)
        end_links(accounts, number, "new-password", now)
        log(accounts, now, row.purpose, by=account, about=number, detail=device)
        return open_session(accounts, account, device, now)


def _usable(
    accounts: Accounts, token: str, now: datetime, *, lock: bool = False
) -> tuple[OneTimeLinkRow, AccountRow | None]:
    """Return a link that may be used, and its account."""
    row = accounts.link(hash_of(token), lock=lock)
    if row is None or row.used_at is not None or now >= row.ends_at:
        raise LinkRefusedError
    if row.account_id is None:
        if accounts.is_any():
            raise LinkRefusedError
        return row, None
    account = accounts.account(row.account_id, lock=lock)
    if account is None or account.closed_at is not None:
        raise LinkRefusedError
    return row, account


def _first_account(accounts: Accounts, email: str, now: datetime) -> AccountRow:
    """Make the first account: a keeper."""
    account = AccountRow(name="", email=email, is_keeper=True, created_at=now)
    accounts.add(account)
    return account


def hand_new_password_link(store: Store, by: Known, account_id: int, now: datetime) -> Handed:
    """
    Make a link with which somebody else sets a new password, as a keeper or a planner.

    A planner does so for those alone whose every project they plan: the link would open the
    others to whoever has it.

    Raises
    ------
    NoAccountError
        If there is no such account, or nothing of it is to be seen.
    AccountStandsError
        If a keeper has to hand it out, or the account is closed.
    """
    with store.accounts(writes=True) as accounts:
        account = accounts.account(account_id)
        theirs = {one.project_id for one in accounts.memberships_of(account_id)}
        planned = {one for one in theirs if by.role_in(one) == "planner"}
        if account is None or not (by.is_keeper or planned):
            raise NoAccountError(f"account {account_id}")
        if account.closed_at is not None:
            raise AccountStandsError(f"The account of {account.name} is closed.")
        if not by.is_keeper and (account.is_keeper or theirs != planned):
            raise AccountStandsError(
                f"{account.name} has more than you plan: a keeper hands out this link."
            )
        purpose: Purpose = "new-password" if account.password_hash else "invitation"
        log(accounts, now, f"{purpose}-link", by=by, about=account_id)
        return make_link(accounts, purpose, account_id, now)
