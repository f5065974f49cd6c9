"""Which dates each person keeps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from ribstitch.money.cash import FIRM
from ribstitch.planning.model import Decision, State
from ribstitch.planning.uncertainty import Simulation
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.away import away
from ribstitch.services.views.lookups import vendor_names
from ribstitch.services.views.money_cash import cash
from ribstitch.services.views.money_words import shown_units
from ribstitch.services.views.stages import stage_of

INSPECTOR = "insp"
"""The trade whose tasks are buy-offs and inspections."""


@dataclass(frozen=True, slots=True)
class KeptDate:
    """One entry of a calendar: whole days."""

    key: str
    """Names it within the project; the same for as long as it is about the same thing."""
    summary: str
    first: date
    last: date
    note: str = ""


_Source = Callable[[CurrentPlan, Simulation | None], Iterator[KeptDate]]


def dates_for(current: CurrentPlan, simulation: Simulation | None, role: str) -> list[KeptDate]:
    """
    Return the dates that somebody keeps, by date.

    Parameters
    ----------
    current
        The plan.
    simulation
        Of the plan; None while it runs: then no likely date is among them.
    role
        `lead`, `owner` or `planner`, who keeps those of both.
    """
    found = [one for source in _SOURCES[role] for one in source(current, simulation)]
    return sorted(found, key=lambda one: (one.first, one.key))


def _items(current: CurrentPlan, _: Simulation | None) -> Iterator[KeptDate]:
    """Yield when items are needed, and when the vendor has promised them."""
    for line in away(current).send_outs:
        if line.need_by is not None:
            yield _day(
                f"need-by/{line.id}",
                f"Needed by: {line.name}",
                line.need_by,
                f"The last date on which {line.name} can be accepted without moving the finish.",
            )
        if line.promised is not None and line.left_vendor is None and line.expected_back:
            yield _day(
                f"promised/{line.id}",
                f"Promised: {line.name}",
                line.promised,
                f"{line.vendor_name} last promised that it leaves them on this date.",
            )


def _inspections(current: CurrentPlan, _: Simulation | None) -> Iterator[KeptDate]:
    """Yield the work of the inspector that is still to be done."""
    for number, task in enumerate(current.plan.tasks):
        if task.trade != INSPECTOR or not task.status.state.is_open:
            continue
        yield KeptDate(
            f"inspection/{task.id}",
            f"Inspector: {task.name or task.id}",
            current.schedule.start_on(number),
            current.schedule.finish_on_of(number),
        )


def _milestones(current: CurrentPlan, _: Simulation | None) -> Iterator[KeptDate]:
    """Yield the milestones, those that are passed as well."""
    for number, task in enumerate(current.plan.tasks):
        if task.milestone is None or task.status.state is State.DROPPED:
            continue
        is_done = task.status.state is State.DONE
        yield _day(
            f"milestone/{task.id}",
            f"{'Reached' if is_done else 'Milestone'}: {task.name or task.id}",
            current.schedule.finish_on_of(number),
            "" if is_done else "As the plan is written.",
        )


def _decisions(current: CurrentPlan, _: Simulation | None) -> Iterator[KeptDate]:
    """Yield what waits for the owner's yes: items on the as-of date, prices when it is due."""
    for item in current.plan.over_and_above:
        if item.state is Decision.WAITING:
            yield _day(
                f"decision/{item.id}",
                f"Waits for a yes: {item.name}",
                current.as_of,
                f"Asked on {item.asked_on}.",
            )
    for sent in current.plan.send_outs:
        stage = stage_of(current, sent)
        if stage.name == "approval" and stage.due is not None:
            yield _day(
                f"price/{sent.id}",
                f"Waits for a yes: the price of {sent.name or sent.id}",
                stage.due,
                f"The plan counts on {vendor_names(current)[sent.vendor]} hearing it by then.",
            )


def _cash_due(current: CurrentPlan, _: Simulation | None) -> Iterator[KeptDate]:
    """Yield when the parts of what is owed or ordered fall due; the last part is number 1."""
    names = {line.id: line.name or line.id for line in current.plan.costs}
    firm = [one for one in cash(current, None, None).needs if one.entry.bucket in FIRM]
    parts: Counter[str] = Counter()
    for one in reversed(firm):
        line = one.entry.of
        parts[line] += 1
        yield _day(
            f"due/{line}/{parts[line]}",
            f"Due: {shown_units(one.native, one.entry.currency)} for {names[line]}",
            one.when.on,
            "Goes with the schedule, as the plan is written." if one.when.moves else "",
        )


def _finish(current: CurrentPlan, simulation: Simulation | None) -> Iterator[KeptDate]:
    """Yield when the aircraft is likely finished, and by when with eight chances in ten."""
    if simulation is None:
        return
    spread = simulation.finish_spread
    name = current.plan.project.name or "the aircraft"
    half, most = "In half of the courses it is later.", "In 2 of 10 courses it is later."
    yield _day("finish/likely", f"Likely finished: {name}", spread.p50, half)
    yield _day("finish/80", f"Finished with 8 chances in 10: {name}", spread.p80, most)


def _day(key: str, summary: str, on: date, note: str) -> KeptDate:
    """Return an entry of one day."""
    return KeptDate(key, summary, on, on, note)


_LEAD: tuple[_Source, ...] = (_items, _inspections)
_OWNER: tuple[_Source, ...] = (_decisions, _cash_due, _finish)
_SOURCES: Mapping[str, tuple[_Source, ...]] = {
    "lead": (*_LEAD, _milestones),
    "owner": (*_OWNER, _milestones),
    "planner": (*_LEAD, *_OWNER, _milestones),
}
