"""Reading and writing accounts within one transaction."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, and_, delete, func, or_
from sqlmodel import Session, col, select

from ribstitch.store.tables import (
    AccountLogRow,
    AccountRow,
    ApiTokenRow,
    Base,
    BrowserSessionRow,
    MembershipRow,
    OneTimeLinkRow,
    ProjectRow,
    SignInTryRow,
)


class Accounts:
    """
    The accounts of a database in one transaction.

    Rows that are changed are written when the transaction ends. `lock` keeps other writers
    away from a row until then.
    """

    def __init__(self, connection: Connection) -> None:
        self._session = Session(connection, expire_on_commit=False)

    def flush(self) -> None:
        """Write what was changed so far."""
        self._session.flush()

    def add(self, row: Base) -> None:
        """Write a new row; it has its number afterwards."""
        self._session.add(row)
        self._session.flush()

    def remove(self, row: Base) -> None:
        """Take a row away."""
        self._session.delete(row)
        self._session.flush()

    def is_any(self) -> bool:
        """Return whether somebody has an account."""
        return self._session.exec(select(AccountRow.id).limit(1)).first() is not None

    def account(self, account_id: int, *, lock: bool = False) -> AccountRow | None:
        """Return an account by its number."""
        return self._session.get(AccountRow, account_id, with_for_update=lock or None)

    def by_email(self, email: str) -> AccountRow | None:
        """Return the account with an email, which is in small letters."""
        return self._session.exec(select(AccountRow).where(AccountRow.email == email)).first()

    def everybody(self) -> Sequence[AccountRow]:
        """Return all accounts, the oldest first."""
        return self._session.exec(select(AccountRow).order_by(col(AccountRow.id))).all()

    def lock_keepers(self) -> Sequence[AccountRow]:
        """Return the keepers whose accounts are open; nobody else changes them meanwhile."""
        keepers = select(AccountRow).where(
            col(AccountRow.is_keeper), col(AccountRow.closed_at).is_(None)
        )
        return self._session.exec(keepers.order_by(col(AccountRow.id)).with_for_update()).all()

    def is_project(self, project_id: int) -> bool:
        """Return whether there is such a project."""
        return self._session.exec(
            select(ProjectRow.id).where(ProjectRow.id == project_id)
        ).first() is not None  # fmt: skip

    def memberships_of(self, account_id: int) -> Sequence[MembershipRow]:
        """Return what an account is in which projects."""
        return self._session.exec(
            select(MembershipRow)
            .where(MembershipRow.account_id == account_id)
            .order_by(col(MembershipRow.project_id))
        ).all()

    def membership(
        self, account_id: int, project_id: int, *, lock: bool = False
    ) -> MembershipRow | None:
        """Return what an account is in a project."""
        key = (account_id, project_id)
        return self._session.get(MembershipRow, key, with_for_update=lock or None)

    def members(self, project_id: int) -> Sequence[tuple[AccountRow, MembershipRow]]:
        """Return who is what in a project."""
        return self._session.exec(
            select(AccountRow, MembershipRow)
            .where(
                MembershipRow.account_id == AccountRow.id, MembershipRow.project_id == project_id
            )
            .order_by(col(AccountRow.id))
        ).all()

    def browser_session(self, token_hash: str, *, lock: bool = False) -> BrowserSessionRow | None:
        """Return the session whose token, or the one before, has a hash."""
        found = select(BrowserSessionRow).where(
            or_(
                col(BrowserSessionRow.token_hash) == token_hash,
                col(BrowserSessionRow.previous_hash) == token_hash,
            )
        )
        return self._session.exec(found.with_for_update() if lock else found).first()

    def browser_sessions_of(self, account_id: int) -> Sequence[BrowserSessionRow]:
        """Return the sessions of an account, the one used last first."""
        return self._session.exec(
            select(BrowserSessionRow)
            .where(BrowserSessionRow.account_id == account_id)
            .order_by(col(BrowserSessionRow.seen_at).desc(), col(BrowserSessionRow.id).desc())
        ).all()

    def forget_sessions(self, now: datetime, unused_since: datetime) -> None:
        """Take away the sessions that have ended by themselves."""
        self._session.execute(
            delete(BrowserSessionRow).where(
                or_(
                    col(BrowserSessionRow.ends_at) <= now,
                    col(BrowserSessionRow.seen_at) <= unused_since,
                )
            )
        )

    def link(self, token_hash: str, *, lock: bool = False) -> OneTimeLinkRow | None:
        """Return a one-time link by its token's hash."""
        found = select(OneTimeLinkRow).where(OneTimeLinkRow.token_hash == token_hash)
        return self._session.exec(found.with_for_update() if lock else found).first()

    def open_links(self, purpose: str, account_id: int | None) -> Sequence[OneTimeLinkRow]:
        """Return the links of a purpose that were not used; nobody uses them meanwhile."""
        return self._session.exec(
            select(OneTimeLinkRow)
            .where(
                OneTimeLinkRow.purpose == purpose,
                OneTimeLinkRow.account_id == account_id,
                col(OneTimeLinkRow.used_at).is_(None),
            )
            .order_by(col(OneTimeLinkRow.id))
            .with_for_update()
        ).all()

    def token(self, token_hash: str) -> ApiTokenRow | None:
        """Return a script's token by its hash."""
        return self._session.exec(
            select(ApiTokenRow).where(ApiTokenRow.token_hash == token_hash)
        ).first()

    def tokens_of(self, account_id: int) -> Sequence[ApiTokenRow]:
        """Return the tokens of an account, the newest first."""
        return self._session.exec(
            select(ApiTokenRow)
            .where(ApiTokenRow.account_id == account_id)
            .order_by(col(ApiTokenRow.id).desc())
        ).all()

    def keep_tries_apart(self) -> None:
        """Let other tries to sign in wait until this one is counted."""
        if self._session.get_bind().dialect.name == "postgresql":
            self._session.connection().exec_driver_sql("LOCK TABLE sign_in_try IN EXCLUSIVE MODE")

    def failures_of(self, who: str, since: datetime) -> Sequence[datetime]:
        """Return when signing in as somebody failed, since they last succeeded; oldest first."""
        last = select(func.max(SignInTryRow.number)).where(
            SignInTryRow.who == who, col(SignInTryRow.succeeded)
        )
        return self._failures(
            and_(
                col(SignInTryRow.who) == who,
                col(SignInTryRow.number) > func.coalesce(last.scalar_subquery(), 0),
            ),
            since,
        )

    def failures_from(self, address: str, since: datetime) -> Sequence[datetime]:
        """Return when signing in from an address failed; oldest first."""
        return self._failures(col(SignInTryRow.address) == address, since)

    def _failures(self, which: object, since: datetime) -> Sequence[datetime]:
        return self._session.exec(
            select(SignInTryRow.at)
            .where(which, ~col(SignInTryRow.succeeded), col(SignInTryRow.at) > since)  # type: ignore[arg-type]
            .order_by(col(SignInTryRow.number))
        ).all()

    def forget_tries(self, before: datetime) -> None:
        """Take away the tries that count no more."""
        self._session.execute(delete(SignInTryRow).where(col(SignInTryRow.at) <= before))

    def sign_in_try(self, number: int) -> SignInTryRow | None:
        """Return one try."""
        return self._session.get(SignInTryRow, number)

    def log_lines(self, before: int | None, limit: int) -> Sequence[AccountLogRow]:
        """Return lines of the account log, the newest first; with `before`, only older ones."""
        lines = select(AccountLogRow).order_by(col(AccountLogRow.number).desc()).limit(limit)
        if before is not None:
            lines = lines.where(col(AccountLogRow.number) < before)
        return self._session.exec(lines).all()
