"""Tokens: what a script, or another calendar, shows instead of a password."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ribstitch.services.accounts.errors import AccountError, NoAccountError
from ribstitch.services.accounts.fields import name_of
from ribstitch.services.accounts.known import Known, Scope, known_of, log
from ribstitch.services.accounts.random_tokens import hash_of, new_token
from ribstitch.store import Store, UnknownProjectError
from ribstitch.store.tables import ApiTokenRow

PREFIX: Final = "rib_"
"""So that one that strayed into a file can be searched for."""
MOST_DAYS: Final = 366
_USED_EVERY: Final = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class TokenMade:
    """A new token: it is told this once."""

    token: str
    row: ApiTokenRow


def make_token(
    store: Store,
    known: Known,
    name: str,
    scope: Scope,
    project_id: int | None,
    days: int,
    now: datetime,
) -> TokenMade:
    """
    Make a token: it may do at most what its account may.

    Raises
    ------
    AccountError
        If the name is none, or it would last too long.
    UnknownProjectError
        If the account has no such project.
    """
    kept_name = name_of(name)
    if not 1 <= days <= MOST_DAYS:
        raise AccountError("days", f"{days} is not from 1 to {MOST_DAYS}")
    if project_id is not None and known.role_in(project_id) is None:
        raise UnknownProjectError(project_id)
    token = new_token(PREFIX)
    with store.accounts(writes=True) as accounts:
        if project_id is not None and not accounts.is_project(project_id):
            raise UnknownProjectError(project_id)
        row = ApiTokenRow(
            account_id=known.account_id,
            token_hash=hash_of(token),
            name=kept_name,
            scope=scope,
            project_id=project_id,
            created_at=now,
            ends_at=now + timedelta(days=days),
        )
        accounts.add(row)
        log(
            accounts, now, "token", by=known, about=known.account_id, project_id=project_id,
            detail=f"{kept_name} ({scope})",
        )  # fmt: skip
    return TokenMade(token, row)


def tokens_of(store: Store, known: Known) -> Sequence[ApiTokenRow]:
    """Return the tokens of an account, the newest first."""
    with store.accounts(writes=False) as accounts:
        return accounts.tokens_of(known.account_id)


def revoke_token(store: Store, known: Known, token_id: int, now: datetime) -> None:
    """
    Let one of one's own tokens open nothing any more.

    Raises
    ------
    NoAccountError
        If it is none of them.
    """
    with store.accounts(writes=True) as accounts:
        mine = accounts.tokens_of(known.account_id)
        row = next((one for one in mine if one.id == token_id), None)
        if row is None:
            raise NoAccountError(f"token {token_id} of yours")
        if row.revoked_at is None:
            row.revoked_at = now
            log(
                accounts, now, "token-end", by=known, about=known.account_id,
                project_id=row.project_id, detail=row.name,
            )  # fmt: skip


def recognise_token(store: Store, token: str, now: datetime) -> Known | None:
    """Return whose token it is, with what it opens; None if it opens nothing."""
    token_hash = hash_of(token)
    with store.accounts(writes=False) as accounts:
        row = accounts.token(token_hash)
        account = None if row is None else accounts.account(row.account_id)
        if row is None or account is None or account.closed_at is not None:
            return None
        if row.revoked_at is not None or now >= row.ends_at:
            return None
        known = known_of(accounts, account, scope=row.scope, only_project=row.project_id)
    if row.last_used_at is None or now - row.last_used_at >= _USED_EVERY:
        with store.accounts(writes=True) as accounts:
            used = accounts.token(token_hash)
            if used is not None:
                used.last_used_at = now
    return known
