"""The simulation of each project's plan, and its causes: computed beside the requests."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Protocol

from ribstitch.planning.model import Plan
from ribstitch.planning.uncertainty import (
    Cause,
    Simulation,
    drawn_from,
    find_causes,
    simulate,
)
from ribstitch.services.background import Background, OnProgress, Standing
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.memo import Memo

WAIT_SECONDS = 0.5
"""A page waits so long for a simulation that has just begun: small plans are ready then."""
QUIET_SECONDS = 0.5
"""What takes longer begins after so long without another change: edits come first."""
CAUSE_RUNS = 2_000
"""Causes need a simulation for each source; they get by with fewer runs."""
KEPT = 4
"""So many plans' courses are at hand for plans that differ in money or findings alone."""
_SECONDS_TO_STOP = 2.0


class Simulate(Protocol):
    """How a plan is simulated; see `ribstitch.planning.uncertainty.simulate`."""

    def __call__(
        self,
        plan: Plan,
        *,
        runs: int,
        seed: int,
        delays: Mapping[str, int] | None = None,
        on_progress: OnProgress = ...,
    ) -> Simulation:
        """Simulate a plan."""


class FindCauses(Protocol):
    """How causes are found; see `ribstitch.planning.uncertainty.find_causes`."""

    def __call__(
        self, plan: Plan, *, runs: int, seed: int, on_progress: OnProgress = ...
    ) -> tuple[Cause, ...]:
        """Find what the finish would gain if one source went as planned."""


class Simulations:
    """
    The simulations of all projects; one object serves the whole process.

    Parameters
    ----------
    runs, seed
        How many courses of a plan are drawn, from which seed.
    on_ready
        Called in the background once a plan is simulated.
    simulate, find_causes
        What is computed.
    """

    def __init__(
        self,
        runs: int,
        seed: int,
        on_ready: Callable[[CurrentPlan, Simulation], None] | None = None,
        *,
        simulate: Simulate = simulate,
        find_causes: FindCauses = find_causes,
    ) -> None:
        self.runs = runs
        self.seed = seed
        self.simulate = simulate
        self._find_causes = find_causes
        self._drawn: Memo[Plan, Simulation] = Memo(KEPT)
        self._found: Memo[Plan, tuple[Cause, ...]] = Memo(KEPT)
        self._simulations = Background(
            "The simulation", self._simulated, on_ready, quiet_seconds=QUIET_SECONDS
        )
        self._causes = Background(
            "The search for causes", self._caused, quiet_seconds=QUIET_SECONDS
        )

    def current(
        self, current: CurrentPlan, wait_seconds: float = WAIT_SECONDS
    ) -> Standing[Simulation]:
        """
        Say how the simulation of a plan stands, beginning it where it was not begun.

        Parameters
        ----------
        current
            The plan.
        wait_seconds
            Wait at most until the simulation has run for so long. [s]
        """
        self._causes.stop_older(current)
        return self._simulations.look(current, wait_seconds)

    def causes(
        self, current: CurrentPlan, wait_seconds: float = WAIT_SECONDS
    ) -> Standing[tuple[Cause, ...]]:
        """Say likewise how the search for causes stands; it begins after the simulation."""
        first = self.current(current, wait_seconds)
        if first.state != "ready" and not self._causes.is_begun(current):
            return Standing(first.state, 0.0, None, first.reason)
        return self._causes.look(current, wait_seconds)

    def changing(self, project_id: int) -> None:
        """Make room for an edit: stop what is computed about a project."""
        self._simulations.interrupt(project_id)
        self._causes.interrupt(project_id)

    def changed(self, current: CurrentPlan) -> None:
        """Simulate a plan that was just changed, once nobody has changed it for a while."""
        self._causes.stop_older(current)
        self._simulations.expect(current)

    def cancel(self, current: CurrentPlan) -> None:
        """Stop the simulation of a plan, if it is not ready."""
        self._simulations.cancel(current)

    def restart(self, current: CurrentPlan) -> None:
        """Simulate again what was cancelled or has failed."""
        self._simulations.restart(current)

    def cancel_causes(self, current: CurrentPlan) -> None:
        """Stop the search for causes, if it is not ready."""
        self._causes.cancel(current)

    def restart_causes(self, current: CurrentPlan) -> None:
        """Search again for causes where that was cancelled or has failed."""
        self._simulations.restart(current)
        self._causes.restart(current)

    @property
    def at_work(self) -> int:
        """How many simulations and searches for causes run, or wait to begin."""
        return self._simulations.at_work + self._causes.at_work

    def close(self) -> None:
        """Stop everything; nothing begins any more."""
        self._simulations.close(_SECONDS_TO_STOP)
        self._causes.close(_SECONDS_TO_STOP)

    def _simulated(self, current: CurrentPlan, report: OnProgress) -> Simulation:
        """Simulate a plan, or take the courses that were drawn from the same."""
        source = drawn_from(current.plan)
        known = self._drawn.peek(source)
        if known is not None:
            return replace(known, planned=current.schedule)
        drawn = self.simulate(current.plan, runs=self.runs, seed=self.seed, on_progress=report)
        self._drawn.put(source, drawn)
        return drawn

    def _caused(self, current: CurrentPlan, report: OnProgress) -> tuple[Cause, ...]:
        """Find the causes of a plan's uncertainty, or take those that were found for the same."""
        source = drawn_from(current.plan)
        known = self._found.peek(source)
        if known is not None:
            return known
        runs = min(CAUSE_RUNS, self.runs)
        found = self._find_causes(current.plan, runs=runs, seed=self.seed, on_progress=report)
        self._found.put(source, found)
        return found
