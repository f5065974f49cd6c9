"""What finished tasks tell of the hours on method cards.

A task that was drafted from a step of a card, is done and has hours worked tells how many
person-hours the step took for each driver unit. Each such task counts once, however large.

- From `ENOUGH_JOBS` finished tasks of a step on: their logarithms are taken for normal, of
  unknown mean and variance, and the proposal is where the next job lies with a chance of 10,
  50 and 90 % (`NormalInverseGamma`). Nothing is known of the mean beforehand, so that a
  proposal does not change once it stands on the card. The spread begins at `USUAL_SCATTER`
  and counts like `SCATTER_JOBS` jobs: a few jobs that happen to be alike promise nothing.
- With fewer, as long as the card's hours are from memory: its hours times a ratio, that of
  hours worked to likely hours over all finished tasks of the card; or else over those of the
  step's trade, on cards from memory. Either wants `ENOUGH_JOBS` tasks.
- Else there is none. What only takes time, without a trade, has no hours worked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from math import exp, log

from ribstitch.planning.model import CardStep, MethodCard, Plan, State
from ribstitch.planning.model.survey import HourRange
from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma
from ribstitch.planning.uncertainty.pace import UNRANGED_NOISE

ENOUGH_JOBS = 3
"""With fewer finished tasks of its own a step is judged by its card, or by its trade. Own
choice, no source."""
USUAL_SCATTER = UNRANGED_NOISE
"""Standard deviation of the logarithm of a job's hours, before any is finished. Own choice,
no source."""
SCATTER_JOBS = 4
"""The usual scatter counts like so many jobs. Own choice, no source."""
CHANCES = (0.1, 0.5, 0.9)
"""Of the next job to take less than low, likely and high."""
SHOWN_DIGITS = 2
"""Hours are proposed to so many significant digits: more are not known."""

StepKey = tuple[str, int]
"""Card and number of a step."""


class Basis(StrEnum):
    """Whose finished tasks a proposal rests on."""

    STEP = "step"
    CARD = "card"
    TRADE = "trade"


@dataclass(frozen=True, slots=True)
class Proposal:
    """Better hours for a step, from the shop's own work."""

    hours: HourRange
    """Person-hours for each driver unit."""
    basis: Basis
    jobs: int
    """Finished tasks that it rests on."""
    ratio: Fraction | None = None
    """Hours worked for each hour on the cards; None: it rests on the step's own jobs."""


@dataclass(frozen=True, slots=True)
class StepHistory:
    """What the finished tasks of one step tell."""

    jobs: int
    """Finished tasks with hours worked."""
    average: Fraction | None
    """Mean person-hours for each driver unit, each task counted once; None without any."""
    proposal: Proposal | None


@dataclass(frozen=True, slots=True)
class _Done:
    """A finished task of a step."""

    card: MethodCard
    step: CardStep
    hours: Fraction
    quantity: Fraction

    @property
    def per_unit(self) -> Fraction:
        """Person-hours for each driver unit."""
        return self.hours / self.quantity

    @property
    def planned(self) -> Fraction:
        """Likely person-hours by the card as it stands."""
        return Fraction(self.step.hours[1]) * self.quantity


def card_history(plan: Plan) -> Mapping[StepKey, StepHistory]:
    """
    Return what finished tasks tell of every step of every card of a plan.

    Parameters
    ----------
    plan
        A plan that `check_plan` accepts.
    """
    done = list(_finished(plan))
    of_step, of_card, of_trade = defaultdict(list), defaultdict(list), defaultdict(list)
    for one in done:
        of_step[one.card.id, one.step.number].append(one)
        of_card[one.card.id].append(one)
        if one.card.from_memory:
            of_trade[one.step.trade].append(one)
    return {
        (card.id, step.number): _history(
            card, step, of_step[card.id, step.number], of_card[card.id], of_trade[step.trade]
        )
        for card in plan.cards
        for step in card.steps
    }


def next_job(per_unit: Sequence[float]) -> tuple[float, float, float]:
    """
    Return what the next job takes less than with a chance of 10, 50 and 90 %.

    With m and S the mean and the sum of squares about it of the n logarithms, s the usual
    scatter worth k jobs: exp(m + t w), t the quantile of Student's t with k + n - 1 degrees
    of freedom, w^2 = (k s^2 + S) / (k + n - 1) * (1 + 1 / n).

    Parameters
    ----------
    per_unit
        Person-hours for each driver unit of n finished jobs, all above 0, at least one.
    """
    before = NormalInverseGamma(
        mean=0.0,
        weight=0.0,
        shape=(SCATTER_JOBS - 1) / 2,
        rate=SCATTER_JOBS * USUAL_SCATTER**2 / 2,
    )
    known = before.updated([log(one) for one in per_unit])
    low, likely, high = (exp(known.quantile(chance)) for chance in CHANCES)
    return low, likely, high


def _finished(plan: Plan) -> Iterator[_Done]:
    """Yield the finished tasks of steps with a trade, in the plan's order."""
    cards = {card.id: card for card in plan.cards}
    steps = {(card.id, step.number): step for card in plan.cards for step in card.steps}
    worked: defaultdict[str, Fraction] = defaultdict(Fraction)
    for entry in plan.hours:
        worked[entry.task] += Fraction(entry.hours)
    for task in plan.tasks:
        origin, hours = task.origin, worked.get(task.id)
        if task.status.state is not State.DONE or not hours or origin is None:
            continue
        step = steps.get((origin.card or "", origin.step or 0))
        if step is not None and step.trade is not None:
            yield _Done(cards[str(origin.card)], step, hours, Fraction(origin.quantity))


def _history(
    card: MethodCard,
    step: CardStep,
    of_step: list[_Done],
    of_card: list[_Done],
    of_trade: list[_Done],
) -> StepHistory:
    """Return what is known of one step."""
    total = sum((one.per_unit for one in of_step), Fraction(0))
    average = total / len(of_step) if of_step else None
    proposal = None
    if len(of_step) >= ENOUGH_JOBS:
        low, likely, high = next_job([float(one.per_unit) for one in of_step])
        hours = rounded(low), rounded(likely), rounded(high)
        proposal = Proposal(hours, Basis.STEP, len(of_step))
    elif card.from_memory and step.trade is not None:
        proposal = _by_ratio(step, of_card, Basis.CARD) or _by_ratio(step, of_trade, Basis.TRADE)
    return StepHistory(len(of_step), average, proposal)


def _by_ratio(step: CardStep, done: list[_Done], basis: Basis) -> Proposal | None:
    """Return a step's own hours times what others took against theirs; None from too few."""
    planned = sum((one.planned for one in done), Fraction(0))
    if len(done) < ENOUGH_JOBS or not planned:
        return None
    ratio = sum((one.hours for one in done), Fraction(0)) / planned
    low, likely, high = (rounded(Fraction(one) * ratio) for one in step.hours)
    return Proposal((low, likely, high), basis, len(done), ratio)


def rounded(hours: float | Fraction) -> Decimal:
    """Return hours to two significant digits, halves upward: 0.364 as 0.36, 115 as 120."""
    exact = Decimal(hours) if isinstance(hours, float) else _decimal(hours)
    if not exact:
        return Decimal(0)
    last = Decimal(1).scaleb(exact.adjusted() - SHOWN_DIGITS + 1)
    whole = (exact / last).to_integral_value(ROUND_HALF_UP) * last
    return Decimal(f"{whole.normalize():f}")


def _decimal(hours: Fraction) -> Decimal:
    return Decimal(hours.numerator) / Decimal(hours.denominator)
