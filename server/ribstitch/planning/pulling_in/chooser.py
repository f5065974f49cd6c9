"""The choice of expedites as a small integer program: least money that meets all demands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ribstitch.planning.pulling_in.chains import Terms
from ribstitch.planning.pulling_in.demands import Demand
from ribstitch.planning.pulling_in.options import Cut, Option

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


@dataclass(frozen=True, slots=True)
class Choice:
    """
    Steps taken of each option.

    Attributes
    ----------
    steps
        In order of the options; None: found none in time.
    bound
        No choice that meets the demands costs less. [units]
    is_least
        Whether this one costs no more than that.
    """

    steps: tuple[int, ...] | None
    bound: int
    is_least: bool


class Chooser:
    """
    Collects demands and chooses what meets them.

    Parameters
    ----------
    options, cuts
        What can be taken, and what that takes off.
    prices
        Of one step of each option, integers.
    grain
        All amounts taken off are multiples of it. [ticks]
    """

    def __init__(
        self, options: Sequence[Option], cuts: Sequence[Cut], prices: Sequence[int], grain: int
    ) -> None:
        from ortools.sat.python import cp_model

        self._model = cp_model.CpModel()
        self._grain = grain
        self._steps = [self._model.new_int_var(0, option.most, "") for option in options]
        self._amounts = [self._amount(cut, options) for cut in cuts]
        self._least: dict[tuple[Terms, int], cp_model.IntVar] = {}
        self._model.minimize(
            sum(price * steps for price, steps in zip(prices, self._steps, strict=True))
        )
        self._is_impossible = False
        self._known: set[frozenset[tuple[Terms, int]]] = set()

    def add(self, demand: Demand) -> None:
        """Add a demand that every choice has to meet."""
        key = frozenset(demand.items())
        if key in self._known:
            return
        self._known.add(key)
        if not demand:
            self._is_impossible = True
        elif len(demand) == 1:
            ((terms, ticks),) = demand.items()
            self._model.add(self._total(terms) >= ticks // self._grain)
        else:
            self._model.add_bool_or([self._reaches(*one) for one in demand.items()])

    def choose(self, seconds: float) -> Choice | None:
        """
        Return the cheapest choice that meets all demands; None: there is none.

        Parameters
        ----------
        seconds
            How long to look. [s]
        """
        from ortools.sat.python import cp_model

        if self._is_impossible:
            return None
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_time_in_seconds = max(seconds, 0.01)
        status = solver.solve(self._model)
        if status == cp_model.INFEASIBLE:
            return None
        if status == cp_model.MODEL_INVALID:
            raise ValueError(self._model.validate())
        found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        steps = tuple(solver.value(one) for one in self._steps) if found else None
        return Choice(steps, round(solver.best_objective_bound), status == cp_model.OPTIMAL)

    def _amount(self, cut: Cut, options: Sequence[Option]) -> cp_model.LinearExpr:
        """Return what a cut takes off. [grains]"""
        from ortools.sat.python import cp_model

        steps = [self._steps[number] for number in cut.options]
        most = cut.most // self._grain
        if cut.promises is not None:
            amount = self._model.new_int_var(0, most, "")
            ways = [(*way, ticks // self._grain) for way, ticks in cut.promises.items()]
            self._model.add_allowed_assignments([*steps, amount], ways)
            return amount
        gains = [options[number].step // self._grain for number in cut.options]
        total = cp_model.LinearExpr.weighted_sum(steps, gains)
        if sum(options[number].step * options[number].most for number in cut.options) <= cut.most:
            return total
        amount = self._model.new_int_var(0, most, "")
        self._model.add_min_equality(amount, [total, most])
        return amount

    def _total(self, terms: Terms) -> cp_model.LinearExpr:
        """Return what a stretch adds up to. [grains]"""
        from ortools.sat.python import cp_model

        amounts = [self._amounts[cut] for cut, _ in terms]
        return cp_model.LinearExpr.weighted_sum(amounts, [sign for _, sign in terms])

    def _reaches(self, terms: Terms, ticks: int) -> cp_model.IntVar:
        """Return whether a stretch takes off so much."""
        key = terms, ticks // self._grain
        if key not in self._least:
            reaches = self._model.new_bool_var("")
            self._model.add(self._total(terms) >= key[1]).only_enforce_if(reaches)
            self._least[key] = reaches
        return self._least[key]
