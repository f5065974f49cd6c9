"""Levelling a project's plan beside the requests: better and better orders for its crew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from time import monotonic

from ribstitch.planning.levelling import LevelledPlan, crew_links, level_plan
from ribstitch.planning.model import CrewLink
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.services.asked_work import AskedStanding, AskedWork, Handle
from ribstitch.services.forecast import CurrentPlan

WAIT_SECONDS = 0.3
"""A request waits so long for what may be ready at once. [s]"""
_SECONDS_TO_STOP = 2.0


@dataclass(frozen=True, slots=True)
class LevellingWish:
    """How a plan shall be levelled."""

    seconds: float
    """How long to look for a better order; with 0 it is the best of the rules. [s]"""
    keep_days: float
    """How many days earlier the project must finish to be worth one moved start."""


@dataclass(frozen=True, slots=True)
class LevellingStep:
    """A better finish or bound, and when it was found."""

    seconds: float
    finish: date
    bound: date


@dataclass(frozen=True, slots=True)
class CrewOrder:
    """A levelled order as it would stand in the plan."""

    links: tuple[CrewLink, ...]
    forecast: date
    """The finish of the plan with these links; never after the levelled one."""
    moved_starts: int
    """How many tasks and legs that have not begun would begin on another date."""


@dataclass(frozen=True)
class Levelling:
    """The best levelled plan so far, and the way to it."""

    levelled: LevelledPlan = field(repr=False)
    history: tuple[LevellingStep, ...]
    order: CrewOrder | None = None
    """None as long as it may still get better."""

    @property
    def finish(self) -> date:
        """The levelled finish."""
        return self.history[-1].finish

    @property
    def bound(self) -> date:
        """No order finishes before that date."""
        return self.history[-1].bound

    @property
    def found_after_seconds(self) -> float:
        """When a plan with this finish was first found. [s]"""
        return next(one.seconds for one in self.history if one.finish == self.finish)


LevellingStanding = AskedStanding[LevellingWish, Levelling]


class Levellings:
    """
    The levellings of all projects; one object serves the whole process.

    Parameters
    ----------
    seed
        Of everything drawn.
    """

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self.work: AskedWork[LevellingWish, Levelling] = AskedWork("Levelling", self._level)

    def begin(self, current: CurrentPlan, wish: LevellingWish) -> None:
        """Begin to level a plan; a levelling of it that runs is given up."""
        self.work.begin(current, wish)
        self.work.wait(current, WAIT_SECONDS)

    def standing(self, current: CurrentPlan) -> LevellingStanding:
        """Say how the levelling of a project stands."""
        return self.work.look(current)

    def stop(self, current: CurrentPlan) -> None:
        """Look no further, and keep the best so far."""
        self.work.stop(current, WAIT_SECONDS)

    def ready(self, current: CurrentPlan) -> Levelling | None:
        """Return the levelling of this very plan, once it has ended."""
        found = self.standing(current)
        return found.found if found.state == "ready" else None

    def close(self) -> None:
        """Stop everything; nothing begins any more."""
        self.work.close(_SECONDS_TO_STOP)

    def _level(self, current: CurrentPlan, wish: LevellingWish, handle: Handle[Levelling]) -> None:
        """Level a plan, offering each better order."""
        history: list[LevellingStep] = []

        began = monotonic()

        def tell(levelled: LevelledPlan, _seconds: float = 0.0) -> None:
            seconds = round(monotonic() - began, 2)
            step = LevellingStep(seconds, levelled.finish_on, _bound_on(levelled))
            if not history or (step.finish, step.bound) != (history[-1].finish, history[-1].bound):
                history.append(step)
            handle.offer(Levelling(levelled, tuple(history)))

        handle.lasts(wish.seconds)
        levelled = level_plan(
            current.plan,
            seconds=wish.seconds,
            clock=monotonic,
            seed=self._seed,
            current=begins(current.schedule),
            keep_days=wish.keep_days,
            report=tell,
            cancelled=handle.is_stopped,
        )
        tell(levelled)
        handle.offer(Levelling(levelled, tuple(history), _order_of(current, levelled)))


def _bound_on(levelled: LevelledPlan) -> date:
    """Return the date before which no order finishes."""
    return levelled.planned.project_finish_on(levelled.bound)


def begins(planned: Schedule) -> Mapping[str, int]:
    """Return where each activity begins, by id. [ticks]"""
    ids = (one.id for one in planned.activities)
    return dict(zip(ids, planned.begin.tolist(), strict=True))


def _order_of(current: CurrentPlan, levelled: LevelledPlan) -> CrewOrder:
    """Return a levelled order as it would stand in the plan, and what it would move."""
    links = crew_links(levelled)
    now, then = current.schedule, schedule(replace(current.plan, crew_links=links))
    moved = sum(
        one.started is None and not one.dropped and now.start_on(place) != then.start_on(place)
        for place, one in enumerate(then.activities)
    )
    return CrewOrder(links, then.finish_on, moved)
