"""What stands in the way of a whole draft."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """Why something is missing from a draft, in one sentence for a person."""

    finding: str | None
    """None: it is about no single finding."""
    sentence: str
    without_vendor: str | None = None
    """The kind of send-out that no vendor takes, where that is what is missing."""
