"""What moved since an earlier plan: worked out beside the requests, and kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ribstitch.money.movement import movement
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.schedule import schedule
from ribstitch.services.asked_work import AskedWork, Handle
from ribstitch.services.background import Standing
from ribstitch.services.earlier_plan import plan_at
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.memo import Memo
from ribstitch.services.views.moved_shape import MovedSince
from ribstitch.services.views.moved_view import moved_view
from ribstitch.store import Store

WAIT_SECONDS = 0.25
"""A request waits so long: few causes are told by then. [s]"""
_KEPT = 32
_SECONDS_TO_STOP = 2.0


class MovedSinces:
    """
    What moved since earlier versions of plans; one object serves the whole process.

    One question a project is worked out at a time; who asks another one meanwhile is told
    that it runs, and asks again.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._kept: Memo[tuple[int, int, int], MovedSince] = Memo(_KEPT)
        self.work: AskedWork[int, MovedSince] = AskedWork("What moved", self._work_out)

    def since(self, current: CurrentPlan, plan_version: int) -> Standing[MovedSince]:
        """Say what moved since a version of a plan, or how far that is."""
        key = (current.project_id, current.plan_version, plan_version)
        found = self._kept.peek(key)
        if found is None and not self._has_failed(current, plan_version):
            if self.work.look(current).state != "running":
                self.work.begin(current, plan_version)
            self.work.wait(current, WAIT_SECONDS)
            found = self._kept.peek(key)
        if found is not None:
            return Standing("ready", 1.0, found)
        asked = self.work.look(current)
        if self._has_failed(current, plan_version):
            return Standing("failed", asked.progress, reason=asked.reason)
        return Standing("running", asked.progress if asked.wish == plan_version else 0.0)

    def _has_failed(self, current: CurrentPlan, plan_version: int) -> bool:
        """Return whether this question was the last one about the plan, and cannot be answered."""
        asked = self.work.look(current)
        return asked.state == "failed" and asked.wish == plan_version

    def close(self) -> None:
        """Stop everything; nothing begins any more."""
        self.work.close(_SECONDS_TO_STOP)

    def _work_out(
        self, current: CurrentPlan, plan_version: int, handle: Handle[MovedSince]
    ) -> None:
        """Work out what moved since a version of a plan, and keep it."""
        earlier = plan_at(self._store, current.project_id, plan_version)
        before, now = (one.project.currency for one in (earlier.plan, current.plan))
        if before != now:
            raise InvalidValueError(
                "since", f"the plan was reckoned in {before} then and is in {now} now", before
            )
        known = [one for one in earlier.changes if one.plan_version <= current.plan_version]
        try:
            found = movement(schedule(earlier.plan), current.schedule, on_progress=_telling(handle))
        except _StoppedError:
            return
        view = moved_view(current, replace(earlier, changes=known), found)
        self._kept.put((current.project_id, current.plan_version, plan_version), view)
        handle.offer(view)


class _StoppedError(Exception):
    """The rest is not wanted any more."""


def _telling(handle: Handle[MovedSince]) -> Callable[[float], None]:
    """Return what tells how far it is, and leaves where the rest is not wanted."""

    def told(share: float) -> None:
        if handle.is_stopped():
            raise _StoppedError
        handle.report(share)

    return told
