"""Who may do what: accounts, their sign-ins and links, and the log about them.

No secret is kept as it was given: passwords as argon2id hashes; the random tokens of browsers,
links and scripts as SHA-256, which is enough where nobody can guess the token. The secret of a
second factor is the exception: its codes cannot be computed without it.
"""

from datetime import datetime

from sqlalchemy import JSON, BigInteger, Column, Index
from sqlmodel import Field

from ribstitch.store.column_types import UtcInstant
from ribstitch.store.tables.base import Base


def _instant() -> Column[datetime]:
    return Column(UtcInstant, nullable=False)


def _instant_or_none() -> Column[datetime]:
    return Column(UtcInstant, nullable=True)


class AccountRow(Base, table=True):
    """Somebody who signs in; without a password they were invited and have not come yet."""

    __tablename__ = "account"

    id: int | None = Field(default=None, primary_key=True)
    version: int = 1
    name: str
    email: str = Field(unique=True)
    """In small letters."""
    password_hash: str | None = None
    is_keeper: bool = False
    created_at: datetime = Field(sa_column=_instant())
    closed_at: datetime | None = Field(default=None, sa_column=_instant_or_none())
    totp_secret: str | None = None
    totp_pending: str | None = None
    """A secret that was shown and not confirmed by a code yet."""
    totp_step: int = Field(default=0, sa_type=BigInteger)
    """The last 30 seconds, counted since 1970, whose code was used."""
    recovery_hashes: list[str] = Field(default=[], sa_column=Column(JSON, nullable=False))


class MembershipRow(Base, table=True):
    """What an account is in a project."""

    __tablename__ = "membership"
    __table_args__ = (Index(None, "project_id"),)

    account_id: int = Field(primary_key=True, foreign_key="account.id")
    project_id: int = Field(primary_key=True, foreign_key="project.id")
    role: str
    version: int = 1


class BrowserSessionRow(Base, table=True):
    """A browser in which somebody signed in; signing out takes the row away."""

    __tablename__ = "browser_session"
    __table_args__ = (Index(None, "account_id"), Index(None, "previous_hash"))

    id: int | None = Field(default=None, primary_key=True)
    account_id: int = Field(foreign_key="account.id")
    token_hash: str = Field(unique=True)
    previous_hash: str | None = None
    """Of the token before: requests that were under way may still bring it for a moment."""
    changed_at: datetime = Field(sa_column=_instant())
    """When the token was last changed."""
    created_at: datetime = Field(sa_column=_instant())
    seen_at: datetime = Field(sa_column=_instant())
    ends_at: datetime = Field(sa_column=_instant())
    waits: bool = False
    """For the second factor: until then nothing is open to it."""
    device: str


class OneTimeLinkRow(Base, table=True):
    """A link that lets somebody in once: set-up, invitation, new password."""

    __tablename__ = "one_time_link"
    __table_args__ = (Index(None, "account_id"),)

    id: int | None = Field(default=None, primary_key=True)
    token_hash: str = Field(unique=True)
    purpose: str
    account_id: int | None = Field(default=None, foreign_key="account.id")
    """None: for the first account, which the link makes."""
    made_at: datetime = Field(sa_column=_instant())
    ends_at: datetime = Field(sa_column=_instant())
    used_at: datetime | None = Field(default=None, sa_column=_instant_or_none())


class ApiTokenRow(Base, table=True):
    """What a script shows instead of a password."""

    __tablename__ = "api_token"
    __table_args__ = (Index(None, "account_id"),)

    id: int | None = Field(default=None, primary_key=True)
    account_id: int = Field(foreign_key="account.id")
    token_hash: str = Field(unique=True)
    name: str
    scope: str
    project_id: int | None = Field(default=None, foreign_key="project.id")
    """None: all projects of the account."""
    created_at: datetime = Field(sa_column=_instant())
    ends_at: datetime = Field(sa_column=_instant())
    last_used_at: datetime | None = Field(default=None, sa_column=_instant_or_none())
    revoked_at: datetime | None = Field(default=None, sa_column=_instant_or_none())


class SignInTryRow(Base, table=True):
    """One try to sign in, kept for a day, so that guessing takes long in every process."""

    __tablename__ = "sign_in_try"
    __table_args__ = (Index(None, "who", "at"), Index(None, "address", "at"))

    number: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(sa_column=_instant())
    who: str
    """SHA-256 of the email as it was typed, in small letters: it may be no email at all."""
    address: str
    succeeded: bool


class AccountLogRow(Base, table=True):
    """One thing that was done to accounts or sign-ins; append-only."""

    __tablename__ = "account_log"

    number: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(sa_column=_instant())
    who: str
    """Name of the account that acted; empty: nobody who was signed in, or the command."""
    who_id: int | None = Field(default=None, foreign_key="account.id")
    action: str
    account_id: int | None = Field(default=None, foreign_key="account.id")
    """Whose account it was about."""
    project_id: int | None = Field(default=None, foreign_key="project.id")
    detail: str
