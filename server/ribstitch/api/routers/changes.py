"""The change log, and taking back the last change of a thing."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Query
from pydantic import AwareDatetime
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import ExpectedIfGiven, ProjectId, ServiceDep
from ribstitch.api.files import download
from ribstitch.api.identity import Editor, Reader
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import (
    CONFLICT,
    FORBIDDEN,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    STALE,
    UNSUPPORTED,
)
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.bodies import UndoAsked
from ribstitch.api.schemas.changes import (
    ActionList,
    ChangeList,
    Undone,
    action_document,
    change_document,
)
from ribstitch.services.change_log import actions, changes
from ribstitch.services.exports.change_table import CHANGES, change_lines
from ribstitch.services.exports.csv_text import csv_text
from ribstitch.services.exports.xlsx_book import MEDIA_TYPE as XLSX
from ribstitch.services.exports.xlsx_book import xlsx_book
from ribstitch.services.undo import redo_last, undo_last
from ribstitch.store import ChangeRecord, Span

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Change log"], responses=refusals(INVALID, NOT_FOUND)
)

Since = Annotated[
    AwareDatetime | None, Query(description="Only from this instant on, with its offset from UTC")
]
Until = Annotated[AwareDatetime | None, Query(description="Only before this instant")]


def _span(since: Since = None, until: Until = None) -> Span:
    """Return the span of time that is asked for."""
    return Span(since, until)


When = Annotated[Span, Depends(_span)]


def _logged(service: ServiceDep, project_id: ProjectId, when: When) -> list[ChangeRecord]:
    """Return all changes of a span of time, the newest first."""
    return changes(service.store, project_id, limit=None, when=when)


Logged = Annotated[list[ChangeRecord], Depends(_logged)]
Limit = Annotated[int, Query(ge=1, le=500, description="How many at most")]
_UNDO_REFUSALS = refusals(MALFORMED, FORBIDDEN, CONFLICT, STALE, UNSUPPORTED)
_ASKED = Annotated[UndoAsked, Depends(body_of(UndoAsked))]
_TAKES = takes(UndoAsked, a_task={"kind": "task", "key": "T010"})


@router.get("/changes", summary="What was changed", response_model=ChangeList)
def change_log(
    _person: Reader,
    project_id: ProjectId,
    service: ServiceDep,
    when: When,
    kind: Annotated[
        str | None, Query(max_length=40, description="Only of one kind of thing, such as `task`")
    ] = None,
    key: Annotated[str | None, Query(max_length=200, description="Only of one thing")] = None,
    before: Annotated[
        int | None, Query(ge=1, le=2**62, description="Only older ones: `next_before` of a page")
    ] = None,
    plan_version: Annotated[
        int | None,
        Query(ge=1, le=2**31 - 1, description="Only those of the action that led to it"),
    ] = None,
    task: Annotated[
        str | None, Query(max_length=80, description="Only of this task and of its links")
    ] = None,
    limit: Limit = 50,
) -> Response:
    """Return changes, the newest first, with who, when, before and after."""
    found = changes(
        service.store, project_id, kind, key, before, limit + 1, plan_version, when, task
    )
    page = [change_document(one) for one in found[:limit]]
    more = len(found) > limit
    return json_response({"changes": page, "next_before": page[-1]["number"] if more else None})


@router.get(
    "/changes.csv",
    summary="The change log as comma-separated values",
    response_class=Response,
    responses={200: {"description": "The table", "content": {"text/csv": {}}}},
)
def changes_csv(_person: Reader, logged: Logged) -> Response:
    """Return the whole change log, or that of a span of time, the newest change first."""
    text = csv_text(CHANGES, change_lines(logged))
    return download(text.encode("utf-8-sig"), "text/csv; charset=utf-8", "changes.csv")


@router.get(
    "/changes.xlsx",
    summary="The change log as a workbook",
    response_class=Response,
    responses={200: {"description": "The table", "content": {XLSX: {}}}},
)
def changes_xlsx(_person: Reader, logged: Logged) -> Response:
    """Return the same table as a workbook."""
    return download(xlsx_book("changes", CHANGES, change_lines(logged), {}), XLSX, "changes.xlsx")


@router.get("/actions", summary="What was done, action by action", response_model=ActionList)
def action_log(
    _person: Reader,
    project_id: ProjectId,
    service: ServiceDep,
    when: When,
    before: Annotated[
        int | None,
        Query(ge=1, le=2**31 - 1, description="Only older ones: `next_before` of a page"),
    ] = None,
    limit: Limit = 50,
) -> Response:
    """
    Return actions, the newest first, with their changes.

    Of an action that changed many things, such as levelling, the first change alone is here:
    `/changes` with its `plan_version` has all.
    """
    found = actions(service.store, project_id, before, limit + 1, when)
    page = [action_document(one) for one in found[:limit]]
    more = len(found) > limit
    return json_response(
        {"actions": page, "next_before": page[-1]["plan_version"] if more else None}
    )


@router.post(
    "/undo",
    summary="Take back the last change of a thing",
    response_model=Undone,
    responses=_UNDO_REFUSALS,
    openapi_extra=_TAKES,
)
def undo(
    project_id: ProjectId,
    asked: _ASKED,
    service: ServiceDep,
    expected: ExpectedIfGiven,
    person: Editor,
) -> Response:
    """
    Put back what stood before; the log keeps both. Asked again, the change before that.

    With `If-Match`, only if the thing is still at the version that was read: so nobody takes
    back what somebody else has just entered.
    """
    done = undo_last(
        service.forecasts, project_id, asked.kind, asked.key, person, service.now(), expected
    )
    return recorded(done, {"kind": asked.kind, "key": asked.key})


@router.post(
    "/redo",
    summary="Bring back what was taken back",
    response_model=Undone,
    responses=_UNDO_REFUSALS,
    openapi_extra=_TAKES,
)
def redo(
    project_id: ProjectId,
    asked: _ASKED,
    service: ServiceDep,
    expected: ExpectedIfGiven,
    person: Editor,
) -> Response:
    """
    Bring back the last change that was taken back, if the thing was not changed since.

    With `If-Match`, only if the thing is still at the version that was read.
    """
    done = redo_last(
        service.forecasts, project_id, asked.kind, asked.key, person, service.now(), expected
    )
    return recorded(done, {"kind": asked.kind, "key": asked.key})
