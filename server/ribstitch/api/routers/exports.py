"""Tables to take along."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter
from starlette.responses import Response

from ribstitch.api.deps import Current
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.services.exports import EXPORTS
from ribstitch.services.exports.csv_text import csv_text
from ribstitch.services.exports.xlsx_book import MEDIA_TYPE, xlsx_book

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Exports"], responses=refusals(INVALID, NOT_FOUND)
)

Name = Literal[
    "tasks", "links", "send-outs", "vendors", "crew", "costs", "payments", "hours"
]  # fmt: skip


@router.get(
    "/exports/{name}.csv",
    summary="A table as comma-separated values",
    response_class=Response,
    responses={200: {"description": "The table", "content": {"text/csv": {}}}},
)
def export_csv(name: Name, current: Current) -> Response:
    """
    Return tasks, links, send-outs, vendors, crew, costs, payments or hours.

    UTF-8 with a byte order mark, numbers with a point; the columns stay as they are.
    """
    table = EXPORTS[name]
    text = csv_text(table.columns, table.lines(current))
    return _download(text.encode("utf-8-sig"), "text/csv; charset=utf-8", f"{name}.csv")


@router.get(
    "/exports/{name}.xlsx",
    summary="A table as a workbook",
    response_class=Response,
    responses={200: {"description": "The table", "content": {MEDIA_TYPE: {}}}},
)
def export_xlsx(name: Name, current: Current) -> Response:
    """
    Return the same tables with numbers, dates and money in cells of their kind.

    The head stays in view; no text becomes a formula.
    """
    table = EXPORTS[name]
    book = xlsx_book(name, table.columns, table.lines(current), table.money)
    return _download(book, MEDIA_TYPE, f"{name}.xlsx")


def _download(content: bytes, media_type: str, name: str) -> Response:
    """Return a file that nobody keeps."""
    return Response(
        content,
        media_type=media_type,
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "Cache-Control": "no-store",
        },
    )
