"""Tables and dates to take along."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.deps import Current, CurrentSimulation, ServiceDep
from ribstitch.api.files import download
from ribstitch.api.identity import NAMES, Role
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.services.exports import EXPORTS
from ribstitch.services.exports.csv_text import csv_text
from ribstitch.services.exports.xlsx_book import MEDIA_TYPE as XLSX
from ribstitch.services.exports.xlsx_book import xlsx_book
from ribstitch.services.feed import dates_for, ics_text
from ribstitch.services.feed.ics_text import MEDIA_TYPE as ICS

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Exports"], responses=refusals(INVALID, NOT_FOUND)
)

Name = Literal[
    "tasks", "links", "send-outs", "vendors", "crew", "costs", "payments", "hours",
    "findings", "originality", "sign-offs",
]  # fmt: skip


@router.get(
    "/exports/{name}.csv",
    summary="A table as comma-separated values",
    response_class=Response,
    responses={200: {"description": "The table", "content": {"text/csv": {}}}},
)
def export_csv(name: Name, current: Current) -> Response:
    """
    Return one of the tables, such as tasks, costs or findings.

    UTF-8 with a byte order mark, numbers with a point; the columns stay as they are.
    """
    table = EXPORTS[name]
    text = csv_text(table.columns, table.lines(current))
    return download(text.encode("utf-8-sig"), "text/csv; charset=utf-8", f"{name}.csv")


@router.get(
    "/exports/{name}.xlsx",
    summary="A table as a workbook",
    response_class=Response,
    responses={200: {"description": "The table", "content": {XLSX: {}}}},
)
def export_xlsx(name: Name, current: Current) -> Response:
    """
    Return the same tables with numbers, dates and money in cells of their kind.

    The head stays in view; no text becomes a formula.
    """
    table = EXPORTS[name]
    book = xlsx_book(name, table.columns, table.lines(current), table.money)
    return download(book, XLSX, f"{name}.xlsx")


@router.get(
    "/calendar.ics",
    summary="Dates for a calendar that is kept elsewhere",
    response_class=Response,
    responses={200: {"description": "The calendar", "content": {"text/calendar": {}}}},
)
def calendar(
    request: Request,
    service: ServiceDep,
    current: Current,
    simulation: CurrentSimulation,
    role: Annotated[Role, Query(description="Whose dates: lead, owner or planner")] = "lead",
) -> Response:
    """
    Return the dates that somebody keeps, to be subscribed to (iCalendar, RFC 5545).

    An entry keeps its name for as long as it is about the same thing, so that it moves when
    the plan does.
    """
    project = current.plan.project
    text = ics_text(
        f"{project.name or 'Ribstitch'} ({NAMES[role].lower()})",
        f"{current.project_id}.{role}.{request.url.hostname}",
        dates_for(current, simulation, role),
        service.changed_at(current),
        current.plan_version,
    )
    return download(text, ICS, f"{role}.ics")
