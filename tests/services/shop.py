"""One stored project and the short ways to it that tests need."""

from __future__ import annotations

from datetime import date
from typing import Any

from ribstitch.planning.model import Plan, SendOut, State, Task, TaskStatus
from ribstitch.services.change_plan import Recorded, thing_of
from ribstitch.services.edit_thing import edit_thing
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.import_plan import import_plan
from ribstitch.services.record_status import record_task_status
from ribstitch.store import ChangeRecord, LoggedForecast, Store
from tests.store.plans import AT, LEAD

OPENED = TaskStatus(State.DONE, date(2026, 1, 5), date(2026, 1, 7))
"""Opening up took Monday to Wednesday."""
FIRST_FINISH = date(2026, 2, 4)
"""
When nothing is done on Fri 9 January: opening up until Tue 13, prepared on the 14th, two days
on the road, ten working days at the vendor (19th to 30th), two days back, accepted on Mon
2 February, closed up on the 3rd and 4th.
"""
FINISH_ONCE_OPENED = date(2026, 1, 28)
"""With opening up done all that begins on Fri 9 January and ends a week earlier."""


class Shop:
    """One project in a store."""

    def __init__(self, store: Store, plan: Plan) -> None:
        self.store = store
        self.forecasts = Forecasts(store)
        self.project_id = import_plan(store, plan, LEAD, AT)

    @property
    def current(self) -> CurrentPlan:
        """The plan as it is now."""
        return self.forecasts.current(self.project_id)

    def version(self, kind: str, key: str) -> int:
        """Return the version of a thing."""
        return self.current.versions[kind][key]

    def thing(self, kind: str, key: str) -> Any:
        """Return a thing of the plan."""
        return thing_of(self.current.plan, self.current.versions, kind, key)

    def task(self, key: str) -> Task:
        """Return a task."""
        task: Task = self.thing("task", key)
        return task

    def send_out(self, key: str) -> SendOut:
        """Return a send-out."""
        item: SendOut = self.thing("send_out", key)
        return item

    def record(self, task: str, status: TaskStatus, reason: str = "") -> Recorded:
        """Record the status of a task as somebody who has just looked at it."""
        version = self.version("task", task)
        return record_task_status(
            self.forecasts, self.project_id, task, status, version, LEAD, AT, reason
        )

    def edit(self, kind: str, key: str, thing: Any) -> Recorded:
        """Edit a thing as somebody who has just looked at it."""
        version = self.version(kind, key)
        return edit_thing(self.forecasts, self.project_id, kind, key, thing, version, LEAD, AT)

    def changes(self, **only: Any) -> list[ChangeRecord]:
        """Return the change log, newest first."""
        with self.store.reading() as reading:
            return reading.changes(self.project_id, **only)

    def log(self) -> list[LoggedForecast]:
        """Return the forecast log."""
        with self.store.reading() as reading:
            return reading.forecasts(self.project_id)

    def picture(self) -> tuple[Any, ...]:
        """Return everything that is stored, to see that nothing was changed."""
        with self.store.reading() as reading:
            return reading.plan(self.project_id), self.changes(), self.log()

    def check_kept_plan(self) -> None:
        """Check that the plan at hand is the one that is stored, versions and order included."""
        with self.store.reading() as reading:
            stored = reading.plan(self.project_id)
        kept = self.current
        assert kept.plan == stored.plan
        assert kept.plan_version == stored.plan_version
        assert kept.versions == stored.versions
        for kind, versions in stored.versions.items():
            assert list(kept.versions[kind]) == list(versions)
