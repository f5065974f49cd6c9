"""Long computations that somebody asks for with wishes of their own: begun, watched, stopped.

Unlike `Background`, nothing begins by itself, the best so far can be had while the rest is
computed, and who stops it keeps that.
"""

from __future__ import annotations

import logging
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock, Thread
from time import monotonic
from typing import Generic, Literal, TypeVar

from ribstitch.planning.errors import PlanError
from ribstitch.services.forecast import CurrentPlan

_LOG = logging.getLogger("ribstitch.services")
_Wish = TypeVar("_Wish")
_Found = TypeVar("_Found")

_ALL_BUT_DONE = 0.99
"""What counts on time may still take a moment at its end."""

AskedState = Literal["none", "running", "ready", "cancelled", "failed", "outdated"]


@dataclass(frozen=True, slots=True)
class AskedStanding(Generic[_Wish, _Found]):
    """How far a computation has come, and the best that it has found."""

    state: AskedState
    progress: float = 0.0
    """Share that is done, 0 to 1."""
    found: _Found | None = None
    """The best so far; what it comes to once `state` is "ready"."""
    reason: str = ""
    """One sentence, where it failed."""
    wish: _Wish | None = None
    """What was asked for."""
    plan_version: int | None = None
    """Of the plan that it is about."""


