"""The small evaluation with finished work on one of its method cards."""

from __future__ import annotations

from typing import Any

from tests.support.evaluated import DAY, evaluated_plan

DONE = {"state": "done", "started": DAY, "finished": DAY}


def opened(number: int, bays: str) -> dict[str, Any]:
    """Return a finished task of card M05."""
    origin = {"job": f"D{number}", "card": "M05", "step": 1, "quantity": bays}
    return {"id": f"D{number}.1", "days": 1, "trade": "metal", "status": DONE, "origin": origin}


def worked_plan() -> dict[str, Any]:
    """Return the evaluated plan with three jobs of card M05 done, at 4 hours a bay."""
    plan = evaluated_plan()
    jobs = [(1, "2", "8"), (2, "1", "4"), (3, "3", "12")]
    plan["tasks"] += [opened(number, bays) for number, bays, _hours in jobs]
    plan["hours"] = [
        {"id": f"H{number}", "task": f"D{number}.1", "on": DAY, "hours": hours}
        for number, _bays, hours in jobs
    ]
    return plan
