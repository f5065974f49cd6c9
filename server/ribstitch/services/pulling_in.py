"""What an earlier finish costs: worked out beside the requests, one question a project."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from time import monotonic

from ribstitch.planning.errors import PlanError
from ribstitch.planning.pulling_in import PulledIn, cheapest, cost_curve, cost_of_all, soonest_for
from ribstitch.services.asked_work import AskedStanding, AskedWork, Handle
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.memo import Memo
from ribstitch.services.views.pulled_in import PullingIn, amount, answer_of, point_of

CURVE_SECONDS = 30.0
ANSWER_SECONDS = 15.0
"""How long is searched; what is not proven by then says so. [s]"""
MOST_POINTS = 60
WAIT_SECONDS = 0.1
"""A request waits so long for an answer: small plans are ready then. [s]"""
_ANSWER_SHARE = 0.3
"""How much of the way the answer is, the curve being the rest."""
_KEPT_CURVES = 8
_SECONDS_TO_STOP = 2.0


@dataclass(frozen=True, slots=True)
class Question:
    """A wanted date, or a sum of money in the project's currency; neither: the curve alone."""

    by: date | None = None
    budget: Decimal | None = None


class PullingIns:
    """
    The last question about each project; one object serves the whole process.

    An answer can be had before the curve is known. The curve of a plan is the same for
    every question, and kept.
    """

    def __init__(
        self, *, curve_seconds: float = CURVE_SECONDS, answer_seconds: float = ANSWER_SECONDS
    ) -> None:
        self._curve_seconds = curve_seconds
        self._answer_seconds = answer_seconds
        self._curves: Memo[tuple[int, int], tuple[PulledIn, ...]] = Memo(_KEPT_CURVES)
        self.work: AskedWork[Question, PullingIn] = AskedWork("Pulling in", self._work_out)

    def ask(self, current: CurrentPlan, question: Question) -> None:
        """Begin to answer a question about a plan; it takes the place of the one before."""
        self.work.begin(current, question)
        self.work.wait(current, WAIT_SECONDS)

    def standing(self, current: CurrentPlan) -> AskedStanding[Question, PullingIn]:
        """Say how the answer to the last question about a project stands."""
        return self.work.look(current)

    def cancel(self, current: CurrentPlan) -> None:
        """Stop working on the last question about a project; what is found is kept."""
        self.work.stop(current, WAIT_SECONDS)

    def close(self) -> None:
        """Stop everything; nothing begins any more."""
        self.work.close(_SECONDS_TO_STOP)

    def _work_out(
        self, current: CurrentPlan, question: Question, handle: Handle[PullingIn]
    ) -> None:
        """Answer a question about a plan, then work out the curve."""
        try:
            answer, refusal = self._answer(current, question, handle)
            handle.offer(_result(current, question, (), answer, refusal))
            curve = self._curve(current, handle)
        except _StoppedError:
            return
        handle.offer(_result(current, question, curve, answer, refusal))

    def _answer(
        self, current: CurrentPlan, question: Question, handle: Handle[PullingIn]
    ) -> tuple[PulledIn | None, str]:
        """Return the answer to a question, or else why there is none."""
        step = _Steps(handle, 0.0, _ANSWER_SHARE)
        try:
            if question.by is not None:
                return cheapest(
                    current.plan,
                    question.by,
                    seconds=self._answer_seconds,
                    clock=monotonic,
                    on_progress=step,
                ), ""
            if question.budget is not None:
                return soonest_for(
                    current.plan,
                    question.budget,
                    seconds=self._answer_seconds,
                    clock=monotonic,
                    on_progress=step,
                ), ""
        except PlanError as refused:
            return None, refused.reason
        return None, ""

    def _curve(self, current: CurrentPlan, handle: Handle[PullingIn]) -> tuple[PulledIn, ...]:
        """Return the curve of a plan, worked out unless it is kept."""
        key = (current.project_id, current.plan_version)
        found = self._curves.peek(key)
        if found is None:
            found = cost_curve(
                current.plan,
                seconds=self._curve_seconds,
                clock=monotonic,
                most_points=MOST_POINTS,
                on_progress=_Steps(handle, _ANSWER_SHARE, 1.0),
            )
            self._curves.put(key, found)
        return found


class _StoppedError(Exception):
    """The rest is not wanted any more."""


@dataclass(frozen=True, slots=True)
class _Steps:
    """Tells how far one part of the way is gone, and leaves it where the rest is not wanted."""

    handle: Handle[PullingIn]
    first: float
    last: float

    def __call__(self, share: float) -> None:
        if self.handle.is_stopped():
            raise _StoppedError
        self.handle.report(self.first + (self.last - self.first) * share)


def _result(
    current: CurrentPlan,
    question: Question,
    curve: tuple[PulledIn, ...],
    answer: PulledIn | None,
    refusal: str,
) -> PullingIn:
    """Return what is known of a question."""
    plan, currency, budget = current.plan, current.plan.project.currency, question.budget
    return PullingIn(
        currency=currency,
        planned_finish=current.finish_on,
        earliest_finish=curve[-1].finish_on if curve else None,
        all_cost=amount(cost_of_all(plan), currency),
        by=question.by,
        budget=None if budget is None else amount(budget, currency),
        curve=[point_of(plan, one) for one in curve],
        answer=None if answer is None else answer_of(plan, answer, question.by),
        refusal=refusal,
    )
