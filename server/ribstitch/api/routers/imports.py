"""Tables as shops keep them, on their way into a plan: looked at, tried, taken in."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Path, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.deps import Current, ProjectId, Reason, ServiceDep
from ribstitch.api.files import download, read_file, takes_a_file
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import (
    FORBIDDEN,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    STALE,
    TOO_LARGE,
    UNSUPPORTED,
    ProblemError,
)
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.imports import (
    LookAnswer,
    TakenInAnswer,
    TryAnswer,
    counts_document,
    look_document,
    try_document,
)
from ribstitch.services.exports.csv_text import csv_text
from ribstitch.services.exports.xlsx_book import MEDIA_TYPE as XLSX
from ribstitch.services.import_table import Existing, WhichRows, take_table, try_table
from ribstitch.services.import_template import template_csv, template_xlsx
from ribstitch.spreadsheets.columns import Table
from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.found import Found, find_table, matched
from ribstitch.spreadsheets.grid import MOST_COLUMNS
from ribstitch.spreadsheets.reading import LARGEST_BYTES
from ribstitch.spreadsheets.tables import TABLES
from ribstitch.spreadsheets.telling import Telling

router = APIRouter(
    prefix="/projects/{project_id}/imports/{table}",
    tags=["Imports"],
    responses=refusals(INVALID, NOT_FOUND),
)

Name = Literal["findings", "tasks", "vendors", "costs", "exchange-rates", "hours"]
_TAKEN = (
    "text/csv", XLSX, "text/tab-separated-values", "application/vnd.ms-excel",
    "application/octet-stream",
)  # fmt: skip
"""What browsers say that tables are; the content decides."""
_A_TABLE = takes_a_file(_TAKEN)
_FILE_REFUSALS = refusals(MALFORMED, TOO_LARGE, UNSUPPORTED)


async def _read_table_file(request: Request) -> bytes:
    """Read a body that is a table; raises as `read_file` does."""
    return (await read_file(request, _TAKEN, LARGEST_BYTES)).content


def _table(table: Annotated[Name, Path(description="What is taken in")]) -> Table:
    return TABLES[table]


TheTable = Annotated[Table, Depends(_table)]
Sheet = Annotated[
    int | None,
    Query(ge=0, le=1_000, description="Which sheet, from 0; else the first that is not empty"),
]
Header = Annotated[
    int | None, Query(ge=1, description="The row that is the head; else the one most like it")
]


def _found(
    data: Annotated[bytes, Depends(_read_table_file)],
    table: TheTable,
    sheet: Sheet = None,
    header: Header = None,
) -> Found:
    try:
        return find_table(data, table, sheet, header)
    except SpreadsheetError as refused:
        raise ProblemError(INVALID, str(refused)) from None


TheFound = Annotated[Found, Depends(_found)]


def _told(
    found: TheFound,
    table: TheTable,
    match: Annotated[
        str | None,
        Query(
            max_length=MOST_COLUMNS * 40,
            description="The column of the table for each column of the file, with commas "
            "between them, such as `id,,seen`; empty: left out. Not given: as proposed",
        ),
    ] = None,
    dates: Annotated[
        Literal["day_first", "month_first"] | None, Query(description="What 03/04/2026 means")
    ] = None,
    decimals: Annotated[
        Literal["point", "comma"] | None, Query(description="What parts the decimals off")
    ] = None,
) -> Telling:
    chosen = {"dates": dates, "decimals": decimals}
    styles = {about: style for about, style in chosen.items() if style is not None}
    try:
        return found.told(table, None if match is None else matched(match), styles)
    except SpreadsheetError as refused:
        raise ProblemError(INVALID, str(refused)) from None


Told = Annotated[Telling, Depends(_told)]
ExistingThings = Annotated[
    Existing,
    Query(description="Rows about things that are in the plan: leave them aside, or take them in"),
]


@router.post(
    "/look",
    summary="What a file holds",
    response_model=LookAnswer,
    responses=_FILE_REFUSALS,
    openapi_extra=_A_TABLE,
)
def look(_current: Current, table: TheTable, found: TheFound) -> Response:
    """
    Return the sheets, the head, the columns with samples, and what each column seems to be.

    The body is the file itself: a workbook (.xlsx), or values separated by commas,
    semicolons, tabs or upright strokes. Nothing is stored.
    """
    return json_response(look_document(found.grid, found.head, table))


@router.post(
    "/try",
    summary="What taking a table in would do",
    response_model=TryAnswer,
    responses=_FILE_REFUSALS,
    openapi_extra=_A_TABLE,
)
def try_it(
    current: Current, table: TheTable, told: Told, existing: ExistingThings = "keep"
) -> Response:
    """
    Return how many rows are new, changed or refused, and the first problems; nothing is stored.

    An empty cell says nothing, and so does a cell that says what the plan says already.
    """
    trial = try_table(current, table, told, existing)
    return json_response(try_document(current.plan_version, trial))


@router.post(
    "/problems.csv",
    summary="The problems of a table as comma-separated values",
    response_class=Response,
    responses={
        200: {"description": "The problems", "content": {"text/csv": {}}},
        **_FILE_REFUSALS,
    },
    openapi_extra=_A_TABLE,
)
def problems_csv(
    current: Current, table: TheTable, told: Told, existing: ExistingThings = "keep"
) -> Response:
    """Return the problems that `try` finds, to be worked through beside the file."""
    trial = try_table(current, table, told, existing)
    rows = [
        ("" if one.row is None else str(one.row), one.column, one.value, one.sentence)
        for one in trial.problems
    ]
    text = csv_text(("row", "column", "value", "problem"), rows)
    return download(text.encode("utf-8-sig"), "text/csv; charset=utf-8", "problems.csv")


@router.post(
    "/apply",
    summary="Take a table in",
    response_model=TakenInAnswer,
    responses={**_FILE_REFUSALS, **refusals(FORBIDDEN, STALE)},
    openapi_extra=_A_TABLE,
)
def apply(
    project_id: ProjectId,
    person: Editor,
    table: TheTable,
    told: Told,
    service: ServiceDep,
    plan_version: Annotated[int, Query(description="Of the plan that it was tried on")],
    existing: ExistingThings = "keep",
    rows: Annotated[
        WhichRows, Query(description="All, and none if one has a problem; or the good ones")
    ] = "all",
    reason: Reason = "",
) -> Response:
    """Take the rows in, in one step that undo takes back; the same file again changes nothing."""
    done = take_table(
        service.forecasts, project_id, table, told, existing, rows, plan_version, person,
        service.now(), reason,
    )  # fmt: skip
    changed = done.recorded.change_number is not None
    things = {
        "kind": table.kind if changed else "",
        "key": done.recorded.key if changed else "",
        "counts": counts_document(done.trial),
    }
    return recorded(done.recorded, things)


@router.get(
    "/template.csv",
    summary="An empty table as comma-separated values",
    response_class=Response,
    responses={200: {"description": "The table", "content": {"text/csv": {}}}},
)
def csv_template(_current: Current, table: TheTable) -> Response:
    """Return the columns of a table, and one row that shows what stands in them."""
    return download(template_csv(table), "text/csv; charset=utf-8", f"{table.name}.csv")


@router.get(
    "/template.xlsx",
    summary="An empty table as a workbook",
    response_class=Response,
    responses={200: {"description": "The table", "content": {XLSX: {}}}},
)
def xlsx_template(_current: Current, table: TheTable) -> Response:
    """Return the same as a workbook."""
    return download(template_xlsx(table), XLSX, f"{table.name}.xlsx")
