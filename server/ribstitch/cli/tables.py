"""The command that takes a table into a project."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

import typer

from ribstitch.cli.database import check_number, opened, settings_for
from ribstitch.cli.keeping import PERSON
from ribstitch.cli.refusal import RefusedError
from ribstitch.clock import Clock
from ribstitch.planning.errors import PlanError
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.import_table import Trial, take_table, try_table
from ribstitch.spreadsheets.columns import Table
from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.found import find_table, matched
from ribstitch.spreadsheets.styles import DATES, NUMBERS
from ribstitch.spreadsheets.tables import TABLES
from ribstitch.spreadsheets.telling import Problem, Telling


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a file, as it was typed."""

    table: str
    match: str | None
    sheet: int | None
    """From 1."""
    header: int | None
    dates: str | None
    decimals: str | None
    update: bool
    good_rows: bool


def import_table(
    file: Path, project: int, asked: Asked, database: str | None, *, only_try: bool, as_json: bool
) -> None:
    """
    Take a table in, and print what comes of it and what is wrong with each row.

    Raises
    ------
    RefusedError
        If the file or an option is refused, something has to be asked, or a row has a problem
        and the good ones alone are not wanted; nothing is stored.
    """
    table = _table(asked.table)
    told = _told(file, table, asked)
    check_number(project)
    with opened(settings_for(database)) as store:
        forecasts = Forecasts(store)
        current = forecasts.current(project)
        trial = try_table(current, table, told, "update" if asked.update else "keep")
        refusal = _refusal(trial, asked)
        stores = not only_try and refusal is None and bool(trial.edits)
        if stores:
            _take(forecasts, current, table, told, asked)
        _show(trial, stored=stores, as_json=as_json)
    if refusal is not None:
        raise RefusedError(f"{file}: {refusal}")


def _table(name: str) -> Table:
    if name not in TABLES:
        raise RefusedError(f"--table {name}: is none of {', '.join(TABLES)}")
    return TABLES[name]


def _told(file: Path, table: Table, asked: Asked) -> Telling:
    """Read what the file says."""
    styles = {}
    for writing, style in ((DATES, asked.dates), (NUMBERS, asked.decimals)):
        if style is None:
            continue
        if style not in writing.styles:
            either = " nor ".join(writing.styles)
            raise RefusedError(f"--{writing.what} {style}: is neither {either}")
        styles[writing.what] = style
    match = None if asked.match is None else matched(asked.match)
    try:
        sheet = None if asked.sheet is None else asked.sheet - 1
        return find_table(file.read_bytes(), table, sheet, asked.header).told(table, match, styles)
    except SpreadsheetError as refused:
        raise RefusedError(f"{file}: {refused}") from refused


def _refusal(trial: Trial, asked: Asked) -> str | None:
    """Say why nothing is taken in; None: it can be."""
    if trial.questions:
        return " ".join(
            f"--{one.about} {' or '.join(one.choices)}: say which, for {one.example} "
            f"in {', '.join(one.columns)} can be read both ways."
            for one in trial.questions
        )
    if trial.finish_after is None:
        return trial.problems[-1].sentence
    if trial.problems and not asked.good_rows:
        one_row = "1 row has a problem"
        rows = one_row if trial.refused == 1 else f"{trial.refused} rows have problems"
        return f"{rows}, and nothing is stored; --good-rows takes in the others."
    return None


def _take(
    forecasts: Forecasts, current: CurrentPlan, table: Table, told: Telling, asked: Asked
) -> None:
    """Store the rows, unless somebody has changed the plan since they were tried."""
    try:
        take_table(
            forecasts,
            current.project_id,
            table,
            told,
            "update" if asked.update else "keep",
            "good" if asked.good_rows else "all",
            current.plan_version,
            PERSON,
            Clock().now_utc(),
        )
    except PlanError as refused:
        raise RefusedError(str(refused)) from refused


def _show(trial: Trial, *, stored: bool, as_json: bool) -> None:
    """Print what comes of a table: in words, what is wrong goes to standard error."""
    counts = {
        "added": trial.added,
        "changed": trial.changed,
        "unchanged": trial.unchanged,
        "kept": trial.kept,
        "refused": trial.refused,
    }
    if as_json:
        document = {
            "stored": stored,
            "counts": counts,
            "problems": [asdict(one) for one in trial.problems],
            "questions": [asdict(one) for one in trial.questions],
            "finish_before": trial.finish_before.isoformat(),
            "finish_after": trial.finish_after.isoformat() if trial.finish_after else None,
        }
        typer.echo(json.dumps(document, ensure_ascii=False))
        return
    for problem in trial.problems:
        typer.echo(_line(problem), err=True)
    if trial.finish_after is not None:
        told = ", ".join(f"{count} {what}" for what, count in counts.items())
        verb = "Taken in" if stored else "Not stored"
        typer.echo(f"{verb}: {told}. Finish {trial.finish_before} to {trial.finish_after}.")


def _line(problem: Problem) -> str:
    """Return a problem as one line: row, column, value and reason."""
    row = "table" if problem.row is None else f"row {problem.row}"
    column = f", {problem.column}" if problem.column else ""
    value = f' "{problem.value}"' if problem.value else ""
    return f"{row}{column}{value}: {problem.sentence}"
