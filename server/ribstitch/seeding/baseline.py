"""The first baseline: the plan as it was before anything was begun or found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, cast

from ribstitch.money.baseline import make_baseline
from ribstitch.planfile import parse_plan, plan_document
from ribstitch.planning.drafting import Job
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.seeding.costing import first_cost_lines
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.jobs import is_extra
from ribstitch.seeding.plan_text import plan_text

Entry = dict[str, object]


def baselines(texts: Mapping[str, str], jobs: Sequence[Job], document: Entry) -> list[Entry]:
    """
    Return the baselines of the plan document: the first plan, in its own order of work.

    Parameters
    ----------
    texts
        The scenario's own lists.
    jobs
        All jobs; those over and above were not in the first plan.
    document
        The plan document as it stands.
    """
    plan = first_plan(texts, jobs, document)
    return [
        plan_document(replace(plan, baselines=(made,)))["baselines"][0]
        for row in rows(texts["baselines"])
        for made in (
            make_baseline(
                plan,
                schedule(plan),
                baseline_id=row["baseline"],
                approved_on=date.fromisoformat(row["approved"]),
                reason=row["reason"],
            ),
        )
    ]


def first_plan(texts: Mapping[str, str], jobs: Sequence[Job], document: Entry) -> Plan:
    """Return the plan before any status, without what was found later."""
    later = {work.id for job in jobs if is_extra(job) for work in job.works}
    project: Any = document["project"]
    entries: dict[str, Any] = {
        "format": document["format"],
        "project": {
            key: project["start"] if key == "as_of" else value
            for key, value in project.items()
            if not key.startswith("balance")
        },
        "tasks": _without(document["tasks"], later, "status"),
        "links": [
            link for link in _listed(document["links"]) if not {link["from"], link["to"]} & later
        ],
        "send_outs": [
            entry
            for entry in _without(document["send_outs"], later, "status", "contacts")
            if "trip_of" not in entry
        ],
        "crew_links": _first_order(texts),
        "costs": first_cost_lines(texts),
    }
    same = ("calendars", "zones", "kinds", "vendors", "crew", "places", "budget", "exchange_rates")
    entries |= {key: document[key] for key in same}
    return parse_plan(plan_text(entries).encode(), "the first plan")


def _first_order(texts: Mapping[str, str]) -> list[Entry]:
    """Return the crew links of the first plan."""
    return [
        {
            "from": row["before"],
            "to": row["after"],
            "kind": row["kind"],
            "names": row["names"].split(),
        }
        for row in rows(texts["first_order"])
    ]


def _without(entries: object, ids: set[str], *keys: str) -> list[dict[str, Any]]:
    """Return entries but for some ids, without some of their keys."""
    return [
        {key: value for key, value in entry.items() if key not in keys}
        for entry in _listed(entries)
        if entry["id"] not in ids
    ]


def _listed(entries: object) -> list[dict[str, Any]]:
    """Return a list of the document."""
    return cast("list[dict[str, Any]]", entries)
