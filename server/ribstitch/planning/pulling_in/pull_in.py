"""The doors to pulling in: a wanted date, a sum of money, the whole curve."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Plan
from ribstitch.planning.pulling_in.answers import PulledIn
from ribstitch.planning.pulling_in.options import options_of
from ribstitch.planning.pulling_in.prices import prices_of
from ribstitch.planning.pulling_in.puller import Puller
from ribstitch.planning.pulling_in.reaching import Clock
from ribstitch.planning.schedule import schedule

OnProgress = Callable[[float], None]
"""Told the share that is done, 0 to 1; raises where the rest is not wanted any more."""

_DAY = timedelta(days=1)


def cheapest(
    plan: Plan,
    finish_by: date,
    *,
    seconds: float,
    clock: Clock,
    on_progress: OnProgress = lambda _: None,
) -> PulledIn:
    """
    Return the cheapest expedites with which a plan is finished by a date.

    Crew links stay as they are.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    finish_by
        The wanted finish. If the plan keeps it, nothing is taken.
    seconds
        How long to look; after that the best known comes, with how far it may be off. [s]
    clock
        Tells seconds that only go forward, such as `time.monotonic`.
    on_progress
        Called every now and then.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled, has nothing to take, or cannot be finished by
        then: one sentence says what is possible.
    """
    puller = Puller(plan, seconds, clock, on_progress)
    if finish_by >= puller.planned:
        return puller.nothing
    _check_options(puller)
    found = puller.cheapest(finish_by)
    if found is not None:
        return found
    _, is_proven = puller.most
    soonest = puller.soonest
    if not is_proven:
        reason = f"in {seconds:g} s nothing earlier was found than {soonest.finish_on}"
    elif soonest.finish_on == puller.planned:
        reason = f"no expedite moves the finish before {puller.planned}"
    else:
        cost = puller.shown(soonest.cost)
        reason = f"the earliest finish is {soonest.finish_on}, for {cost}"
    raise InvalidValueError("finish_by", f"{finish_by} cannot be reached: {reason}", finish_by)


def soonest_for(
    plan: Plan,
    budget: Decimal,
    *,
    seconds: float,
    clock: Clock,
    on_progress: OnProgress = lambda _: None,
) -> PulledIn:
    """
    Return the earliest finish that a sum buys, at its least cost.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    budget
        The sum, in the project's currency.
    seconds, clock, on_progress
        As in `cheapest`.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled, has nothing to take, or the sum buys nothing: one
        sentence says what would.
    """
    if not budget.is_finite() or budget < 0:
        raise InvalidValueError("budget", f"{budget} is no sum that can be spent", budget)
    puller = Puller(plan, seconds, clock, on_progress)
    _check_options(puller)
    best, dearer = puller.nothing, puller.soonest
    if dearer.finish_on == puller.planned:
        raise InvalidValueError(
            "budget", f"no expedite moves the finish before {puller.planned}", budget
        )
    if dearer.cost <= budget:
        return dearer
    too_early, is_soonest = dearer.finish_on, dearer.bound > budget
    while best.finish_on - too_early > _DAY:
        middle = too_early + (best.finish_on - too_early) // 2
        found = puller.cheapest(middle, share=0.5) or puller.soonest
        if found.cost <= budget:
            best = found
        else:
            too_early, dearer, is_soonest = middle, found, found.bound > budget
    if best.finish_on == puller.planned:
        raise InvalidValueError(
            "budget",
            f"{puller.shown(budget)} buys nothing: an earlier finish ({dearer.finish_on}) "
            f"takes {puller.shown(dearer.cost)}",
            budget,
        )
    return replace(best, is_soonest=is_soonest)


def cost_curve(
    plan: Plan,
    *,
    seconds: float,
    clock: Clock,
    most_points: int = 60,
    on_progress: OnProgress = lambda _: None,
) -> tuple[PulledIn, ...]:
    """
    Return the least cost against the finish, from the plan's own to the earliest.

    Each point is the cheapest for its finish, and none finishes earlier for as much.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    seconds, clock, on_progress
        As in `cheapest`.
    most_points
        Not more points than these, 2 or more: then not every date is looked at. Where time
        runs out, dates are left out before the earliest finish.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled or has nothing to take.
    """
    puller = Puller(plan, seconds, clock, on_progress)
    _check_options(puller)
    points, soonest = [puller.nothing], puller.soonest
    days = (puller.planned - soonest.finish_on).days
    stride = timedelta(days=max(1, -(-days // (most_points - 1))))
    while points[-1].finish_on > soonest.finish_on and not puller.is_out_of_time:
        target = max(points[-1].finish_on - stride, soonest.finish_on)
        left = (target - soonest.finish_on).days // stride.days + 1
        found = puller.cheapest(target, share=1 / left) or soonest
        puller.say((puller.planned - found.finish_on).days / days)
        if len(points) > 1 and found.cost <= points[-1].cost:
            points.pop()
        points.append(found)
    if points[-1].finish_on > soonest.finish_on:
        points.append(soonest)
    return tuple(points)


def cost_of_all(plan: Plan) -> Decimal:
    """
    Return what all that is left of the expedites costs, in the project's currency.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled, or an exchange rate is missing.
    """
    options = options_of(schedule(plan).prepared)
    prices = prices_of(plan, [option.expedite for option in options])
    steps = [option.most for option in options]
    return prices.amount(sum(n * each for n, each in zip(steps, prices.each, strict=True)))


def _check_options(puller: Puller) -> None:
    """Refuse a plan in which there is nothing to take."""
    if puller.options:
        return
    if puller.plan.expedites:
        reason = "nothing is left to take: all are taken, or what they shorten is done"
    else:
        reason = "the plan has none, so nothing can be taken"
    raise InvalidValueError("expedites", reason)
