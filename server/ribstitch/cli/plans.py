"""Commands that look at one plan: schedule, grace, whatif."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import typer

from ribstitch.cli.refusal import RefusedError
from ribstitch.planfile import PlanFileError, read_plan_file
from ribstitch.planning.errors import PlanError
from ribstitch.planning.grace import send_out_grace, vendor_grace
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.whatif import VendorLate, apply_changes


@dataclass(frozen=True, slots=True)
class Loaded:
    """A plan with its schedule, and what to call it in a sentence."""

    name: str
    plan: Plan
    schedule: Schedule


def load(file: Path | None, project: int | None, database: str | None) -> Loaded:
    """
    Load a plan file, or a project of the database, and schedule it.

    Raises
    ------
    RefusedError
        If there is neither or both, or the plan is refused.
    """
    if (file is None) == (project is None):
        raise RefusedError("give either a plan FILE or --project N")
    if file is not None:
        name = str(file)
        try:
            plan = read_plan_file(file)
        except PlanFileError as refused:
            raise RefusedError(str(refused)) from refused
    else:
        from ribstitch.cli.keeping import load_project

        name = f"project {project}"
        plan = load_project(project or 0, database)
    try:
        return Loaded(name, plan, schedule(plan))
    except PlanError as refused:
        raise RefusedError(f"{name}: {refused}") from refused


def show_schedule(loaded: Loaded, *, as_json: bool) -> None:
    """Print dates, floats and the critical path."""
    result = schedule_document(loaded.schedule)
    if as_json:
        _print_json(result)
        return
    names = names_of(loaded.schedule)
    typer.echo(f"Finish {result['finish']}")
    typer.echo(f"{'start':<11} {'finish':<11} {'float':>8}   task")
    for one in result["tasks"]:
        mark = "*" if one["critical"] else " "
        typer.echo(
            f"{one['start']:<11} {one['finish']:<11} {one['total_float_days']:>8.6g} {mark} "
            f"{one['id']}  {names.get(one['id'], '')}"
        )
    typer.echo("* has no float. The finish is set by:")
    for name in result["critical_path"]:
        typer.echo(f"  {name}  {names.get(name, '')}")


def schedule_document(found: Schedule) -> dict[str, Any]:
    """Return a schedule as JSON-ready data; dropped tasks have no dates and are left out."""
    ids = [one.id for one in found.activities]
    tasks = [
        {
            "id": one.id,
            "start": found.start_on(n).isoformat(),
            "finish": found.finish_on_of(n).isoformat(),
            "late_start": found.late_start_on(n).isoformat(),
            "late_finish": found.late_finish_on(n).isoformat(),
            "total_float_days": days_from_ticks(int(found.total_float[n])),
            "free_float_days": days_from_ticks(int(found.free_float[n])),
            "critical": found.is_critical(n),
            "driven_by": [ids[driver] for driver in found.drivers[n]],
        }
        for n, one in enumerate(found.activities)
        if not one.dropped
    ]
    return {
        "finish": found.finish_on.isoformat(),
        "tasks": tasks,
        "critical_path": [ids[n] for n in found.critical_path],
    }


def show_grace(loaded: Loaded, *, as_json: bool) -> None:
    """Print grace, need-by and last safe ship dates."""
    items: list[dict[str, Any]] = [
        {
            "id": one.id,
            "grace_days": days_from_ticks(one.grace),
            "need_by": one.need_by.isoformat(),
            "last_safe_ship": _iso(one.last_safe_ship),
        }
        for one in send_out_grace(loaded.schedule)
    ]
    vendors: list[dict[str, Any]] = [
        {"id": one.id, "grace_days": days_from_ticks(one.grace)}
        for one in vendor_grace(loaded.schedule)
    ]
    if as_json:
        _print_json({"send_outs": items, "vendors": vendors})
        return
    names = {item.id: item.name for item in loaded.plan.send_outs}
    names |= {vendor.id: vendor.name for vendor in loaded.plan.vendors}
    typer.echo(f"{'grace':>8}  {'need by':<11} {'last ship':<11} item")
    for item in items:
        ship = item["last_safe_ship"] or "-"
        typer.echo(
            f"{item['grace_days']:>8.6g}  {item['need_by']:<11} {ship:<11} "
            f"{item['id']}  {names[item['id']]}"
        )
    typer.echo(f"{'grace':>8}  vendor, with everything it still has late together")
    for vendor in vendors:
        typer.echo(f"{vendor['grace_days']:>8.6g}  {vendor['id']}  {names[vendor['id']]}")


def show_whatif(loaded: Loaded, late: Sequence[str], *, as_json: bool) -> None:
    """Print the finish of the plan and of the case with late vendors."""
    changes = [_late(text) for text in late]
    try:
        case = apply_changes(loaded.plan, changes).schedule()
    except PlanError as refused:
        raise RefusedError(f"--late: {refused.reason} ({loaded.name})") from refused
    plan_finish, case_finish = loaded.schedule.finish_on, case.finish_on
    moved = (case_finish - plan_finish).days
    if as_json:
        _print_json(
            {
                "plan": {"finish": plan_finish.isoformat()},
                "case": {"finish": case_finish.isoformat()},
                "moved_days": moved,
            }
        )
        return
    typer.echo(f"Plan  {plan_finish}")
    typer.echo(f"Case  {case_finish}")
    typer.echo("The finish does not move." if moved == 0 else f"The finish moves by {moved} days.")


def _late(text: str) -> VendorLate:
    """Read VENDOR=DAYS."""
    vendor, _, days = text.rpartition("=")
    try:
        return VendorLate(vendor, float(days))
    except ValueError:
        raise RefusedError(f'--late "{text}": write VENDOR=DAYS, such as V1=30') from None


def names_of(found: Schedule) -> dict[str, str]:
    """Return what to call each activity."""
    plan = found.prepared.plan
    tasks = {task.id: task.name for task in plan.tasks}
    items = {item.id: item.name for item in plan.send_outs}
    return {
        one.id: tasks[one.id]
        if one.send_out is None
        else f"{items[one.send_out]}: {(one.leg or '').replace('_', ' ')}"
        for one in found.activities
    }


def _iso(day: date | None) -> str | None:
    """Return a date as ISO 8601."""
    return None if day is None else day.isoformat()


def _print_json(document: object) -> None:
    """Print one JSON object."""
    typer.echo(json.dumps(document, ensure_ascii=False))
