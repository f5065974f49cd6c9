"""Which vendor is asked for a kind of work, and how long that vendor usually quotes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from ribstitch.planning.drafting.problems import Problem
from ribstitch.planning.model import Plan, Vendor


@dataclass(frozen=True, slots=True)
class Asked:
    """Who is asked for a kind of work."""

    vendor: str
    why: str
    """In one sentence."""


class Offers:
    """What is known of the vendors of a plan."""

    def __init__(self, plan: Plan) -> None:
        self._vendors = plan.vendors
        self._kinds = {kind.id: kind for kind in plan.kinds}
        self._unquoted: dict[str, None] = {}

    def name(self, kind: str) -> str:
        """Return what a kind of work is called."""
        known = self._kinds.get(kind)
        return (known.name if known else "") or kind

    def vendor(self, kind: str) -> Asked | None:
        """
        Return who is asked for a kind of work, and why; None: nobody is known.

        Of the vendors that say they take it, the one with most past jobs of it; else of
        those that say nothing at all likewise, if there are past jobs; else the first of
        them whose name says the kind. The first of several stands first in the plan.
        """
        name, silent = self.name(kind), [one for one in self._vendors if not one.kinds]
        takers = [one for one in self._vendors if kind in one.kinds]
        if best := _most_jobs(takers, kind):
            jobs = len(_quotes(best, kind))
            record = f", with {_past_jobs(jobs)}" if jobs else ""
            return _asked(best, f"it takes {name}{record}")
        best = _most_jobs(silent, kind)
        if best and (jobs := len(_quotes(best, kind))):
            return _asked(best, f"it has {_past_jobs(jobs)} of {name}")
        words = (kind.replace("_", " ").casefold(), name.casefold())
        named = (one for one in silent if any(word in one.name.casefold() for word in words))
        best = next(named, None)
        return _asked(best, f"its name says {name}") if best else None

    def lead_days(self, vendor: str, kind: str) -> Fraction:
        """
        Return the days that a vendor is likely to quote, on the vendor's calendar.

        The median of what this vendor quoted for the kind, else what is usual for it.
        """
        quotes = next(_quotes(one, kind) for one in self._vendors if one.id == vendor)
        if quotes:
            return Fraction(str(median(quotes)))
        known = self._kinds.get(kind)
        if known is None or known.quoted_days is None:
            self._unquoted[kind] = None
            return Fraction(0)
        return Fraction(str(known.quoted_days))

    def problems(self) -> tuple[Problem, ...]:
        """Return the kinds of which nobody knows how long they take, of those asked for."""
        return tuple(
            Problem(None, f"{self.name(kind)}: nobody knows how many days are usually quoted, so "
                    "the vendor's work is left out. Give the kind its quoted days.")
            for kind in self._unquoted
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Untaken:
    """A kind of work that is to be sent out and that no vendor takes."""

    kind: str
    name: str
    findings: tuple[str, ...]
    """Those that ask for it, in the plan's order."""


def untaken_kinds(plan: Plan) -> tuple[Untaken, ...]:
    """Return the kinds of send-outs that decided findings ask for and no vendor takes."""
    asking: dict[str, list[str]] = {}
    for one in plan.findings:
        if one.send_out_kind and one.treatment is not None and not one.dropped:
            asking.setdefault(one.send_out_kind, []).append(one.id)
    offers = Offers(plan)
    return tuple(
        Untaken(kind, offers.name(kind), tuple(findings))
        for kind, findings in asking.items()
        if offers.vendor(kind) is None
    )


def _asked(vendor: Vendor, because: str) -> Asked:
    return Asked(vendor.id, f"{vendor.name or vendor.id} is asked: {because}.")


def _most_jobs(vendors: Sequence[Vendor], kind: str) -> Vendor | None:
    """Return the vendor with most past jobs of a kind, the first of several."""
    return max(vendors, key=lambda one: len(_quotes(one, kind)), default=None)


def _past_jobs(number: int) -> str:
    return "1 past job" if number == 1 else f"{number} past jobs"


def _quotes(vendor: Vendor, kind: str) -> list[float]:
    """Return the days that a vendor quoted for a kind before."""
    return [job.quoted_days for job in vendor.history if job.kind == kind]
