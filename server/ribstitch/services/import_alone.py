"""Check the things of a table so that the fault of each is found, not the first alone.

They are put into a plan that has nothing else but what they name, all together; as long as
something is wrong with them, half of them at a time. So a table without a fault is checked
once, and no row costs more than any other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    Calendar,
    CardStep,
    MethodCard,
    Place,
    Plan,
    SendOut,
    SendOutKind,
    Task,
    Vendor,
    Zone,
)

_NONE = Decimal(0)
_STAND_INS: Mapping[str, Callable[[str], Any]] = {
    "calendars": Calendar,
    "zones": Zone,
    "tasks": lambda name: Task(name, 0),
    "send_outs": lambda name: SendOut(name, "vendor"),
    "places": Place,
    "kinds": lambda name: SendOutKind(name, 1, 1),
    "cards": lambda name: MethodCard(name, "", "", (CardStep(1, "", (_NONE, _NONE, _NONE)),)),
}
"""What stands in for a thing that is named: its id, and as little more as may be."""
_NAMES: Mapping[str, Mapping[str, str]] = {
    "tasks": {"calendar": "calendars", "zone": "zones", "places": "places"},
    "findings": {"zone": "zones", "card": "cards"},
    "vendors": {"calendar": "calendars", "kinds": "kinds"},
    "costs": {"task": "tasks", "send_out": "send_outs"},
    "exchange_rates": {},
    "hours": {"task": "tasks"},
}
"""Which fields of a thing name what, by its list in the plan."""


class AloneChecker:
    """
    Checks things of one list of a plan, each for itself.

    Parameters
    ----------
    plan
        Where the things shall go.
    field
        Their list, such as ``tasks``.
    """

    def __init__(self, plan: Plan, field: str) -> None:
        self._shop = plan.project.calendar
        calendar = Calendar(self._shop)
        self._bare = Plan(plan.project, calendars=(calendar,), vendors=(Vendor("vendor"),))
        self._field = field
        self._known = {
            of: {one.id for one in getattr(plan, of)} for of in set(_NAMES[field].values())
        }

    def faults(self, things: Sequence[Any]) -> list[PlanError | None]:
        """Return what is wrong with each thing; None: nothing. The ids must differ."""
        fault = self._first_fault(things)
        if fault is None or len(things) == 1:
            return [fault] * len(things)
        middle = len(things) // 2
        return self.faults(things[:middle]) + self.faults(things[middle:])

    def _first_fault(self, things: Sequence[Any]) -> PlanError | None:
        """Return the first fault of some things."""
        changed: dict[str, Any] = {
            of: (*getattr(self._bare, of), *map(_STAND_INS[of], names))
            for of, names in self._named(things).items()
        }
        changed[self._field] = tuple(things)
        try:
            check_plan(replace(self._bare, **changed))
        except PlanError as refused:
            return refused
        return None

    def _named(self, things: Sequence[Any]) -> dict[str, dict[str, None]]:
        """Return the ids of what some things name and the plan has, by list."""
        found: dict[str, dict[str, None]] = {}
        for name, of in _NAMES[self._field].items():
            known, ids = self._known[of], found.setdefault(of, {})
            for thing in things:
                named = getattr(thing, name)
                for one in named if isinstance(named, tuple) else (named,):
                    if one in known and (of, one) != ("calendars", self._shop):
                        ids[one] = None
        return found
