"""One plan to be pulled in: dates and money around the search, every answer re-scheduled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from functools import cached_property

from ribstitch.planning.activities import floor_of
from ribstitch.planning.model import Plan
from ribstitch.planning.pulling_in.answers import DisagreementError, PulledIn, Taken
from ribstitch.planning.pulling_in.options import cuts_of, options_of
from ribstitch.planning.pulling_in.prices import prices_of
from ribstitch.planning.pulling_in.reaching import Clock, Reaching
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import date_at, days_from_ticks, end_of
from ribstitch.planning.whatif import ExpediteTaken, apply_changes

_DAY = timedelta(days=1)
_SHARE_OF_SOONEST = 0.25
"""So much of the time may go to the earliest finish, so that some is left for others."""


class Puller:
    """
    Pulls in one plan.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    seconds
        How long all answers together may take. [s]
    clock
        Tells the time.
    on_progress
        Told the share that is done; raises where the rest is not wanted any more.
    """

    def __init__(
        self, plan: Plan, seconds: float, clock: Clock, on_progress: Callable[[float], None]
    ) -> None:
        self.plan = plan
        self._schedule = schedule(plan)
        self._clock = clock
        self._deadline = clock() + seconds
        self._on_progress, self._done = on_progress, 0.0
        prepared = self._schedule.prepared
        self._origin = prepared.network.origin
        self._first = date_at(floor_of(plan))
        """What is unfinished is not shown to be finished before this date."""
        self.options = options_of(prepared)
        self._prices = prices_of(plan, [option.expedite for option in self.options])
        cuts = cuts_of(prepared, self.options)
        self._reaching = Reaching(prepared, self.options, cuts, clock, self._tick)

    @property
    def planned(self) -> date:
        """The finish date of the plan as it is."""
        return self._schedule.finish_on

    @property
    def is_out_of_time(self) -> bool:
        """Whether the time for all answers is over."""
        return self._clock() >= self._deadline

    @cached_property
    def nothing(self) -> PulledIn:
        """The plan as it is."""
        return PulledIn(self.planned, Decimal(0), Decimal(0), ())

    @cached_property
    def most(self) -> tuple[tuple[int, ...], bool]:
        """Steps for the earliest finish, whatever they cost, and whether that is proven."""
        steps = tuple(option.most for option in self.options)
        if self._finish_on(steps) > self.planned:
            steps = tuple(0 for _ in self.options)
        gladly = [-1 for _ in self.options]
        while self._finish_on(steps) > self._first:
            latest = end_of(self._finish_on(steps) - _DAY) - self._origin
            earlier = self._reaching.reach(latest, gladly, self._deadline)
            if earlier is None or earlier.steps is None:
                return steps, earlier is None
            steps = earlier.steps
        return steps, True

    @cached_property
    def soonest(self) -> PulledIn:
        """The earliest finish at its least cost."""
        finish_on = self._finish_on(self.most[0])
        if finish_on >= self.planned:
            return self.nothing
        found = self.cheapest(finish_on, share=_SHARE_OF_SOONEST)
        if found is None:
            raise DisagreementError(f"what reached {finish_on} does not reach it")
        return found

    def shown(self, amount: Decimal) -> str:
        """Return money for a sentence, rounded up to hundredths."""
        rounded = amount.quantize(Decimal("0.01"), ROUND_CEILING)
        text = f"{rounded:f}".removesuffix(".00")
        return f"{text} {self.plan.project.currency}"

    def say(self, done: float) -> None:
        """Tell how much is done, a share."""
        self._done = done
        self._tick()

    def cheapest(self, finish_by: date, *, share: float = 1.0) -> PulledIn | None:
        """
        Return the cheapest expedites for a finish before the planned one.

        Parameters
        ----------
        finish_by
            The wanted date.
        share
            How much of the time that is left may be used.

        Returns
        -------
        PulledIn or None
            None: nothing reaches it, or nothing was found in time.
        """
        if finish_by < self._first:
            return None
        now = self._clock()
        deadline = now + share * max(0.0, self._deadline - now)
        latest = end_of(finish_by) - self._origin
        found = self._reaching.reach(latest, self._prices.each, deadline)
        if found is None:
            return None
        steps = found.steps
        if steps is None:
            steps, _ = self.most
            if self._finish_on(steps) > finish_by:
                return None
        steps = self._without_needless(steps, finish_by)
        return self._answer(steps, found.bound)

    def _finish_on(self, steps: Sequence[int]) -> date:
        """Return the finish date with steps taken."""
        return self._schedule.project_finish_on(self._reaching.finish(steps) + self._origin)

    def _without_needless(self, steps: Sequence[int], finish_by: date) -> tuple[int, ...]:
        """Leave out, the dearest first, what the finish does not need."""
        kept = list(steps)
        dearest_first = sorted(range(len(kept)), key=lambda one: -self._prices.each[one])
        for number in dearest_first:
            for fewer in range(kept[number]):
                before, kept[number] = kept[number], fewer
                if self._finish_on(kept) <= finish_by:
                    break
                kept[number] = before
        return tuple(kept)

    def _answer(self, steps: Sequence[int], bound: int) -> PulledIn:
        """Turn steps into an answer that the schedule of the changed plan confirms."""
        taken = [
            Taken(
                option.expedite.id,
                option.expedite.name,
                days_from_ticks(option.step * number),
                self._prices.amount(each * number),
            )
            for option, number, each in zip(self.options, steps, self._prices.each, strict=True)
            if number
        ]
        cost = sum(each * number for each, number in zip(self._prices.each, steps, strict=True))
        finish = self._reaching.finish(steps) + self._origin
        changes = [ExpediteTaken(one.expedite, one.days) for one in taken]
        confirmed = apply_changes(self.plan, changes).schedule()
        if confirmed.project_finish != finish:
            raise DisagreementError(
                f"re-scheduled, the plan is finished at {confirmed.project_finish}, not {finish}"
            )
        return PulledIn(
            confirmed.finish_on,
            self._prices.amount(cost),
            self._prices.amount(min(max(bound, 0), cost)),
            tuple(taken),
        )

    def _tick(self) -> None:
        """Let the caller say that it is enough."""
        self._on_progress(self._done)
