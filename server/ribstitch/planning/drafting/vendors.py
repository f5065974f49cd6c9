"""Which vendor is asked for a kind of work, and how long that vendor usually quotes."""

from __future__ import annotations

from fractions import Fraction
from statistics import median

from ribstitch.planning.drafting.problems import Problem
from ribstitch.planning.model import Plan, Vendor


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

    def vendor(self, kind: str) -> str | None:
        """
        Return who is asked: the vendor with most past jobs of a kind, the first of several.

        Without any, the first vendor whose name says the kind; None: nobody is known.
        """
        best = max(self._vendors, key=lambda one: len(_quotes(one, kind)), default=None)
        if best is None or _quotes(best, kind):
            return None if best is None else best.id
        words = (kind.replace("_", " ").casefold(), self.name(kind).casefold())
        return next(
            (one.id for one in self._vendors if any(word in one.name.casefold() for word in words)),
            None,
        )

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


def _quotes(vendor: Vendor, kind: str) -> list[float]:
    """Return the days that a vendor quoted for a kind before."""
    return [job.quoted_days for job in vendor.history if job.kind == kind]
