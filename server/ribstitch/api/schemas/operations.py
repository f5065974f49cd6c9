"""Whether the service can do its work."""

from __future__ import annotations

from typing import Literal

from ribstitch.api.schemas.base import Answer


class Need(Answer):
    """One thing that the service needs."""

    name: Literal["database", "tables", "disk", "backup"]
    met: bool
    vital: bool
    detail: str


class Readiness(Answer):
    """Whether everything vital is there."""

    status: Literal["ready", "not-ready"]
    needs: list[Need]
