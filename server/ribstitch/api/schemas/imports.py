"""What a file holds, and what taking it in would do."""

from __future__ import annotations

from datetime import date
from typing import Any, Literal

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion, Recorded
from ribstitch.services.import_table import Trial
from ribstitch.spreadsheets.columns import Table
from ribstitch.spreadsheets.grid import Grid, letters
from ribstitch.spreadsheets.matching import file_columns, headings, propose, shown
from ribstitch.spreadsheets.telling import Problem

_TOP = 12
"""So many rows are shown, for the head to be chosen from."""
_MOST_PROBLEMS = 500
"""So many are sent; all of them stand in the list to take along."""
_WIDEST = 8
_LONGEST = 40


class TopRow(Answer):
    """One of the first rows of a sheet."""

    row: int = Field(description="As a spreadsheet program numbers it")
    cells: list[str] = Field(description="The first cells, shortened")


class FileColumnLine(Answer):
    """One column of the file."""

    place: int = Field(description="From 0")
    letter: str
    heading: str
    samples: list[str] = Field(description="The first values below the head, none twice")
    match: str | None = Field(description="The column of the table that it seems to be")


class TableColumnLine(Answer):
    """One column that the table can take in."""

    name: str
    holds: str = Field(examples=["date"])
    words: list[str] = Field(description="What can stand there; empty: anything of its kind")
    key: bool = Field(description="It tells which thing a row is about: it must be matched")
    needed: bool = Field(description="Nothing new comes in without it")


class LookAnswer(Answer):
    """What a file holds."""

    sheets: list[str]
    sheet: int = Field(description="Which of them was looked at, from 0")
    header: int = Field(description="The row that is taken for the head")
    top: list[TopRow] = Field(description="The first rows, and the head where it lies below them")
    rows_in_all: int = Field(description="With something in them")
    rows: int = Field(description="Below the head")
    columns: list[FileColumnLine]
    fields: list[TableColumnLine]


class ProblemLine(Answer):
    """Why a row cannot be taken in."""

    row: int | None = Field(description="Of the file; null: none in particular")
    column: str
    value: str
    sentence: str


class QuestionLine(Answer):
    """What the file does not tell."""

    about: Literal["dates", "decimals"]
    choices: list[str] = Field(description="What can be sent under the name in `about`")
    columns: list[str]
    example: str = Field(description="A value that can be read either way")


class ImportCounts(Answer):
    """How many rows fare how."""

    added: int
    changed: int
    unchanged: int
    kept: int = Field(description="Of things that are in the plan already, and were left aside")
    refused: int


class TryAnswer(Answer):
    """What taking a table in would do."""

    plan_version: PlanVersion
    counts: ImportCounts
    problems: list[ProblemLine] = Field(description="The first of them, by row")
    problems_in_all: int
    questions: list[QuestionLine] = Field(description="To be answered before rows are read")
    finish_before: date
    finish_after: date | None = Field(description="With the good rows")


class TakenInAnswer(Recorded):
    """What taking a table in did."""

    kind: str = Field(description="Of one thing that was changed; empty if none was")
    key: str = Field(description="Of that thing; undo it to take back all")
    counts: ImportCounts


def look_document(grid: Grid, head: int, table: Table) -> dict[str, Any]:
    """Return what a file holds as plain data."""
    match = propose(headings(grid, head), table)
    return {
        "sheets": list(grid.sheets),
        "sheet": grid.sheet,
        "header": grid.rows[head].number,
        "top": [
            {"row": row.number, "cells": [shown(one)[:_LONGEST] for one in row.cells[:_WIDEST]]}
            for row in (*grid.rows[:_TOP], *grid.rows[max(_TOP, head) : head + 1])
        ],
        "rows_in_all": len(grid.rows),
        "rows": len(grid.rows) - head - 1,
        "columns": [
            {
                "place": one.place,
                "letter": letters(one.place),
                "heading": one.heading,
                "samples": list(one.samples),
                "match": match[one.place],
            }
            for one in file_columns(grid, head)
        ],
        "fields": [
            {
                "name": one.name,
                "holds": one.holds.value,
                "words": list(one.words),
                "key": one.key,
                "needed": one.needed,
            }
            for one in table.columns
        ],
    }


def try_document(plan_version: int, trial: Trial) -> dict[str, Any]:
    """Return what taking a table in would do as plain data."""
    return {
        "plan_version": plan_version,
        "counts": counts_document(trial),
        "problems": [_problem(one) for one in trial.problems[:_MOST_PROBLEMS]],
        "problems_in_all": len(trial.problems),
        "questions": [
            {
                "about": one.about,
                "choices": list(one.choices),
                "columns": list(one.columns),
                "example": one.example,
            }
            for one in trial.questions
        ],
        "finish_before": trial.finish_before,
        "finish_after": trial.finish_after,
    }


def _problem(one: Problem) -> dict[str, Any]:
    """Return a problem as plain data."""
    return {"row": one.row, "column": one.column, "value": one.value, "sentence": one.sentence}


def counts_document(trial: Trial) -> dict[str, int]:
    """Return how many rows fare how."""
    return {
        "added": trial.added,
        "changed": trial.changed,
        "unchanged": trial.unchanged,
        "kept": trial.kept,
        "refused": trial.refused,
    }
