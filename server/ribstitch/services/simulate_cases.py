"""What-if cases simulated on the same draws as the plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from ribstitch.money import ledger_of
from ribstitch.planning.errors import PlanError
from ribstitch.planning.levelling.loads import crew_loads
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.uncertainty import Simulation
from ribstitch.planning.whatif import Case, Change
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.memo import Memo
from ribstitch.services.simulations import Simulations
from ribstitch.services.views.crew_over import CrewOver, crew_over

_MOST_STEPS = 40_000_000
"""Activities times runs that one question may take; about two seconds on a small machine."""
_FEWEST_RUNS = 200
_WAIT_SECONDS = 2.0
_Question = tuple[int, int, int, tuple[Change, ...]]
"""Project, plan version, runs, what is changed."""


@dataclass(frozen=True, slots=True)
class AppliedCase:
    """The changes of a case, and the plan that they give."""

    changes: Sequence[Change]
    case: Case


@dataclass(frozen=True)
class SimulatedCase:
    """A case as it was simulated; what else is asked of it is worked out once."""

    simulation: Simulation

    @property
    def planned(self) -> Schedule:
        """Its dates as written."""
        return self.simulation.planned

    @cached_property
    def crew_over(self) -> list[CrewOver]:
        """What finds nobody on its date."""
        return crew_over(self.planned, crew_loads(self.planned))

    @cached_property
    def comes_to(self) -> ComesTo:
        """What it costs."""
        found = ledger_of(self.planned)
        return ComesTo(found.total(), found.missing)


class ComesTo(NamedTuple):
    """What a plan or a case comes to."""

    units: int
    """Minor units of the project's currency."""
    missing: tuple[str, ...]
    """What is left out."""


@dataclass(frozen=True, slots=True)
class SimulatedCases:
    """The plan and the cases, all drawn alike."""

    plan: Simulation
    cases: list[SimulatedCase]


class CaseSimulations:
    """
    Simulations of what-if cases; the last ones are kept.

    Parameters
    ----------
    simulations
        The simulations of the plans themselves.
    keep
        How many simulated cases are kept.
    """

    def __init__(self, simulations: Simulations, keep: int = 16) -> None:
        self._simulations = simulations
        self._known: Memo[_Question, SimulatedCase] = Memo(keep)

    def simulate(self, current: CurrentPlan, cases: Sequence[AppliedCase]) -> SimulatedCases:
        """
        Simulate a plan and its cases, with fewer runs where the usual number takes too long.

        How many runs that are follows from the size of the plan and the number of cases
        alone, so that the same question always has the same answer.

        Raises
        ------
        PlanError
            If a case cannot be simulated; `where` names it.
        """
        runs = runs_for(len(current.schedule.activities), len(cases), self._simulations.runs)
        plan = self._plan(current, runs)
        found = []
        for number, one in enumerate(cases):
            with named(f"cases[{number}]"):
                found.append(self._case(current, one, runs))
        return SimulatedCases(plan, found)

    def _plan(self, current: CurrentPlan, runs: int) -> Simulation:
        """Return the simulation of the plan itself."""
        if runs == self._simulations.runs:
            found = self._simulations.current(current, _WAIT_SECONDS)
            if found.result is not None:
                return found.result
        return self._case(current, AppliedCase((), Case(current.plan)), runs).simulation

    def _case(self, current: CurrentPlan, one: AppliedCase, runs: int) -> SimulatedCase:
        """Return a case as it was simulated, computed unless it is kept."""

        def simulated() -> SimulatedCase:
            drawn = self._simulations.simulate(
                one.case.plan, runs=runs, seed=self._simulations.seed, delays=one.case.delays
            )
            return SimulatedCase(drawn)

        key = (current.project_id, current.plan_version, runs, tuple(one.changes))
        return self._known.get(key, simulated)


@contextmanager
def named(path: str) -> Iterator[None]:
    """Name a case, by its path in the request, in what is refused."""
    try:
        yield
    except PlanError as refused:
        where = f"{path}.{refused.where}".rstrip(".")
        raise PlanError(where, refused.reason, refused.value) from refused


def runs_for(activities: int, cases: int, most: int) -> int:
    """Return how many runs a question about some cases can take."""
    possible = _MOST_STEPS // (max(activities, 1) * (cases + 1))
    return min(most, max(possible, _FEWEST_RUNS))
