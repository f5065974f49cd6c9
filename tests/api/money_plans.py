"""The small plan with money in it."""

from __future__ import annotations

from typing import Any

from tests.api.asking import small_plan


def money_plan(**changes: Any) -> dict[str, Any]:
    """
    Return the small plan with rates, costs in two currencies, hours, and what waits.

    By hand, in EUR: T1 took 14 h at 40.00 (560.00); C1 is paid (120.50); of the engine,
    30 % of GBP 4,000 is paid on 7 January at 1.16 (1,392.00) and GBP 2,800 is ordered,
    worth 1.20 at the as-of date (3,360.00).
    """
    plan = small_plan()
    plan["project"] |= {
        "standing_per_month": "1000.00",
        "balance": "5000.00",
        "balance_on": "2026-02-02",
    }
    plan["tasks"][0]["chapter"] = "71"
    plan["tasks"][1]["chapter"] = plan["tasks"][2]["chapter"] = "55"
    plan["tasks"][3]["chapter"] = "71"
    plan["crew"] = [
        {"trade": "metal", "people": 1, "label": "Metalworker 1", "rate": "30.00"},
        {"trade": "engine", "label": "Mechanic 1", "rate": "40.00"},
    ]
    plan["costs"].append(
        {
            "id": "C2",
            "name": "Engine overhaul",
            "kind": "vendor",
            "state": "ordered",
            "amount": "4000.00",
            "currency": "GBP",
            "on": "2026-01-06",
            "chapter": "72",
            "send_out": "S1",
            "document": "PO 118",
            "payments": [{"on": "2026-01-07", "amount": "1200.00"}],
            "dues": [
                {"percent": "30", "at": "order"},
                {"percent": "70", "at": "accepted", "days": 14},
            ],
        }
    )
    plan["budget"] = [
        {"chapter": "55", "amount": "5000.00", "currency": "EUR"},
        {"chapter": "71", "amount": "1500.00", "currency": "EUR"},
        {"chapter": "72", "amount": "4500.00", "currency": "EUR"},
        {"chapter": "00", "amount": "2000.00", "currency": "EUR", "kind": "contingency"},
    ]
    plan["exchange_rates"].append({"currency": "GBP", "on": "2026-02-01", "rate": "1.20"})
    plan["hours"] = [
        {"id": "H1", "task": "T1", "on": "2026-01-05", "hours": "8", "label": "Mechanic 1"},
        {"id": "H2", "task": "T1", "on": "2026-01-06", "hours": "6", "label": "Mechanic 1"},
    ]
    plan["funding"] = [
        {"id": "F1", "on": "2026-03-01", "amount": "1500.00", "every_months": 1, "name": "Owner"}
    ]
    plan["over_and_above"] = [
        {
            "id": "A1",
            "name": "Corroded rudder hinge",
            "asked_on": "2026-01-30",
            "amount": "300.00",
            "chapter": "55",
            "task": "T3",
        }
    ]
    return {**plan, **changes}
