"""Browsers in which somebody signed in: how they begin, go on, and end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ribstitch.services.accounts.errors import NoAccountError
from ribstitch.services.accounts.known import Known, known_of, log
from ribstitch.services.accounts.random_tokens import hash_of, new_token
from ribstitch.store import Accounts, Store
from ribstitch.store.tables import AccountRow, BrowserSessionRow

LONGEST: Final = timedelta(days=90)
UNUSED: Final = timedelta(days=14)
WAITING: Final = timedelta(minutes=10)
"""How long a sign-in waits for the second factor."""
CHANGED_AFTER: Final = timedelta(hours=12)
GRACE: Final = timedelta(seconds=60)
"""How long the token before is taken: for requests that were under way."""
_SEEN_EVERY: Final = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Recognised:
    """Who has a session, and its new token where it was changed just now."""

    known: Known
    new_token: str | None = None


@dataclass(frozen=True, slots=True)
class Opened:
    """A new session."""

    token: str
    waits: bool
    """For the second factor."""


def recognise(store: Store, token: str, now: datetime) -> Recognised | None:
    """Return whose session a token is of; None if it is of none that is open."""
    token_hash = hash_of(token)
    with store.accounts(writes=False) as accounts:
        row = accounts.browser_session(token_hash)
        account = None if row is None else accounts.account(row.account_id)
        if row is None or account is None or not _is_open(row, account, token_hash, now):
            return None
        known = known_of(accounts, account, session_id=row.id)
    is_current = row.token_hash == token_hash
    if is_current and now - row.changed_at >= CHANGED_AFTER:
        return Recognised(known, _change_token(store, token_hash, now))
    if now - row.seen_at >= _SEEN_EVERY:
        _see(store, token_hash, now)
    return Recognised(known)


def open_session(
    accounts: Accounts, account: AccountRow, device: str, now: datetime, *, is_whole: bool = False
) -> Opened:
    """Begin a session; it waits if the account has a second factor that is not passed yet."""
    accounts.forget_sessions(now, now - UNUSED)
    token = new_token()
    waits = account.totp_secret is not None and not is_whole
    accounts.add(
        BrowserSessionRow(
            account_id=account.id or 0,
            token_hash=hash_of(token),
            changed_at=now,
            created_at=now,
            seen_at=now,
            ends_at=now + (WAITING if waits else LONGEST),
            waits=waits,
            device=device,
        )
    )
    return Opened(token, waits)


def end_sessions(accounts: Accounts, account_id: int, *, but: int | None = None) -> None:
    """End the sessions of an account, all or all but one."""
    for row in accounts.browser_sessions_of(account_id):
        if row.id != but:
            accounts.remove(row)


def sign_out(store: Store, known: Known, now: datetime, *, everywhere: bool) -> None:
    """End the session that asks, or all of its account."""
    with store.accounts(writes=True) as accounts:
        for row in accounts.browser_sessions_of(known.account_id):
            if everywhere or row.id == known.session_id:
                accounts.remove(row)
        action = "sign-out-everywhere" if everywhere else "sign-out"
        log(accounts, now, action, by=known, about=known.account_id)


def sessions_of(store: Store, known: Known, now: datetime) -> Sequence[BrowserSessionRow]:
    """Return the open sessions of an account, the one used last first."""
    with store.accounts(writes=False) as accounts:
        rows = accounts.browser_sessions_of(known.account_id)
    return [row for row in rows if not row.waits and _lasts(row, now)]


def end_session(store: Store, known: Known, session_id: int, now: datetime) -> None:
    """
    End one of one's own sessions.

    Raises
    ------
    NoAccountError
        If it is none of them.
    """
    with store.accounts(writes=True) as accounts:
        mine = accounts.browser_sessions_of(known.account_id)
        row = next((one for one in mine if one.id == session_id), None)
        if row is None:
            raise NoAccountError(f"session {session_id} of yours")
        accounts.remove(row)
        log(accounts, now, "session-end", by=known, about=known.account_id)


def _is_open(row: BrowserSessionRow, account: AccountRow, token_hash: str, now: datetime) -> bool:
    is_current = row.token_hash == token_hash
    in_time = is_current or now - row.changed_at < GRACE
    return not row.waits and in_time and _lasts(row, now) and account.closed_at is None


def _lasts(row: BrowserSessionRow, now: datetime) -> bool:
    return now < row.ends_at and now - row.seen_at < UNUSED


def _change_token(store: Store, token_hash: str, now: datetime) -> str | None:
    """Give a session a new token; None if another request was first."""
    with store.accounts(writes=True) as accounts:
        row = accounts.browser_session(token_hash, lock=True)
        if row is None or row.token_hash != token_hash:
            return None
        token = new_token()
        row.previous_hash, row.token_hash = row.token_hash, hash_of(token)
        row.changed_at = row.seen_at = now
    return token


def _see(store: Store, token_hash: str, now: datetime) -> None:
    """Note that a session is used."""
    with store.accounts(writes=True) as accounts:
        row = accounts.browser_session(token_hash, lock=True)
        if row is not None:
            row.seen_at = now
