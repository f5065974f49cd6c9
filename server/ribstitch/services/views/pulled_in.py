"""What an earlier finish costs, as the What-if sheet shows it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_UP, Decimal

from ribstitch.money.currencies import minor_digits
from ribstitch.planning.model import ExpediteKind, Plan
from ribstitch.planning.pulling_in import PulledIn, Taken
from ribstitch.services.views.money_words import shown

_MOST_NAMED = 2
"""So many of no usual name are called by their own; more are counted."""


@dataclass(frozen=True, slots=True)
class TakenLine:
    """So much of one expedite."""

    expedite: str
    name: str
    kind: ExpediteKind
    days: float
    """How much it takes off, in days of the calendar of the task or leg."""
    cost: str
    """In the project's currency."""


@dataclass(frozen=True, slots=True)
class PulledPoint:
    """A finish, and what it costs at least."""

    finish: date
    cost: str
    """In the project's currency."""
    taken: list[TakenLine]
    proven: bool
    """Nothing cheaper reaches this finish."""
    gap: str
    """What a cheaper answer could save at most; 0 where proven."""


@dataclass(frozen=True, slots=True)
class PullingAnswer:
    """The answer to a wanted date, or to a sum of money."""

    finish: date
    cost: str
    taken: list[TakenLine]
    proven: bool
    gap: str
    sentence: str


@dataclass(frozen=True, slots=True)
class PullingIn:
    """What an earlier finish costs."""

    currency: str
    planned_finish: date
    earliest_finish: date | None
    """None while the curve is worked out."""
    all_cost: str
    """Of all that is left of the expedites, in the project's currency."""
    by: date | None
    """The date that was asked for."""
    budget: str | None
    """The sum that was asked for."""
    curve: list[PulledPoint]
    """From the finish as planned to the earliest; empty while it is worked out."""
    answer: PullingAnswer | None
    """None where nothing was asked, or it cannot be reached."""
    refusal: str
    """Why what was asked for cannot be reached, in one sentence, else empty."""


def point_of(plan: Plan, found: PulledIn) -> PulledPoint:
    """Return a finish with its cost and what is taken for it."""
    return PulledPoint(
        finish=found.finish_on,
        cost=amount(found.cost, plan.project.currency),
        taken=_lines(plan, found.taken),
        proven=found.is_proven,
        gap=amount(found.gap, plan.project.currency),
    )


def answer_of(plan: Plan, found: PulledIn, by: date | None) -> PullingAnswer:
    """Return an answer with its sentence."""
    point = point_of(plan, found)
    return PullingAnswer(
        finish=point.finish,
        cost=point.cost,
        taken=point.taken,
        proven=point.proven,
        gap=point.gap,
        sentence=_sentence(plan, found, by),
    )


def amount(money: Decimal, currency: str) -> str:
    """Return money in whole minor units, rounded up: so much is to be found."""
    return str(money.quantize(Decimal(1).scaleb(-minor_digits(currency)), ROUND_UP))


def _lines(plan: Plan, taken: Sequence[Taken]) -> list[TakenLine]:
    kinds = {one.id: one.kind for one in plan.expedites}
    currency = plan.project.currency
    return [
        TakenLine(one.expedite, one.name or one.expedite, kinds[one.expedite], one.days,
                  amount(one.cost, currency))
        for one in taken
    ]  # fmt: skip


def _sentence(plan: Plan, found: PulledIn, by: date | None) -> str:
    """Say what is taken for a finish and what it costs."""
    if not found.taken:
        if by is not None:
            return f"Nothing to buy: the plan is finished by {found.finish_on} as it stands."
        return f"That buys no day: the finish stays {found.finish_on}."
    money = _rounded(found.cost, plan.project.currency)
    taken = _and(list(_parts(plan, found.taken)))
    text = f"Finished by {found.finish_on} for {money}: {taken}."
    if found.is_proven:
        return text
    if not found.is_soonest:
        return f"{text} A longer search may find an earlier finish for the sum."
    return f"{text} A cheaper way may save {_rounded(found.gap, plan.project.currency)} at most."


def _parts(plan: Plan, taken: Sequence[Taken]) -> Iterator[str]:
    """Yield what is taken, kind by kind; what has no usual name by its own."""
    of_kind: dict[ExpediteKind, list[TakenLine]] = {}
    for one in _lines(plan, taken):
        of_kind.setdefault(one.kind, []).append(one)
    for kind in ExpediteKind:
        lines = of_kind.get(kind, [])
        if not lines:
            continue
        count, days = len(lines), _days(sum(one.days for one in lines))
        if kind is not ExpediteKind.OTHER:
            yield _usual(kind, count, days)
        elif count <= _MOST_NAMED:
            yield from (f"{one.name} ({_days(one.days)})" for one in lines)
        else:
            is_rest = len(of_kind) > 1
            yield f"{count} other ways ({days})" if is_rest else f"{count} ways ({days})"


def _usual(kind: ExpediteKind, count: int, days: str) -> str:
    """Say what is taken of a kind that has a name of its own."""
    match kind:
        case ExpediteKind.OVERTIME:
            return f"{days} of overtime"
        case ExpediteKind.SECOND_SHIFT:
            return f"{days} of a second shift"
        case ExpediteKind.FEE:
            return "an expedite fee" if count == 1 else f"{count} expedite fees"
        case ExpediteKind.AIR_FREIGHT:
            return "air freight of one item" if count == 1 else f"{count} items by air freight"
        case _:
            return "an exchange unit" if count == 1 else f"{count} exchange units"


def _days(count: float) -> str:
    return "1 day" if count == 1 else f"{count:g} days"


def _and(parts: Sequence[str]) -> str:
    """Join parts as a sentence does."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _rounded(money: Decimal, currency: str) -> str:
    """Write money for a sentence, in whole units rounded up: ``2350 EUR``."""
    return shown(money.quantize(Decimal(1), ROUND_UP), currency)
