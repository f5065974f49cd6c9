"""Short ways to write plans whose money is known: lines, rates, a crew, an as-of date."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.money import Ledger, ledger_of
from ribstitch.planning.model import Cost, Crew, ExchangeRate, Payment, Plan
from ribstitch.planning.schedule import schedule
from tests.core.making import plan

AS_OF = date(2026, 3, 2)
"""A Monday, eight weeks into the project."""
METAL = Crew("metal", rate=Decimal(48))
RATES = (
    ExchangeRate("GBP", date(2026, 1, 12), Decimal("1.16")),
    ExchangeRate("GBP", date(2026, 2, 16), Decimal("1.14")),
    ExchangeRate("GBP", date(2026, 7, 1), Decimal("1.50")),
    ExchangeRate("JPY", date(2026, 1, 12), Decimal("0.006")),
    ExchangeRate("KWD", date(2026, 1, 12), Decimal("2.9")),
)


def costed(*costs: Cost, currency: str = "EUR", standing: str | None = None, **more: Any) -> Plan:
    """Return a plan as of 2 March with cost lines; metalwork at 48 an hour unless said."""
    given: dict[str, Any] = {"crew": [METAL], "exchange_rates": RATES, "as_of": AS_OF}
    project = {"currency": currency, "standing_per_month": standing and Decimal(standing)}
    return plan(costs=costs, project=project, **{**given, **more})


def line(amount: str, currency: str = "EUR", **fields: Any) -> Cost:
    """Return a cost line, called by its amount and currency unless told otherwise."""
    given = {"id": f"C{amount}{currency}", **fields}
    return Cost(amount=Decimal(amount), currency=currency, **given)


def paid(*parts: tuple[date, str]) -> tuple[Payment, ...]:
    """Return payments: date and amount of each."""
    return tuple(Payment(on, Decimal(amount)) for on, amount in parts)


def booked(made: Plan) -> Ledger:
    """Return the ledger of a plan."""
    return ledger_of(schedule(made))
