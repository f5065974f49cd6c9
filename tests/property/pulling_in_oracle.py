"""The slow and obvious way to pull a plan in: take everything that can be taken, in all ways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import product

from hypothesis import strategies as st

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    CrewLink,
    ExchangeRate,
    Expedite,
    Plan,
    State,
)
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.whatif import ExpediteTaken, apply_changes
from tests.property.strategies import Chooser, plans

MOST_WAYS = 40
LEGS = ("prepare", "ship_out", "intake", "approval", "vendor_work", "ship_back", "accept")
RATES = (ExchangeRate("GBP", date(2025, 1, 1), Decimal("1.1625")),)


@st.composite
def plans_with_expedites(draw: st.DrawFn) -> Plan:
    """Draw a small plan with crew links and expedites, some of them taken."""
    made = draw(plans(min_tasks=2, max_tasks=8, deadlines=False))
    choose = Chooser(draw)
    count = len(made.tasks)
    pairs = {(choose.number(0, after - 1), after) for after in range(1, count) if choose.chance(30)}
    links = tuple(CrewLink(f"T{before}", f"T{after}") for before, after in sorted(pairs))
    expedites: list[Expedite] = []
    ways = 1
    for number in range(choose.number(1, 6)):
        one = _expedite(choose, made, f"X{number}")
        steps = (one.gains - one.taken) // TICKS_PER_DAY if one.by_the_day else 1
        if ways * (steps + 1) <= MOST_WAYS:
            ways *= steps + 1
            expedites.append(one)
    return replace(made, crew_links=links, expedites=tuple(expedites), exchange_rates=RATES)


def _expedite(choose: Chooser, made: Plan, name: str) -> Expedite:
    """Return an expedite of a task, or of a leg that its send-out has."""
    by_the_day = choose.chance(50)
    gains = choose.number(1, 4) * TICKS_PER_DAY if by_the_day else choose.eighths(0, 8)
    one = Expedite(
        name,
        gains or TICKS_PER_DAY,
        Decimal(choose.number(0, 900)) / choose.one_of((1, 100)),
        currency=choose.one_of((None, "GBP", "EUR")),
        by_the_day=by_the_day,
    )
    if by_the_day and choose.chance(15):
        one = replace(one, taken=TICKS_PER_DAY * choose.number(0, gains // TICKS_PER_DAY))
    items = [item for item in made.send_outs if not item.dropped]
    if items and choose.chance(45):
        item = choose.one_of(items)
        legs = [leg for leg in LEGS if getattr(item, "lead" if leg == "vendor_work" else leg)]
        return replace(one, send_out=item.id, leg=choose.one_of((*legs, "vendor_work")))
    tasks = [task for task in made.tasks if task.status.state is not State.DONE] or made.tasks
    return replace(one, task=choose.one_of(tasks).id)


def ways(made: Plan) -> Iterator[tuple[ExpediteTaken, ...]]:
    """Yield every way to take expedites of which anything can be taken."""
    each: list[list[ExpediteTaken | None]] = []
    for one in made.expedites:
        left = (one.gains - one.taken) // TICKS_PER_DAY
        days = range(1, left + 1) if one.by_the_day else (None,)
        takes = [ExpediteTaken(one.id, n) for n in days]
        try:
            if takes:
                apply_changes(made, takes[-1:])
        except InvalidValueError:
            takes = []
        each.append([None, *takes])
    for way in product(*each):
        yield tuple(one for one in way if one is not None)


def price(made: Plan, changed: Plan) -> Decimal:
    """Return what a changed plan costs more, in the project's currency."""
    worth = {"EUR": Decimal(1), "GBP": RATES[0].rate}
    lines = changed.costs[len(made.costs) :]
    return sum((line.amount * worth[line.currency] for line in lines), Decimal(0))


def cheapest_by_finish(made: Plan) -> tuple[dict[date, Decimal], int]:
    """Return the least cost of each finish date that can be had, and how many ways there are."""
    least: dict[date, Decimal] = {}
    count = 0
    for way in ways(made):
        count += 1
        case = apply_changes(made, way)
        finish, cost = case.schedule().finish_on, price(made, case.plan)
        least[finish] = min(cost, least.get(finish, cost))
    return least, count


def frontier(least: dict[date, Decimal], planned: date) -> list[tuple[date, Decimal]]:
    """Return the plan, and of the earlier finishes those that no other one outdoes."""
    points = [(planned, Decimal(0))]
    for finish in sorted(least, reverse=True):
        cost = min(cost for other, cost in least.items() if other <= finish)
        if finish >= planned or cost < least[finish]:
            continue
        if any(other < finish and cost == least[finish] for other, cost in least.items()):
            continue
        points.append((finish, cost))
    return points
