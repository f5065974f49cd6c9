"""Begin a project: an aircraft, a shop and its people become a plan with a first forecast.

The plan holds what every aircraft of its kind needs, whatever is found; the evaluation adds
the rest. Everything is stored together, or nothing is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from ribstitch.money.budget import UNSHARED
from ribstitch.planning.checks import check_plan
from ribstitch.planning.drafting import Job, draft_plan, list_jobs, merge, merged
from ribstitch.planning.errors import UnknownReferenceError
from ribstitch.planning.model import (
    BudgetLine,
    Calendar,
    Crew,
    MethodCard,
    Plan,
    StandingJob,
    Zone,
)
from ribstitch.planning.schedule import schedule
from ribstitch.seeding import library
from ribstitch.services.project_told import BALANCING, OPENING, NewProject, check_told
from ribstitch.store import Person, Store, UnknownProjectError

SHOP = "shop"


@dataclass(frozen=True, slots=True)
class CardHours:
    """What a method card comes to in a plan."""

    card: str
    name: str
    hours: float
    """Person-hours, likely."""


@dataclass(frozen=True, slots=True)
class FirstPlan:
    """A plan before its evaluation."""

    plan: Plan
    work: tuple[CardHours, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Begun:
    """What a project begins with."""

    project_id: int
    finish_on: date
    first: FirstPlan


def begin_project(store: Store, told: NewProject, person: Person, at: datetime) -> Begun:
    """
    Store a new project with its first draft; return what it begins with.

    Raises
    ------
    PlanError
        If something that is told makes no sense; nothing is stored.
    """
    first = first_plan(told, _cards(store, told))
    finish = schedule(first.plan).finish_on
    with store.begin(person, at) as work:
        project_id = work.add_plan(first.plan, "project.begin")
        work.log_forecast(project_id, 1, first.plan.project.as_of, finish, "Project begun")
    return Begun(project_id, finish, first)


def first_plan(told: NewProject, cards: Sequence[MethodCard]) -> FirstPlan:
    """
    Return the plan of a project that begins, drafted from its standing jobs.

    Raises
    ------
    PlanError
        `where` is the key path of the first fault, in the terms of `NewProject`.
    """
    check_told(told)
    zones = tuple(Zone(one.id, one.name) for one in told.zones)
    calendars, crew = _crew_of(told)
    bare = Plan(
        replace(told.project, calendar=SHOP),
        calendars=calendars,
        zones=zones,
        kinds=library.send_out_kinds(),
        crew=crew,
        places=told.places,
        budget=tuple(_budget(told)),
        cards=tuple(cards),
        standing_jobs=tuple(_standing_jobs(told)),
    )
    check_plan(bare)
    drafted = draft_plan(bare, library.assumptions())
    plan = merged(bare, merge(bare, drafted))
    jobs, _problems = list_jobs(plan)
    return FirstPlan(plan, _work(jobs), tuple(one.sentence for one in drafted.problems))


def _cards(store: Store, told: NewProject) -> tuple[MethodCard, ...]:
    """
    Return the cards of a project that it still offers, with those shipped ones that it lacks.

    What it has retired stays behind, unless every aircraft needs it.
    """
    shipped = library.method_cards()
    if told.cards_of is None:
        return shipped
    try:
        with store.reading() as reading:
            own = reading.plan(told.cards_of).plan.cards
    except UnknownProjectError:
        raise UnknownReferenceError("cards_of", "project", str(told.cards_of)) from None
    standing = {job.card for job in _standing_jobs(told)}
    known = {card.id for card in own}
    offered = [card for card in own if not card.retired or card.id in standing]
    return _among_themselves([*offered, *(card for card in shipped if card.id not in known)])


def _among_themselves(cards: Sequence[MethodCard]) -> tuple[MethodCard, ...]:
    """Return cards that come after none that is not among them."""
    known = {card.id for card in cards}
    return tuple(
        replace(
            card,
            after_cards=tuple(one for one in card.after_cards if one in known),
            inside=tuple(one for one in card.inside if one.card in known),
        )
        for card in cards
    )


def _budget(told: NewProject) -> Iterator[BudgetLine]:
    """Yield what is told for chapters, and in one line what nobody has shared out yet."""
    currency = told.project.currency
    titles = {chapter.number: chapter.title for chapter in library.chapters()}
    for share in told.shares:
        yield BudgetLine(share.chapter, share.amount, currency, titles.get(share.chapter, ""))
    if told.budget is not None:
        rest = told.budget - sum(share.amount for share in told.shares)
        if rest:
            yield BudgetLine(UNSHARED, rest, currency, "Whole project, not yet shared out")


def _standing_jobs(told: NewProject) -> Iterable[StandingJob]:
    """Return what the aircraft needs whatever is found, in the usual order."""
    usual = library.standing_jobs(told.project.airframe)
    chapters = {job.zone: job.chapter for job in usual if job.card == OPENING}
    for job in usual:
        if job.card not in (OPENING, BALANCING):
            yield job
    for zone in told.zones:
        if zone.bays:
            title = f"{zone.name}, opening up"
            chapter = chapters.get(zone.id, "53")
            yield StandingJob(
                f"{OPENING}.{zone.id}", OPENING, title, zone.id, chapter, Decimal(zone.bays)
            )
    for surface in told.surfaces:
        yield StandingJob(surface.id, BALANCING, surface.name, surface.zone, "27")


def _crew_of(told: NewProject) -> tuple[tuple[Calendar, ...], tuple[Crew, ...]]:
    """Return the shop's calendar with those of who keeps other hours, and the crew by trade."""
    shop = replace(told.calendar, id=SHOP, name="Shop", day_hours=_day(told.calendar.week_hours))
    calendars, crew = [shop], []
    for number, line in enumerate(told.crew, start=1):
        calendar = shop
        if line.hours != shop.week_hours:
            calendar = replace(
                shop, id=f"crew-{number}", name=line.label, week_hours=line.hours,
                day_hours=_day(line.hours),
            )  # fmt: skip
            calendars.append(calendar)
        crew += [
            Crew(
                trade, line.people, calendar.id, line.label,
                told.rates.get(trade) if line.rate is None else line.rate,
            )
            for trade in line.trades
        ]  # fmt: skip
    return tuple(calendars), tuple(crew)


def _day(hours: Sequence[float]) -> float:
    """Return the hours of a full day: the longest of a week; where there is none, the usual."""
    return max(hours, default=0) or Calendar("").day_hours


def _work(jobs: Iterable[Job]) -> tuple[CardHours, ...]:
    """Return the likely person-hours of each card, in the order of the work."""
    names: dict[str, str] = {}
    hours: dict[str, Fraction] = {}
    for job in jobs:
        if job.card is not None:
            names[job.card.id] = job.card.name
            mine = (work.hours.likely for work in job.works if work.trade)
            hours[job.card.id] = hours.get(job.card.id, Fraction(0)) + sum(mine)
    return tuple(CardHours(card, names[card], float(one)) for card, one in sorted(hours.items()))
