"""The command that drafts a plan from its evaluation."""

from __future__ import annotations

from pathlib import Path

import typer

from ribstitch.cli.keeping import write_plan
from ribstitch.cli.refusal import RefusedError
from ribstitch.planfile import PlanFileError, read_plan_file
from ribstitch.planning.drafting import draft_plan, merge, merged
from ribstitch.planning.errors import PlanError
from ribstitch.planning.schedule import schedule
from ribstitch.seeding import library


def draft_file(file: Path, output: Path | None) -> None:
    """
    Write a plan file with the plan in it that its evaluation asks for.

    What was done goes to standard error, so that standard output is the plan file alone.

    Raises
    ------
    RefusedError
        If the file is refused, the plan that comes of it cannot be scheduled, or the
        output cannot be written.
    """
    try:
        plan = read_plan_file(file)
        drafted = draft_plan(plan, library.assumptions())
        found = merge(plan, drafted)
        after = merged(plan, found)
        finish = schedule(after).finish_on
    except PlanFileError as refused:
        raise RefusedError(str(refused)) from refused
    except PlanError as refused:
        raise RefusedError(f"{file}: {refused}") from refused
    write_plan(after, output)
    for problem in drafted.problems:
        typer.echo(problem.sentence, err=True)
    counted = ", ".join(f"{count} {what}" for what, count in found.counts.items())
    typer.echo(f"{counted}. Finish {finish}.", err=True)
