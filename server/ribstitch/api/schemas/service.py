"""Health, session, kinds of problems."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ribstitch.api.schemas.base import Answer
from ribstitch.services.accounts.known import Role


class Health(Answer):
    """The service runs."""

    status: Literal["ok"]
    version: str


class Session(Answer):
    """Who is asking, and how the service is entered."""

    entry: Literal["open", "sign-in"] = Field(
        description="Whether people choose a role, or sign in"
    )
    role: Role | None = Field(description="Where people sign in: in the first of their projects")
    name: str | None
    account: int | None = Field(
        default=None, description="Number of the account, where people sign in: names can be alike"
    )
    is_keeper: bool = Field(default=False, description="Whether they keep the server")
    roles: dict[str, Role] = Field(
        default={}, description="By number of the project, where people sign in"
    )


class ProblemKind(Answer):
    """One kind of refusal."""

    type: str
    title: str
    status: int
    advice: str


class ProblemKinds(Answer):
    """All kinds of refusals."""

    problems: list[ProblemKind]
