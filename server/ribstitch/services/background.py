"""Long computations beside the requests: begun once, watched, cancelled, kept.

A request never waits until such a computation is ready; it says how far it is.
"""

from __future__ import annotations

import logging
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import TIMEOUT_MAX, Event, Lock, Thread
from time import monotonic
from typing import Generic, Literal, TypeVar

from ribstitch.planning.errors import PlanError
from ribstitch.services.forecast import CurrentPlan

_LOG = logging.getLogger("ribstitch.services")
_Result = TypeVar("_Result")

State = Literal["running", "ready", "cancelled", "failed"]
OnProgress = Callable[[float], None]
"""Told the share that is done, 0 to 1; raises where the rest is not wanted any more."""


@dataclass(frozen=True, slots=True)
class Standing(Generic[_Result]):
    """How far a computation has come, and what it found."""

    state: State
    progress: float
    """Share that is done, 0 to 1."""
    result: _Result | None = None
    """None unless ready."""
    reason: str = ""
    """One sentence, where it failed."""


class Background(Generic[_Result]):
    """
    One computation for each project, about its newest plan, in a thread of its own.

    A newer plan stops the computation about an older one, and so does whoever is about to
    change the plan: an edit shall not have to share the machine. Threads die with the
    process: nothing that is still computed keeps a service from ending.

    Parameters
    ----------
    name
        What is computed, as the subject of a sentence.
    compute
        Computes it; calls what it is given every now and then.
    on_ready
        Called in the same thread once the result can be had.
    quiet_seconds
        What takes long begins only when the plan has not been changed for so long, or for as
        long as it is expected to take: while people work, little is begun in vain. [s]
    keep
        For how many projects a computation is kept.
    """

    def __init__(
        self,
        name: str,
        compute: Callable[[CurrentPlan, OnProgress], _Result],
        on_ready: Callable[[CurrentPlan, _Result], None] | None = None,
        *,
        quiet_seconds: float = 0.0,
        keep: int = 8,
    ) -> None:
        self._name = name
        self._compute = compute
        self._on_ready = on_ready
        self._quiet_seconds = quiet_seconds
        self._keep = keep
        self._lock = Lock()
        self._runs: OrderedDict[int, _Run[_Result]] = OrderedDict()
        self._is_closed = False

    def look(self, current: CurrentPlan, wait_seconds: float = 0.0) -> Standing[_Result]:
        """
        Say how the computation about a plan stands, beginning it where it was not begun.

        Parameters
        ----------
        current
            The plan.
        wait_seconds
            Wait until the computation is that old, if it is not ready sooner; not at all
            where the one before took longer. [s]
        """
        with self._lock:
            run = self._run_for(current, self._quiet_seconds)
            if run is None:
                return Standing("running", 0.0)
            if run.expected_seconds > wait_seconds:
                return run.standing()
            run.begin_now()
        run.ended.wait(max(run.begun_at + wait_seconds - monotonic(), 0.0))
        return run.standing()

    def is_begun(self, current: CurrentPlan) -> bool:
        """Return whether the computation about a plan was begun, and not given up since."""
        with self._lock:
            run = self._runs.get(current.project_id)
            return (
                run is not None
                and run.current.plan_version == current.plan_version
                and not run.is_given_up
            )

    def expect(self, current: CurrentPlan) -> None:
        """Begin when the plan has not been changed for a while, or sooner if somebody looks."""
        with self._lock:
            self._run_for(current, self._quiet_seconds)

    def interrupt(self, project_id: int) -> None:
        """Stop what is computed about a project; it is begun again when somebody looks."""
        with self._lock:
            run = self._runs.get(project_id)
            if run is not None:
                run.give_up()

    def restart(self, current: CurrentPlan) -> None:
        """Begin anew what was cancelled or has failed."""
        with self._lock:
            run = self._run_for(current)
            if run is not None and run.state in {"cancelled", "failed"}:
                self._begin(current, run)

    def cancel(self, current: CurrentPlan) -> None:
        """Stop the computation about a plan; it is begun again by `restart` only."""
        with self._lock:
            run = self._run_for(current, TIMEOUT_MAX)
            if run is not None:
                run.cancel()

    def stop_older(self, current: CurrentPlan) -> None:
        """Stop the computation about an older version of a plan."""
        with self._lock:
            run = self._runs.get(current.project_id)
            if run is not None and run.current.plan_version < current.plan_version:
                run.give_up()

    @property
    def at_work(self) -> int:
        """How many computations run, or wait to begin."""
        with self._lock:
            return sum(not run.ended.is_set() for run in self._runs.values())

    def close(self, wait_seconds: float) -> None:
        """Stop all computations, wait a little for their threads, and begin no more. [s]"""
        with self._lock:
            self._is_closed = True
            runs = list(self._runs.values())
            for run in runs:
                run.cancel()
        until = monotonic() + wait_seconds
        for run in runs:
            run.thread.join(max(until - monotonic(), 0.0))

    def _run_for(self, current: CurrentPlan, after_seconds: float = 0.0) -> _Run[_Result] | None:
        """Return the run about a plan, begun if need be; None if a newer plan is at work."""
        run = self._runs.get(current.project_id)
        if run is None or run.current.plan_version < current.plan_version:
            return self._begin(current, run, after_seconds)
        if run.current.plan_version > current.plan_version:
            return None
        if run.is_given_up:
            return self._begin(current, run, after_seconds)
        self._runs.move_to_end(current.project_id)
        return run

    def _begin(
        self, current: CurrentPlan, older: _Run[_Result] | None, after_seconds: float = 0.0
    ) -> _Run[_Result]:
        """Begin a run in place of an older one, which is stopped."""
        run: _Run[_Result] = _Run(current)
        if older is not None:
            older.give_up()
            run.expected_seconds = older.expected_seconds
        if self._is_closed:
            run.cancel()
            return run
        previous = None if older is None else older.thread
        patience = after_seconds and max(after_seconds, run.expected_seconds)
        run.thread = Thread(
            target=self._work,
            args=(run, previous, patience),
            name=f"{self._name} of project {current.project_id}",
            daemon=True,
        )
        self._runs[current.project_id] = run
        self._runs.move_to_end(current.project_id)
        while len(self._runs) > self._keep:
            _, forgotten = self._runs.popitem(last=False)
            forgotten.give_up()
        run.thread.start()
        return run

    def _work(self, run: _Run[_Result], previous: Thread | None, after_seconds: float) -> None:
        """Compute, and keep what came of it; one computation a project at a time."""
        run.wanted.wait(after_seconds)
        run.begin_now()
        if previous is not None:
            previous.join()
        try:
            run.report(0.0)
            run.started_at = monotonic()
            result = self._compute(run.current, run.report)
        except _StoppedError:
            return
        except PlanError as refused:
            run.end("failed", reason=str(refused))
        except Exception:  # noqa: BLE001 - it is logged, and told to who asks
            _LOG.exception("%s of project %d failed", self._name, run.current.project_id)
            run.end("failed", reason=f"{self._name} failed; the service's log tells why.")
        else:
            run.end("ready", result)
            self._tell(run, result)

    def _tell(self, run: _Run[_Result], result: _Result) -> None:
        """Hand on what is ready, unless it was cancelled meanwhile."""
        if self._on_ready is None or run.state != "ready":
            return
        try:
            self._on_ready(run.current, result)
        except Exception:  # noqa: BLE001 - it is logged; the result stands all the same
            project = run.current.project_id
            _LOG.exception("%s of project %d was not noted down", self._name, project)


