"""The command that levels: a plan with its people and places, or a published instance."""

from __future__ import annotations

import json
import time
from collections import defaultdict
from math import isfinite
from pathlib import Path
from typing import Any

import typer

from ribstitch.cli.plans import Loaded, names_of
from ribstitch.cli.refusal import RefusedError
from ribstitch.planning.errors import PlanError
from ribstitch.planning.levelling import (
    LevelledPlan,
    LevelledProject,
    ResourceProject,
    crew_links,
    crew_loads,
    level_plan,
    level_project,
    long_absences,
    parse_patterson,
)
from ribstitch.planning.model import CrewLinkKind
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks

LARGEST_BYTES = 5_000_000
"""No instance may be larger. [bytes]"""
_LONGEST_SECONDS = 86_400.0


def show_levelled_plan(loaded: Loaded, seconds: float, seed: int, *, as_json: bool) -> None:
    """
    Level a plan and print it.

    Raises
    ------
    RefusedError
        If the plan asks for what there never is, or an option is refused.
    """
    _check(seconds, seed)
    try:
        found = level_plan(loaded.plan, seconds=seconds, clock=time.monotonic, seed=seed)
    except PlanError as refused:
        raise RefusedError(f"{loaded.name}: {refused}") from refused
    document = plan_document(found)
    if as_json:
        typer.echo(json.dumps(document, ensure_ascii=False))
        return
    typer.echo(f"Finish         {document['finish']}")
    typer.echo(f"Not before     {document['earliest_finish']}  (proven)")
    for note in document["notes"]:
        typer.echo(note)
    typer.echo(f"Without limits {document['unlimited_finish']}  (if there were hands for all)")
    names = names_of(loaded.schedule)
    for name, start in sorted(document["starts"].items(), key=lambda one: one[1]):
        typer.echo(f"{start}  {name}  {names.get(name, '')}")
    for link in document["links"]:
        what = " or ".join(link["names"])
        typer.echo(f"{link['to']} waits for {link['from']} to give up {link['kind']} {what}")


def plan_document(found: LevelledPlan) -> dict[str, Any]:
    """Return a levelled plan as JSON-ready data; dropped tasks have no dates."""
    problem, planned = found.problem, found.planned
    origin = problem.prepared.network.origin
    plan = planned.prepared.plan
    shop = problem.scale(plan.project.calendar)
    begun = shop.work_before(plan.project.start.toordinal() * TICKS_PER_DAY - origin)

    def days(instant: int) -> float:
        return days_from_ticks(shop.work_before(instant - origin) - begun)

    makespan, bound = days(found.project_finish), days(found.bound)
    return {
        "finish": found.finish_on.isoformat(),
        "earliest_finish": planned.project_finish_on(found.bound).isoformat(),
        "unlimited_finish": planned.finish_on.isoformat(),
        "makespan_days": makespan,
        "lower_bound_days": bound,
        "gap": (makespan - bound) / makespan if makespan else 0.0,
        "starts": {
            one.id: found.start_on(number).isoformat()
            for number, one in enumerate(planned.activities)
            if not one.dropped
        },
        "finishes": {
            one.id: found.finish_on_of(number).isoformat()
            for number, one in enumerate(planned.activities)
            if not one.dropped
        },
        "notes": [
            f'Nobody of "{one.trade}" works from {one.first} to {one.last}, and tasks wait for '
            "them: open dates on their calendar, or add people on another one."
            for one in long_absences(found)
        ],
        "load": [
            {
                "trade": one.name,
                "week": one.week.isoformat(),
                "used_days": days_from_ticks(one.used),
                "available_days": days_from_ticks(one.available),
            }
            for one in crew_loads(found)
            if one.kind is CrewLinkKind.TRADE
        ],
        "links": [
            {
                "from": link.before,
                "to": link.after,
                "kind": link.kind,
                "names": list(link.names),
                "units": link.units,
            }
            for link in crew_links(found)
        ],
    }


def show_levelled_instance(file: Path, seconds: float, seed: int, *, as_json: bool) -> None:
    """
    Level a project in the Patterson layout and print it.

    Raises
    ------
    RefusedError
        If the file is no such project, or an option is refused.
    """
    _check(seconds, seed)
    try:
        project = parse_patterson(_text(file))
    except PlanError as refused:
        raise RefusedError(f"{file}: {refused}") from refused
    found = level_project(project, seconds=seconds, clock=time.monotonic, seed=seed)
    document = instance_document(project, found)
    if as_json:
        typer.echo(json.dumps(document))
        return
    typer.echo(f"Finish     {found.makespan}")
    typer.echo(f"Not before {found.bound}  (proven)")
    typer.echo(f"Best rule  {document['best_rule']}")
    for name, start in document["starts"].items():
        typer.echo(f"{start:>6}  {name}")


def instance_document(project: ResourceProject, found: LevelledProject) -> dict[str, Any]:
    """Return a levelled instance as JSON-ready data; its periods count as days."""
    used: dict[int, list[int]] = defaultdict(lambda: [0] * found.makespan)
    for start, took, row in zip(found.starts, project.durations, project.demands, strict=True):
        for place, units in enumerate(row):
            for period in range(start, start + took):
                used[place][period] += units
    return {
        "finish": found.makespan,
        "makespan_days": found.makespan,
        "lower_bound_days": found.bound,
        "gap": found.gap,
        "best_rule": min(found.rule_makespans.values()),
        "starts": dict(zip(project.names, found.starts, strict=True)),
        "load": [
            {"resource": name, "capacity": capacity, "used": used[place]}
            for place, (name, capacity) in enumerate(
                zip(project.resource_names, project.capacities, strict=True)
            )
        ],
    }


def _text(file: Path) -> str:
    """Read a small text file."""
    try:
        with file.open("rb") as opened:
            data = opened.read(LARGEST_BYTES + 1)
    except OSError as failed:
        raise RefusedError(f"{file}: cannot be read ({failed.strerror})") from failed
    if len(data) > LARGEST_BYTES:
        raise RefusedError(f"{file}: is larger than {LARGEST_BYTES / 1e6:.0f} MB")
    try:
        return data.decode("ascii")
    except UnicodeDecodeError as failed:
        raise RefusedError(f"{file}: is no plain text of numbers") from failed


def _check(seconds: float, seed: int) -> None:
    """Refuse options that make no sense."""
    if not (isfinite(seconds) and 0 <= seconds <= _LONGEST_SECONDS):
        raise RefusedError(f"--seconds {seconds:g}: is not between 0 and {_LONGEST_SECONDS:.0f}")
    if not 0 <= seed < 2**31:
        raise RefusedError(f"--seed {seed}: is not between 0 and {2**31 - 1}")
