"""What can be wrong with a plan file before it is a plan."""

from __future__ import annotations


class PlanFileError(Exception):
    """A plan file that is refused; `str()` is one sentence naming file, place and value."""

    def __init__(self, name: str, where: str, reason: str) -> None:
        self.name = name
        self.where = where
        self.reason = reason
        super().__init__(": ".join(part for part in (name, where, reason) if part))