class _StoppedError(Exception):
    """The result is not wanted any more."""


class _Run(Generic[_Result]):
    """One computation about one plan, shared by its thread and those who ask."""

    thread: Thread

    def __init__(self, current: CurrentPlan) -> None:
        self.current = current
        self.state: State = "running"
        self.wanted = Event()
        """Somebody waits for it, so that it begins at once."""
        self.ended = Event()
        self.begun_at = 0.0
        """When somebody first waited for it, on the monotonic clock. [s]"""
        self.started_at: float | None = None
        self.expected_seconds = 0.0
        """How long it took; as long as it has not ended, how long the one before it took."""
        self._progress = 0.0
        self._result: _Result | None = None
        self._reason = ""
        self._lock = Lock()

    def standing(self) -> Standing[_Result]:
        """Return how far it has come."""
        with self._lock:
            return Standing(self.state, self._progress, self._result, self._reason)

    def begin_now(self) -> None:
        """Wait no longer for further changes of the plan."""
        with self._lock:
            if not self.wanted.is_set():
                self.begun_at = monotonic()
                self.wanted.set()

    def report(self, share: float) -> None:
        """Note the share that is done; raise where the rest is not wanted any more."""
        if self.ended.is_set():
            raise _StoppedError
        self._progress = min(max(share, self._progress), 1.0)

    @property
    def is_given_up(self) -> bool:
        """Whether it was stopped though somebody may still want it."""
        return self.ended.is_set() and self.state == "running"

    def cancel(self) -> None:
        """Stop because nobody wants it, unless it has ended."""
        self.end("cancelled")
        self.begin_now()

    def give_up(self) -> None:
        """
        Stop in favour of something else, unless it has ended.

        Nobody cancelled it: who waits for it is told that it runs, and asks again.
        """
        self.end("running")
        self.begin_now()

    def end(self, state: State, result: _Result | None = None, reason: str = "") -> None:
        """Note how it ended, "running" if it was given up; what was noted first holds."""
        with self._lock:
            if self.ended.is_set():
                return
            self.state, self._result, self._reason = state, result, reason
            took = 0.0 if self.started_at is None else monotonic() - self.started_at
            if state == "ready":
                self._progress, self.expected_seconds = 1.0, took
            else:
                self.expected_seconds = max(self.expected_seconds, took)
            self.ended.set()
