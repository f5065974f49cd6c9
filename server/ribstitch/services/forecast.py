"""The current forecast of a project: computed once per change, then kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Protocol, TypeVar, cast

from ribstitch.planning.grace import (
    SendOutGrace,
    VendorGrace,
    send_out_grace,
    vendor_grace,
)
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.services.memo import Memo
from ribstitch.store import Store, StoredPlan, Versions

_Result = TypeVar("_Result")
_DERIVED = 64
"""How many results derived from one plan are kept with it."""


@dataclass(frozen=True, slots=True)
class CurrentPlan:
    """A project's plan at one plan version, and what was computed from it."""

    project_id: int
    plan_version: int
    plan: Plan
    versions: Versions
    """Row versions by kind and key, in the plan's order of entry."""
    schedule: Schedule
    _derived: Memo[str, object] = field(default_factory=lambda: Memo(_DERIVED), repr=False)

    @property
    def as_of(self) -> date:
        """The date for which the status is true."""
        return self.plan.project.as_of

    @property
    def finish_on(self) -> date:
        """The forecast finish of the project."""
        return self.schedule.finish_on

    @property
    def send_out_graces(self) -> Mapping[str, SendOutGrace]:
        """How late each open send-out can be, by id; computed when first asked for."""
        return self.derived(
            "send_out_graces", lambda: {one.id: one for one in send_out_grace(self.schedule)}
        )

    @property
    def vendor_graces(self) -> Mapping[str, VendorGrace]:
        """How late each vendor with work to do can be, by id; computed when first asked for."""
        return self.derived(
            "vendor_graces", lambda: {one.id: one for one in vendor_grace(self.schedule)}
        )

    def derived(self, name: str, compute: Callable[[], _Result]) -> _Result:
        """Return what follows from this plan alone, computed when first asked for."""
        return cast("_Result", self._derived.get(name, compute))


def forecast(stored: StoredPlan) -> CurrentPlan:
    """
    Compute the forecast of a stored plan.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled.
    """
    return CurrentPlan(
        stored.project_id,
        stored.plan_version,
        stored.plan,
        stored.versions,
        schedule(stored.plan),
    )


class Watcher(Protocol):
    """Who wants to know of changes."""

    def changing(self, project_id: int) -> None:
        """Be told that somebody is about to change a plan."""

    def changed(self, current: CurrentPlan) -> None:
        """Be told of a changed plan, once it is stored."""


class Watchers:
    """Several who want to know of changes, told one after the other."""

    def __init__(self, *watchers: Watcher) -> None:
        self._watchers = watchers

    def changing(self, project_id: int) -> None:
        """Tell that somebody is about to change a plan."""
        for one in self._watchers:
            one.changing(project_id)

    def changed(self, current: CurrentPlan) -> None:
        """Tell of a changed plan."""
        for one in self._watchers:
            one.changed(current)


class Forecasts:
    """
    The forecasts of all projects in a store; one object serves the whole process.

    Parameters
    ----------
    store
        Where the plans are.
    keep
        How many forecasts are kept; each project in use needs one.
    watcher
        Told of every change; must not take time.
    """

    def __init__(
        self,
        store: Store,
        keep: int = 8,
        watcher: Watcher | None = None,
    ) -> None:
        self.store = store
        self._watcher = watcher
        self._known: Memo[tuple[int, int], CurrentPlan] = Memo(keep)

    def current(self, project_id: int) -> CurrentPlan:
        """
        Return the forecast of a project as it is now.

        Raises
        ------
        UnknownProjectError
            If there is no such project.
        """
        with self.store.reading() as reading:
            version = reading.plan_version(project_id)
        return self._known.get((project_id, version), lambda: forecast(self._load(project_id)))

    def at_version(self, project_id: int, plan_version: int) -> CurrentPlan | None:
        """Return a forecast that is at hand, or None."""
        known = self._known.peek((project_id, plan_version))
        return known if known is not None and known.plan_version == plan_version else None

    def changing(self, project_id: int) -> None:
        """Say that a plan is about to be changed."""
        if self._watcher is not None:
            self._watcher.changing(project_id)

    def keep(self, current: CurrentPlan) -> None:
        """Keep a forecast that was computed on the way, once its plan is stored."""
        self._known.put((current.project_id, current.plan_version), current)
        self._known.drop(lambda key: key[0] == current.project_id and key[1] < current.plan_version)
        if self._watcher is not None:
            self._watcher.changed(current)

    def _load(self, project_id: int) -> StoredPlan:
        """Load a plan: the version that was asked for, or a newer one."""
        with self.store.reading() as reading:
            return reading.plan(project_id)
