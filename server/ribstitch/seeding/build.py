"""A survey, method cards and a shop's facts put together into one plan document.

The planner drafts the plan out of the evaluation, as it does for any project. Then come
the facts of the scenario: what the shop tied together itself, what it sent where, what it
has done, paid and agreed to. At the as-of date the planner is run once more, so that the
allowances of the zones are those of that date.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ribstitch.planfile import parse_plan, plan_document
from ribstitch.planning.drafting import Assumptions, Job, draft_plan, merge, merged
from ribstitch.planning.drafting.hands import Hands
from ribstitch.planning.drafting.tasks import TaskMaker
from ribstitch.planning.model import Link, Plan
from ribstitch.seeding import library
from ribstitch.seeding.agreeing import funding, over_and_above
from ribstitch.seeding.baseline import baselines
from ribstitch.seeding.costing import cost_lines, exchange_rates
from ribstitch.seeding.crew import Crew
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.expedites import expedites
from ribstitch.seeding.jobs import is_extra, list_jobs
from ribstitch.seeding.links import crew_links, links_by_hand, with_lags
from ribstitch.seeding.open_risks import with_closed
from ribstitch.seeding.photos import evidence
from ribstitch.seeding.plan_text import plan_text
from ribstitch.seeding.sending import away, send_outs
from ribstitch.seeding.sign_offs import sign_offs
from ribstitch.seeding.status import Status, read_status
from ribstitch.seeding.survey import survey_plan
from ribstitch.seeding.timesheet import timesheet

Entry = dict[str, Any]
Texts = Mapping[str, str]


def build_plan(texts: Texts) -> Entry:
    """
    Build the plan document of a scenario.

    Parameters
    ----------
    texts
        CSV texts by name: what is shipped for every project (``method_cards``,
        ``chapters``, ...) and the scenario's own (``project``, ``findings``, ``crew``,
        ...), as they stand in `seed_data`.

    Raises
    ------
    KeyError, ValueError
        If a row names what is not there, or a figure is none.
    """
    crew = Crew(texts["crew"], texts["closures"])
    survey = survey_plan(texts, crew)
    jobs = list_jobs(survey, texts)
    by_hand = links_by_hand(texts)
    drafted = draft_plan(replace(survey, links=by_hand), library.assumptions(texts))
    if drafted.problems:
        raise ValueError(drafted.problems[0].sentence)
    first = merged(survey, merge(survey, drafted))
    document = _with_facts(texts, first, jobs, crew)
    document = _redrafted(document, library.assumptions(texts))
    return document | {
        "baselines": baselines(texts, jobs, document),
        "evidence": evidence(texts),
        "sign_offs": sign_offs(texts, document),
    }


def _with_facts(texts: Texts, first: Plan, jobs: Sequence[Job], crew: Crew) -> Entry:
    """Return the plan document of a first draft with all that the scenario knows beside it."""
    hands = Hands(first)
    items = send_outs(texts, first.send_outs)
    status = read_status(texts, jobs, crew, hands, first.project.as_of, away(items))
    base = plan_document(first)
    links = [*with_lags(base["links"]), *_new_links(first, links_by_hand(texts))]
    return {
        "format": base["format"],
        "project": base["project"],
        "calendars": base["calendars"],
        "zones": base["zones"],
        "tasks": _tasks(texts, first, jobs, status),
        "links": links,
        "kinds": base["kinds"],
        "vendors": base["vendors"],
        "send_outs": items,
        "crew": base["crew"],
        "places": base["places"],
        "crew_links": crew_links(texts, jobs, {(one["from"], one["to"]) for one in links}),
        "expedites": expedites(texts, jobs),
        "risks": with_closed(texts, base["risks"], jobs, status, items),
        "costs": cost_lines(texts),
        "budget": base["budget"],
        "exchange_rates": exchange_rates(texts),
        "hours": timesheet(texts, jobs, crew, status, first.project.as_of),
        "funding": funding(texts),
        "over_and_above": over_and_above(texts),
        "cards": base["cards"],
        "standing_jobs": base["standing_jobs"],
        "findings": base["findings"],
        "drafts": base["drafts"],
    }


def _redrafted(document: Entry, assumptions: Assumptions) -> Entry:
    """
    Return a plan document after the planner was run again on it: only allowances move.

    Raises
    ------
    ValueError
        If anything else moves: the facts of the scenario contradict its evaluation.
    """
    plan = parse_plan(plan_text(document).encode(), "the scenario")
    found = merge(plan, draft_plan(plan, assumptions))
    for step in found.steps:
        if step.what != "kept" and step.kind != "zone":
            raise ValueError(f"{step.kind} {step.key} would be {step.what} by the next draft")
    again = plan_document(merged(plan, found))
    return document | {"zones": again["zones"], "drafts": again["drafts"]}


def _tasks(
    texts: Texts, first: Plan, jobs: Sequence[Job], status: Mapping[str, Status]
) -> list[Entry]:
    """Return the tasks as they stand: the planner's, those over and above, milestones."""
    milestones = _milestones(texts, status)
    own = {one["id"] for one in milestones}
    drafted = [task for task in plan_document(first)["tasks"] if task["id"] not in own]
    tasks = [*drafted, *_extra_tasks(texts, first, jobs)]
    known = {task["id"]: {"status": status[task["id"]]} for task in tasks if task["id"] in status}
    return [*(task | known.get(task["id"], {}) for task in tasks), *milestones]


def _extra_tasks(texts: Texts, first: Plan, jobs: Sequence[Job]) -> list[Entry]:
    """Return the tasks that were planned by hand: work over and above the first plan."""
    asked = {row["ref"]: row for row in rows(texts["over_and_above"])}
    places = _places(texts)
    maker = TaskMaker(first, Hands(first))
    tasks = tuple(
        replace(
            maker.task(job, work),
            places=tuple(places.get(job.id, ())),
            why=f"over and above {job.id}, out of finding {asked[job.id]['finding']}",
            notes=f"Raised {asked[job.id]['raised']}; the owner said yes "
            f"{asked[job.id]['approved']}.",
            origin=None,
        )
        for job in jobs
        if is_extra(job)
        for work in job.works
    )
    found: list[Entry] = plan_document(replace(first, tasks=tasks))["tasks"]
    return found


def _places(texts: Texts) -> dict[str, list[str]]:
    """
    Return the places that the shop gives to jobs without a card.

    Raises
    ------
    KeyError
        If one is not there.
    """
    known = {row["place"] for row in rows(texts["places"])}
    found: dict[str, list[str]] = {}
    for table in ("job_places", "place_use"):
        for row in rows(texts[table]):
            if row["place"] not in known:
                raise KeyError(f"{table}.csv speaks of {row['place']}, which is no place")
    for row in rows(texts["job_places"]):
        found.setdefault(row["job"], []).append(row["place"])
    return found


def _new_links(first: Plan, links: Sequence[Link]) -> list[Entry]:
    """Return the links that somebody made by hand and that no draft has."""
    known = set(first.links)
    new = tuple(link for link in links if link not in known)
    found: list[Entry] = plan_document(replace(first, links=new))["links"]
    return found


def _milestones(texts: Texts, status: Mapping[str, Status]) -> list[Entry]:
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
