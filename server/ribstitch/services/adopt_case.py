"""Take a what-if case into the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from ribstitch.planning import whatif
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Plan
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    refuse_stale_plan,
)
from ribstitch.services.compare_cases import AskedCase
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.simulate_cases import named
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import PLAN_KINDS, Kind


@dataclass(frozen=True, slots=True)
class Adopted:
    """What taking a case into the plan led to."""

    recorded: Recorded
    kind: str
    """Of the thing that was changed first: taking its change back takes back all; empty
    where the case changes nothing."""
    changed: int
    """How many things of the plan are other than before."""


def adopt_case(
    forecasts: Forecasts,
    project_id: int,
    case: AskedCase,
    plan_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Adopted:
    """
    Change the plan as a case says, all at once.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    case
        The case; its changes are applied to the plan as it stands.
    plan_version
        The version of the plan that the case was looked at with.
    person, at, reason
        Who takes it, when, and why.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    StaleEditError
        If the plan was changed since.
    PlanError
        If a change cannot be made, or is a guess and no plan; `where` begins with ``case``.
    """
    edits: list[Edit] = []

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        refuse_stale_plan(current, plan_version, work)
        edits.extend(_edits(current, case.changes))
        name = f"Case {case.name}" if case.name else "A case"
        return Change("case.adopt", edits, f"{name} taken into the plan")

    author = Author(person, at, reason or case.name)
    done = change_plan(forecasts, project_id, author, decide)
    return Adopted(done, edits[0].kind if edits else "", len(edits))


def _edits(current: CurrentPlan, changes: Sequence[whatif.Change]) -> list[Edit]:
    """Return what differs between the plan and the case, thing by thing."""
    for number, change in enumerate(changes):
        if isinstance(change, whatif.VendorLate | whatif.SendOutLate):
            late = change.vendor if isinstance(change, whatif.VendorLate) else change.send_out
            raise InvalidValueError(
                f"case.changes[{number}]",
                f'that "{late}" comes late is a guess, and no plan: note a new promise on Away',
                late,
            )
    with named("case"):
        adopted = whatif.apply_changes(current.plan, changes).plan
    return [edit for kind in PLAN_KINDS.values() for edit in _edits_of_kind(current, adopted, kind)]


def _edits_of_kind(current: CurrentPlan, adopted: Plan, kind: Kind[Any]) -> list[Edit]:
    """Return what differs among things of one kind; a case keeps those it does not change."""
    before, after = kind.things(current.plan), kind.things(adopted)
    if before == after:
        return []
    old = dict(zip(current.versions[kind.name], before, strict=True))
    new = dict(zip(kind.keys(after), after, strict=True))
    return [
        Edit(kind.name, key, old.get(key), new.get(key))
        for key in {**old, **new}
        if old.get(key) != new.get(key)
    ]
