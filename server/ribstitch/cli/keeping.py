"""Commands that move plans in and out of the database: import, export."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import typer

from ribstitch.cli.database import check_number, opened, settings_for
from ribstitch.cli.refusal import RefusedError
from ribstitch.clock import Clock
from ribstitch.planfile import PlanFileError, dump_plan, read_plan_file
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Plan
from ribstitch.services.export_plan import export_plan
from ribstitch.services.import_plan import import_plan
from ribstitch.store import Person

PERSON = Person("Command line", "planner")


def import_file(file: Path, database: str | None, *, as_json: bool) -> None:
    """
    Put a plan file into the database.

    Raises
    ------
    RefusedError
        If the file is refused; nothing is stored.
    """
    try:
        plan = read_plan_file(file)
        with opened(settings_for(database)) as store:
            project = import_plan(store, plan, PERSON, Clock().now_utc())
    except PlanFileError as refused:
        raise RefusedError(str(refused)) from refused
    except PlanError as refused:
        raise RefusedError(f"{file}: {refused}") from refused
    if as_json:
        typer.echo(json.dumps({"project": project}))
    else:
        typer.echo(f"{plan.project.name or file.name} is project {project}.")


def export_project(project: int, output: Path | None, database: str | None) -> None:
    """
    Write a project as a plan file.

    Raises
    ------
    RefusedError
        If there is no such project, or the file cannot be written.
    """
    write_plan(load_project(project, database), output)


def write_plan(plan: Plan, output: Path | None) -> None:
    """
    Write a plan file, to the screen where no file is named.

    Raises
    ------
    RefusedError
        If the file cannot be written.
    """
    data = dump_plan(plan)
    if output is None:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    try:
        output.write_bytes(data)
    except OSError as failed:
        raise RefusedError(f"{output}: cannot be written ({failed.strerror})") from failed


def load_project(project: int, database: str | None) -> Plan:
    """
    Return a project of the database.

    Raises
    ------
    RefusedError
        If there is no such project.
    """
    check_number(project)
    with opened(settings_for(database)) as store:
        return export_plan(store, project)
