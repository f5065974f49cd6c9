"""What was approved, what is spent and what it comes to: the figures of the money page."""

from __future__ import annotations

from dataclasses import dataclass

from ribstitch.money import Bucket, budget_amount
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_sums import ledger, money_forecast, promised, spent
from ribstitch.services.views.money_words import text


@dataclass(frozen=True, slots=True)
class ForeignPaid:
    """What was paid in one foreign currency, as a decimal string in it."""

    currency: str
    paid: str


@dataclass(frozen=True, slots=True)
class Spend:
    """
    Money in the project's currency, as decimal strings.

    What is paid in other currencies counts at the rate of the day of payment.
    """

    currency: str
    budget: str | None
    """None without one, or where a currency has no rate."""
    paid: str
    spent: str
    """Paid, and worked in the shop."""
    committed: str
    """Invoiced and not paid, or ordered."""
    at_completion: str
    by_currency: list[ForeignPaid]
    """How much of it was paid in other currencies."""


def spend(current: CurrentPlan) -> Spend:
    """Return what is spent and what it comes to, as on the money page."""
    book, whole = ledger(current), money_forecast(current).whole
    budget = budget_amount(current.plan)
    paid: dict[str, int] = {}
    for one in (*book.entries, *book.without_rate):
        if one.bucket is Bucket.PAID and one.currency != book.currency:
            paid[one.currency] = paid.get(one.currency, 0) + one.amount
    return Spend(
        currency=book.currency,
        budget=None if budget is None else str(budget),
        paid=text(whole.paid, book.currency),
        spent=text(spent(whole), book.currency),
        committed=text(promised(whole), book.currency),
        at_completion=text(whole.at_completion, book.currency),
        by_currency=[
            ForeignPaid(currency, text(units, currency)) for currency, units in sorted(paid.items())
        ],
    )
