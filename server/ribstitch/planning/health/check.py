"""One check of plan health, with what it found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from ribstitch.planning.health.rules import Rule


@dataclass(frozen=True, slots=True)
class Offender:
    """A task or send-out that a check names, and what is the matter with it."""

    id: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """How much of what there is, and what stands out; indices count in working days."""

    count: float
    of: float
    offenders: tuple[Offender, ...] = ()


class Verdict(StrEnum):
    """What a check comes to; the order is that of what to look at first."""

    BEYOND = "beyond"
    """Its limit is not kept."""
    LISTED = "listed"
    """There is no limit: what was found is named."""
    NOT_YET = "not_yet"
    """There is nothing to count yet."""
    KEPT = "kept"


@dataclass(frozen=True, slots=True)
class Check:
    """A rule held against a plan: `count` of `of`, and whether that is good enough."""

    rule: Rule
    limit: float | None
    """The limit in force, as a share of 1."""
    count: float
    of: float
    offenders: tuple[Offender, ...]

    @property
    def share(self) -> float | None:
        """The count as a share of what there is; None where there is nothing yet."""
        return self.count / self.of if self.of else None

    @property
    def ok(self) -> bool | None:
        """
        Whether the limit is kept; None without a limit, or with nothing to count yet.

        The quotient of two numbers is rounded as the limit is when it is read, so that a
        share on the limit keeps it.
        """
        excess = self.excess
        return None if excess is None else excess <= 0

    @property
    def excess(self) -> float | None:
        """By how much the share is beyond the limit; None where `ok` is."""
        share = self.share
        if share is None or self.limit is None:
            return None
        return self.limit - share if self.rule.at_least else share - self.limit

    @property
    def verdict(self) -> Verdict:
        """What it comes to."""
        if self.share is None:
            return Verdict.NOT_YET
        if self.ok is None:
            return Verdict.LISTED
        return Verdict.KEPT if self.ok else Verdict.BEYOND


def worst_first(checks: Iterable[Check]) -> list[Check]:
    """Return checks by verdict, those beyond their limit by how far, then in their order."""
    order = list(Verdict)

    def key(one: Check) -> tuple[int, float]:
        beyond = one.verdict is Verdict.BEYOND
        return order.index(one.verdict), -(one.excess or 0) if beyond else 0

    return sorted(checks, key=key)


def in_days(days: float) -> str:
    """Write a number of days, to a tenth; what is more than nothing never reads as nothing."""
    if 0 < days < 0.1:
        return "less than 0.1 days"
    return f"{round(days, 1):g} {'day' if days == 1 else 'days'}"