class Handle(Generic[_Found]):
    """What a computation is given: it tells how far it is, and is told when to stop."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._state: AskedState = "running"
        self._stopped = False
        self._progress = 0.0
        self._found: _Found | None = None
        self._began = 0.0
        self._lasts: float | None = None

    def lasts(self, seconds: float) -> None:
        """Note how long it takes from now on, so that its progress can be told. [s]"""
        with self._lock:
            self._began, self._lasts = monotonic(), seconds

    def report(self, share: float) -> None:
        """Note the share that is done, 0 to 1."""
        with self._lock:
            self._progress = min(max(share, self._progress), 1.0)

    def offer(self, found: _Found) -> None:
        """Keep the best so far."""
        with self._lock:
            if self._state == "running":
                self._found = found

    def is_stopped(self) -> bool:
        """Return whether the rest is not wanted any more."""
        return self._stopped


class _Run(Handle[_Found], Generic[_Wish, _Found]):
    """One computation about one plan, shared by its thread and those who ask."""

    thread: Thread

    def __init__(self, current: CurrentPlan, wish: _Wish) -> None:
        super().__init__()
        self.current = current
        self.wish = wish
        self._reason = ""

    def standing(self, plan_version: int) -> AskedStanding[_Wish, _Found]:
        """Return how far it has come, seen from a version of the plan."""
        version = self.current.plan_version
        with self._lock:
            state: AskedState = self._state if version == plan_version else "outdated"
            return AskedStanding(
                state, self._share(), self._found, self._reason, self.wish, version
            )

    def _share(self) -> float:
        """Return the share that is done, as reported or by the time it takes."""
        if self._state != "running" or not self._lasts:
            return self._progress
        by_time = (monotonic() - self._began) / self._lasts
        return max(self._progress, min(by_time, _ALL_BUT_DONE))

    def stop(self) -> None:
        """Let it end with what it has found; it is over at once where that is nothing."""
        with self._lock:
            self._stopped = True
            if self._state == "running" and self._found is None:
                self._state = "cancelled"

    def give_up(self) -> None:
        """Stop because the plan has changed, or something else is asked for."""
        with self._lock:
            self._stopped = True
            if self._state == "running":
                self._state = "outdated"

    def end(self, state: AskedState, reason: str = "") -> None:
        """Note how it ended; what was noted first holds."""
        with self._lock:
            if self._state != "running":
                return
            self._state, self._reason = state, reason
            if state == "ready":
                self._progress = 1.0

    @property
    def has_found(self) -> bool:
        """Whether there is anything to keep."""
        return self._found is not None


class AskedWork(Generic[_Wish, _Found]):
    """
    One computation for each project, begun when somebody asks; the last one is kept.

    Parameters
    ----------
    name
        What is computed, as the subject of a sentence.
    compute
        Computes it, offering better and better results, and ends soon once it is stopped.
        What was stopped before anything was offered counts as cancelled.
    keep
        For how many projects a computation is kept.
    """

    def __init__(
        self,
        name: str,
        compute: Callable[[CurrentPlan, _Wish, Handle[_Found]], None],
        *,
        keep: int = 8,
    ) -> None:
        self._name = name
        self._compute = compute
        self._keep = keep
        self._lock = Lock()
        self._runs: OrderedDict[int, _Run[_Wish, _Found]] = OrderedDict()
        self._is_closed = False

    def begin(self, current: CurrentPlan, wish: _Wish) -> None:
        """Begin, in place of whatever was computed about the project before."""
        run: _Run[_Wish, _Found] = _Run(current, wish)
        with self._lock:
            if self._is_closed:
                return
            older = self._runs.pop(current.project_id, None)
            if older is not None:
                older.give_up()
            run.thread = Thread(
                target=self._work,
                args=(run, None if older is None else older.thread),
                name=f"{self._name} of project {current.project_id}",
                daemon=True,
            )
            self._runs[current.project_id] = run
            while len(self._runs) > self._keep:
                _, forgotten = self._runs.popitem(last=False)
                forgotten.give_up()
            run.thread.start()

    def look(self, current: CurrentPlan) -> AskedStanding[_Wish, _Found]:
        """Say how the computation about a project stands, seen from its plan as it is now."""
        run = self._run(current.project_id)
        return AskedStanding("none") if run is None else run.standing(current.plan_version)

    def stop(self, current: CurrentPlan, wait_seconds: float = 0.0) -> None:
        """
        Stop the computation about a project; what it has found is kept.

        Parameters
        ----------
        current
            The project's plan.
        wait_seconds
            Wait at most so long until it has ended. [s]
        """
        run = self._run(current.project_id)
        if run is not None:
            run.stop()
            run.thread.join(wait_seconds)

    def wait(self, current: CurrentPlan, wait_seconds: float) -> None:
        """Wait at most so long until the computation about a project has ended. [s]"""
        run = self._run(current.project_id)
        if run is not None:
            run.thread.join(wait_seconds)

    def forget(self, project_id: int) -> None:
        """Drop what was found about a project."""
        with self._lock:
            run = self._runs.pop(project_id, None)
        if run is not None:
            run.give_up()

    def changing(self, project_id: int) -> None:
        """Go on: an edit may yet be refused, and what was found would be lost."""

    def changed(self, current: CurrentPlan) -> None:
        """Stop what is computed about an older version of a plan."""
        run = self._run(current.project_id)
        if run is not None and run.current.plan_version < current.plan_version:
            run.give_up()

    @property
    def at_work(self) -> int:
        """How many computations run."""
        with self._lock:
            return sum(run.thread.is_alive() for run in self._runs.values())

    def close(self, wait_seconds: float) -> None:
        """Stop all computations, wait a little for their threads, and begin no more. [s]"""
        with self._lock:
            self._is_closed = True
            runs = list(self._runs.values())
        for run in runs:
            run.stop()
        until = monotonic() + wait_seconds
        for run in runs:
            run.thread.join(max(until - monotonic(), 0.0))

    def _run(self, project_id: int) -> _Run[_Wish, _Found] | None:
        """Return what is computed about a project."""
        with self._lock:
            return self._runs.get(project_id)

    def _work(self, run: _Run[_Wish, _Found], previous: Thread | None) -> None:
        """Compute; one computation a project at a time."""
        if previous is not None:
            previous.join()
        try:
            if not run.is_stopped():
                self._compute(run.current, run.wish, run)
        except PlanError as refused:
            run.end("failed", _sentence(refused))
        except Exception:  # noqa: BLE001 - it is logged, and told to who asks
            _LOG.exception("%s of project %d failed", self._name, run.current.project_id)
            run.end("failed", f"{self._name} failed; the service's log tells why.")
        else:
            run.end("ready" if run.has_found else "cancelled")


def _sentence(refused: PlanError) -> str:
    """Say why a plan is refused to somebody who has no plan file before them."""
    reason = refused.reason
    return f"{reason[0].upper()}{reason[1:]}{'' if reason.endswith('.') else '.'}"
