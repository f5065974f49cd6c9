"""Bodies and answers about accounts."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, Version
from ribstitch.planfile.document import Document
from ribstitch.services.accounts.known import Role, Scope
from ribstitch.services.accounts.links import Handed, Purpose
from ribstitch.services.accounts.people import PersonLine
from ribstitch.store.tables import (
    AccountLogRow,
    AccountRow,
    ApiTokenRow,
    BrowserSessionRow,
    MembershipRow,
)

_Short = Annotated[str, Field(max_length=300)]
_Password = Annotated[str, Field(description="12 to 128 signs, and hard to guess")]
_Given = Annotated[str, Field(description="The password as it is now")]
_Code = Annotated[str, Field(max_length=60, description="Of the app, or a recovery code")]


# --- Bodies ----------------------------------------------------------------------------


class SignInAsked(Document):
    """Who wants to come in."""

    email: _Short
    password: Annotated[str, Field(description="Of the account")]


class CodeAsked(Document):
    """The second factor."""

    code: _Code


class SignOutAsked(Document):
    """Which sessions end."""

    everywhere: bool = False


class LinkLooked(Document):
    """A one-time link: what stands behind its #."""

    token: _Short


class LinkUsed(Document):
    """A one-time link, and what it is used for."""

    token: _Short
    password: _Password
    name: Annotated[_Short, Field(description="Not for a new password")] = ""
    email: Annotated[_Short, Field(description="For the first account alone")] = ""


class NameAsked(Document):
    """A new name of one's own."""

    name: _Short


class PasswordAsked(Document):
    """A new password of one's own."""

    old_password: _Given
    new_password: _Password


class ProofAsked(Document):
    """One's password, to prove that one is still there."""

    password: _Given


class TokenAsked(Document):
    """A token for a script."""

    name: Annotated[_Short, Field(description="What it is for")]
    scope: Scope
    project: Annotated[int | None, Field(description="The one it opens; null: all")] = None
    days: Annotated[int, Field(description="How long it lasts, 366 at most")] = 90


class PartAsked(Document):
    """What somebody is in a project."""

    project: int
    role: Role


class InvitationAsked(Document):
    """Somebody who shall take part."""

    email: _Short
    name: Annotated[_Short, Field(description="Until they give their own")] = ""
    parts: Annotated[list[PartAsked], Field(max_length=200)] = Field(default=[])
    keeper: bool = False


class MemberAsked(Document):
    """Somebody who shall take part in this project."""

    email: _Short
    name: Annotated[_Short, Field(description="Until they give their own")] = ""
    role: Role


class RoleAsked(Document):
    """What somebody is from now on."""

    role: Role


class AccountEdit(Document):
    """What changes of somebody's account."""

    keeper: bool | None = None
    closed: bool | None = None


class NewPasswordLinkAsked(Document):
    """Whose password is lost."""

    account: int


BODIES = (
    SignInAsked, CodeAsked, SignOutAsked, LinkLooked, LinkUsed, NameAsked, PasswordAsked,
    ProofAsked, TokenAsked, InvitationAsked, MemberAsked, RoleAsked, AccountEdit,
    NewPasswordLinkAsked,
)  # fmt: skip


# --- Answers ---------------------------------------------------------------------------


class CameIn(Answer):
    """Whether that was all."""

    second_factor: bool = Field(description="A code is still to come")


class LinkFor(Answer):
    """What a link is for."""

    purpose: Purpose
    name: str
    email: str
    ends_at: datetime


class LinkHanded(Answer):
    """A link to hand over; it is told this once."""

    path: str = Field(description="What follows the address of the service")
    ends_at: datetime


class Invitation(Answer):
    """Who was invited."""

    account: int
    link: LinkHanded | None = Field(description="null: they have a password already")


class Part(Answer):
    """What somebody is in a project."""

    project: int
    role: Role
    version: Version


class OwnAccount(Answer):
    """One's own account."""

    id: int
    version: Version
    name: str
    email: str
    keeper: bool
    second_factor: bool
    recovery_codes_left: int


