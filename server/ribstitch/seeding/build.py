"""A survey, method cards and a shop's facts put together into one plan document."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from ribstitch.seeding.agreeing import funding, over_and_above
from ribstitch.seeding.baseline import baselines
from ribstitch.seeding.costing import budget_lines, cost_lines, exchange_rates
from ribstitch.seeding.crew import HOLIDAYS, Crew, Person
from ribstitch.seeding.expedites import expedites
from ribstitch.seeding.hidden_work import zones
from ribstitch.seeding.jobs import Work, list_jobs
from ribstitch.seeding.links import crew_links, plan_links
from ribstitch.seeding.method_cards import read_cards, rows
from ribstitch.seeding.photos import evidence
from ribstitch.seeding.place_use import PlaceRule, places_of, read_place_rules
from ribstitch.seeding.plan_text import number
from ribstitch.seeding.risks import risks
from ribstitch.seeding.sending import away, kinds, send_outs, vendor_calendars, vendors
from ribstitch.seeding.status import Status, read_status
from ribstitch.seeding.timesheet import timesheet

Entry = dict[str, object]

DOPE_CALENDAR = "dope-season"
_DOPE_STEPS = {("M11", 3), ("M12", 5)}
"""Build coats: dope blushes in damp air, so they wait for the drier half of the year
(common practice, no source)."""


def build_plan(texts: Mapping[str, str]) -> Entry:
    """
    Build the plan document of a scenario.

    Parameters
    ----------
    texts
        CSV texts by name: the cards (``method_cards``, ``method_steps``), the lists they
        need (``chapters``, ``send_out_kinds``) and the scenario's own (``project``,
        ``findings``, ``crew``, ...), as they stand in `seed_data`.

    Raises
    ------
    KeyError, ValueError
        If a row names what is not there, or a figure is none.
    """
    project = {row["key"]: row["value"] for row in rows(texts["project"])}
    cards = read_cards(texts["method_cards"], texts["method_steps"])
    crew = Crew(texts["crew"], texts["closures"])
    jobs = list_jobs(texts, cards)
    as_of = date.fromisoformat(project["as_of"])
    rules = read_place_rules(texts)
    status = read_status(texts, jobs, crew, as_of, away(texts, jobs))
    document: Entry = {
        "format": "ribstitch-plan/1",
        "project": project,
        "calendars": [*_crew_calendars(texts, crew), *vendor_calendars(texts)],
        "zones": zones(texts, jobs, status),
        "tasks": [
            *(_task(work, crew, rules, status.get(work.id)) for job in jobs for work in job.works),
            *_milestones(texts, status),
        ],
        "links": plan_links(texts, jobs),
        "kinds": kinds(texts),
        "vendors": vendors(texts),
        "send_outs": send_outs(texts, jobs),
        "crew": crew.entries(),
        "places": [
            {"id": row["place"], "name": row["name"], "capacity": int(row["capacity"])}
            for row in rows(texts["places"])
        ],
        "crew_links": crew_links(texts, jobs),
        "expedites": expedites(texts, jobs),
        "risks": risks(texts, jobs, crew, status),
        "costs": cost_lines(texts),
        "budget": budget_lines(texts),
        "exchange_rates": exchange_rates(texts),
        "hours": timesheet(texts, jobs, crew, status, as_of),
        "funding": funding(texts),
        "over_and_above": over_and_above(texts),
    }
    return document | {
        "baselines": baselines(texts, jobs, document),
        "evidence": evidence(texts, document),
    }


def _crew_calendars(texts: Mapping[str, str], crew: Crew) -> list[Entry]:
    """Return the shop's calendar, one for each person, and the dope season."""
    closures: dict[str, list[list[str]]] = {}
    for row in rows(texts["closures"]):
        closures.setdefault(row["who"], []).append([row["from"], row["to"]])
    shop = closures["shop"]
    base: Entry = {"holidays": HOLIDAYS, "closed": shop}
    calendars: list[Entry] = [{"id": "shop", "name": "Shop", **base}]
    for person in crew.people:
        if person.week:
            closed = sorted(shop + closures.get(person.id, []))
            calendars.append(_week(person, person.calendar, person.label, closed))
    fabric = crew.main("fabric")
    closed = sorted(shop + closures.get(fabric.id, []) + closures["dope"])
    calendars.append(_week(fabric, DOPE_CALENDAR, "Dope season", closed))
    return calendars


def _week(person: Person, calendar: str, name: str, closed: list[list[str]]) -> Entry:
    """Return a calendar with the hours of a person that reach this project."""
    return {
        "id": calendar,
        "name": name,
        "day_hours": number(person.day_hours * person.share),
        "week": [number(hours * person.share) for hours in person.week],
        "holidays": HOLIDAYS,
        "closed": closed,
    }


def _task(work: Work, crew: Crew, rules: tuple[PlaceRule, ...], status: Status | None) -> Entry:
    """Turn a piece of work into a task on the calendar of its trade."""
    low, likely, high = crew.day_range(work.trade, work.people, work.hours)
    entry: Entry = {
        "id": work.id,
        "name": work.name,
        "zone": work.zone,
        "chapter": work.chapter,
        "calendar": _calendar(work, crew),
        "days": number(likely),
        "days_range": [number(low), number(likely), number(high)],
    }
    if work.trade is not None:
        entry |= {"trade": work.trade, "people": crew.hands(work.trade, work.people)}
    places = places_of(work, rules)
    if places:
        entry["places"] = places
    if status is not None:
        entry["status"] = status
    entry["why"] = work.why
    if work.hazards:
        entry["hazards"] = list(work.hazards)
    if work.notes:
        entry["notes"] = work.notes
    return entry


def _calendar(work: Work, crew: Crew) -> str:
    if work.trade is None:
        return "elapsed"
    if work.step is not None and (work.step.card, work.step.number) in _DOPE_STEPS:
        return DOPE_CALENDAR
    return crew.main(work.trade).calendar


def _milestones(texts: Mapping[str, str], status: Mapping[str, Status]) -> list[Entry]:
    """Return the milestones; one is reached when all that leads to it is done."""
    entries: list[Entry] = []
    for row in rows(texts["milestones"]):
        entry: Entry = {
            "id": row["ref"],
            "name": row["title"],
            "zone": row["zone"],
            "chapter": row["chapter"],
            "milestone": row["kind"],
        }
        before = [status.get(task, {}).get("finished") for task in row["after"].split()]
        if all(before):
            last = max(str(day) for day in before)
            entry["status"] = {"state": "done", "started": last, "finished": last}
        entries.append(entry)
    return entries
