"""Health, session, kinds of problems."""

from __future__ import annotations

from typing import Literal

from ribstitch.api.schemas.base import Answer


class Health(Answer):
    """The service runs."""

    status: Literal["ok"]
    version: str


class Session(Answer):
    """Who is asking."""

    role: Literal["lead", "owner", "planner"]
    name: str


class ProblemKind(Answer):
    """One kind of refusal."""

    type: str
    title: str
    status: int
    advice: str


class ProblemKinds(Answer):
    """All kinds of refusals."""

    problems: list[ProblemKind]