class SessionLine(Answer):
    """A browser in which one is signed in."""

    id: int
    device: str
    since: datetime
    seen_at: datetime
    this: bool = Field(description="The one that asks")


class SessionLines(Answer):
    """One's own sessions."""

    sessions: list[SessionLine]


class SecondFactorShown(Answer):
    """What an app is told, this once."""

    secret: str
    address: str
    picture: str = Field(description="The address as a QR code, for an `img`")


class RecoveryCodes(Answer):
    """Codes that each let somebody in once; they are told this once."""

    recovery_codes: list[str]


class TokenLine(Answer):
    """A token, without what opens."""

    id: int
    name: str
    scope: Scope
    project: int | None
    ends_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None


class TokenLines(Answer):
    """One's own tokens."""

    tokens: list[TokenLine]


class TokenTold(Answer):
    """A new token; what opens is told this once."""

    token: str
    line: TokenLine


class AccountLine(Answer):
    """Somebody's account."""

    id: int
    version: Version
    name: str
    email: str
    keeper: bool
    closed: bool
    has_come: bool = Field(description="false: invited, and without a password yet")
    second_factor: bool
    parts: list[Part]


class AccountLines(Answer):
    """All accounts."""

    people: list[AccountLine]


class Member(Answer):
    """Somebody who takes part in a project."""

    id: int
    name: str
    email: str
    has_come: bool
    closed: bool
    role: Role
    version: Version


class Members(Answer):
    """Who takes part in a project; keepers do so in any case."""

    people: list[Member]


class AccountChange(Answer):
    """What was done to accounts."""

    number: int
    at: datetime
    who: str
    action: str
    account: int | None
    project: int | None
    detail: str


class AccountChanges(Answer):
    """A page of the account log."""

    lines: list[AccountChange]
    next_before: int | None


# --- Rows as answers -------------------------------------------------------------------


def handed_document(handed: Handed | None) -> dict[str, Any] | None:
    """Return a link as an answer tells it."""
    if handed is None:
        return None
    return {"path": f"/join#{handed.token}", "ends_at": handed.ends_at}


def own_document(row: AccountRow) -> dict[str, Any]:
    """Return one's own account."""
    return {
        "id": row.id,
        "version": row.version,
        "name": row.name,
        "email": row.email,
        "keeper": row.is_keeper,
        "second_factor": row.totp_secret is not None,
        "recovery_codes_left": len(row.recovery_hashes),
    }


def session_document(row: BrowserSessionRow, this: int | None) -> dict[str, Any]:
    """Return a session."""
    return {
        "id": row.id,
        "device": row.device,
        "since": row.created_at,
        "seen_at": row.seen_at,
        "this": row.id == this,
    }


def token_document(row: ApiTokenRow) -> dict[str, Any]:
    """Return a token, without what opens."""
    return {
        "id": row.id,
        "name": row.name,
        "scope": row.scope,
        "project": row.project_id,
        "ends_at": row.ends_at,
        "last_used_at": row.last_used_at,
        "revoked_at": row.revoked_at,
    }


def account_document(line: PersonLine) -> dict[str, Any]:
    """Return somebody's account."""
    row = line.account
    return {
        "id": row.id,
        "version": row.version,
        "name": row.name,
        "email": row.email,
        "keeper": row.is_keeper,
        "closed": row.closed_at is not None,
        "has_come": row.password_hash is not None,
        "second_factor": row.totp_secret is not None,
        "parts": [
            {"project": one.project_id, "role": one.role, "version": one.version}
            for one in line.memberships
        ],
    }


def member_document(row: AccountRow, part: MembershipRow) -> dict[str, Any]:
    """Return somebody who takes part in a project."""
    return {
        "id": row.id,
        "name": row.name,
        "email": row.email,
        "has_come": row.password_hash is not None,
        "closed": row.closed_at is not None,
        "role": part.role,
        "version": part.version,
    }


def log_document(row: AccountLogRow) -> dict[str, Any]:
    """Return a line of the account log."""
    return {
        "number": row.number,
        "at": row.at,
        "who": row.who,
        "action": row.action,
        "account": row.account_id,
        "project": row.project_id,
        "detail": row.detail,
    }
