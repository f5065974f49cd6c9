"""Zones, tasks, links, the order of the crew."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.alike import part_of, thing_from
from ribstitch.planfile.convert import (
    crew_link_document,
    crew_link_from,
    link_document,
    link_from,
    task_document,
    task_from,
)
from ribstitch.planfile.document import CrewLinkDocument, LinkDocument, TaskDocument, ZoneDocument
from ribstitch.planning.model import (
    Check,
    CheckKind,
    CrewLink,
    CrewLinkKind,
    LagOn,
    Link,
    Milestone,
    Origin,
    Relation,
    State,
    Task,
    TaskStatus,
    Zone,
    link_key,
)
from ribstitch.store.kinds.kind import Kind, document_of, range_of
from ribstitch.store.tables import CrewLinkRow, LinkRow, TaskRow, ZoneRow

_STATES = {state.value: state for state in State}
_RELATIONS = {relation.value: relation for relation in Relation}
_LAGS = {lag.value: lag for lag in LagOn}
_AS_PLANNED = TaskStatus()


def _zone(key: str, name: str, hidden_work_percent: float, opened_by: str | None) -> Zone:
    return Zone(key, name, hidden_work_percent, opened_by)


def _zone_values(zone: Zone) -> dict[str, Any]:
    return {
        "name": zone.name,
        "hidden_work_percent": zone.hidden_work_percent,
        "opened_by": zone.opened_by,
    }


def _task(
    key: str,
    duration: int,
    name: str,
    zone: str | None,
    chapter: str | None,
    calendar: str | None,
    low: int | None,
    likely: int | None,
    high: int | None,
    trade: str | None,
    people: int,
    places: list[str] | None,
    not_before: date | None,
    deadline: date | None,
    milestone: str | None,
    state: str,
    started: date | None,
    finished: date | None,
    remaining: int | None,
    held_reason: str,
    held_until: date | None,
    why: str,
    hazards: list[str] | None,
    notes: str,
    check: dict[str, Any] | None,
    origin: dict[str, Any] | None,
) -> Task:
    span = range_of(low, likely, high)
    status = _AS_PLANNED
    if state != "not_started" or held_reason or held_until or remaining is not None:
        status = TaskStatus(_STATES[state], started, finished, remaining, held_reason, held_until)
    return Task(
        key,
        duration,
        name,
        zone,
        chapter,
        calendar,
        span,
        trade,
        people,
        tuple(places) if places else (),
        not_before,
        deadline,
        None if milestone is None else Milestone(milestone),
        status,
        why,
        tuple(hazards) if hazards else (),
        notes,
        None if check is None else Check(CheckKind(check["kind"]), check.get("wants", "")),
        None if origin is None else _origin(**origin),
    )


def _origin(
    job: str,
    finding: str | None = None,
    card: str | None = None,
    step: int | None = None,
    quantity: str = "1",
) -> Origin:
    return Origin(job, finding, card, step, Decimal(quantity))


def _task_values(task: Task) -> dict[str, Any]:
    low, likely, high = task.duration_range or (None, None, None)
    return {
        "duration": task.duration,
        "name": task.name,
        "zone": task.zone,
        "chapter": task.chapter,
        "calendar": task.calendar,
        "low": low,
        "likely": likely,
        "high": high,
        "trade": task.trade,
        "people": task.people,
        "places": list(task.places) or None,
        "not_before": task.not_before,
        "deadline": task.deadline,
        "milestone": None if task.milestone is None else task.milestone.value,
        "state": task.status.state.value,
        "started": task.status.started,
        "finished": task.status.finished,
        "remaining": task.status.remaining,
        "held_reason": task.status.held_reason,
        "held_until": task.status.held_until,
        "why": task.why,
        "hazards": list(task.hazards) or None,
        "notes": task.notes,
        "check": None if task.check is None else document_of(part_of(task.check)),
        "origin": None if task.origin is None else document_of(part_of(task.origin)),
    }


def _link(key: str, before: str, after: str, relation: str, lag: int, lag_on: str) -> Link:  # noqa: ARG001
    return Link(before, after, _RELATIONS[relation], lag, _LAGS[lag_on])


def _link_values(link: Link) -> dict[str, Any]:
    return {
        "before": link.before,
        "after": link.after,
        "relation": link.relation.value,
        "lag": link.lag,
        "lag_on": link.lag_on.value,
    }


def _crew_link(
    key: str,  # noqa: ARG001
    before: str,
    after: str,
    kind: str,
    names: list[str],
    units: int,
) -> CrewLink:
    return CrewLink(before, after, CrewLinkKind(kind), tuple(names), units)


def _crew_link_values(link: CrewLink) -> dict[str, Any]:
    return {
        "before": link.before,
        "after": link.after,
        "kind": link.kind.value,
        "names": list(link.names),
        "units": link.units,
    }


def crew_link_key(before: str, after: str) -> str:
    """Return the key of a crew link, such as ``T010 > T020``."""
    return f"{before} > {after}"


ZONE = Kind(
    name="zone",
    plan_field="zones",
    row=ZoneRow,
    key_of=lambda zone: zone.id,
    build=_zone,
    values=_zone_values,
    part=ZoneDocument,
    to_part=part_of,
    from_part=thing_from,
)
TASK = Kind(
    name="task",
    plan_field="tasks",
    row=TaskRow,
    key_of=lambda task: task.id,
    build=_task,
    values=_task_values,
    part=TaskDocument,
    to_part=task_document,
    from_part=task_from,
)
LINK = Kind(
    name="link",
    plan_field="links",
    row=LinkRow,
    key_of=lambda link: link_key(link.before, link.after, link.relation),
    build=_link,
    values=_link_values,
    part=LinkDocument,
    to_part=link_document,
    from_part=link_from,
)
CREW_LINK = Kind(
    name="crew_link",
    plan_field="crew_links",
    row=CrewLinkRow,
    key_of=lambda link: crew_link_key(link.before, link.after),
    build=_crew_link,
    values=_crew_link_values,
    part=CrewLinkDocument,
    to_part=crew_link_document,
    from_part=crew_link_from,
)
