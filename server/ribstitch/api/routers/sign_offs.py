"""Checks, who signed them, and the records that licensed people must settle before flight."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Current, Expected, ProjectId, ServiceDep
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import ADD_REFUSALS, EDIT_REFUSALS, refusals
from ribstitch.api.problems import CONFLICT, INVALID, NOT_FOUND
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.sign_offs import (
    RecordSignOffAsked,
    RecordSignOffRecorded,
    SignOffAsked,
    SignOffList,
    SignOffRecorded,
)
from ribstitch.planfile.convert import status_from
from ribstitch.services.sign_off import sign_off_record, sign_off_task
from ribstitch.services.views.check_lines import sign_off_line, signers
from ribstitch.services.views.packing_list import PackingList, packing_list
from ribstitch.services.views.records_view import Records, records, sign_off_lines
from ribstitch.services.views.task_card import task_card
from ribstitch.services.views.work_entry import WorkEntry, work_entry

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Records"], responses=refusals(INVALID, NOT_FOUND)
)

_DONE = {
    "by": "Licensed inspector 1",
    "licence": "B1.2 12345",
    "statement": "Seen before closing: skins, rivets and sealant.",
    "status": {"state": "done", "started": "2026-10-05", "finished": "2026-10-09"},
}
_OVER = {"by": "Shop lead", "override": "The camera was away; the paint was drawn by hand."}
_AGAIN = {"by": "Licensed inspector 1", "statement": "A crack was seen since.", "reopens": True}
_STATED = {
    "by": "Licensed inspector 1",
    "licence": "B1.2 12345",
    "statement": "Entry made in the airframe log, page 112.",
}


@router.get("/sign-offs", summary="All sign-offs", response_model=SignOffList)
def show_sign_offs(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return what was signed, the latest first, and who may sign next."""
    return service.answers.serve(
        request,
        current,
        lambda: {"sign_offs": sign_off_lines(current), "signers": signers(current)},
    )


@router.post(
    "/tasks/{task_id:path}/sign-off",
    summary="Settle the check of a task",
    status_code=201,
    response_model=SignOffRecorded,
    responses={**EDIT_REFUSALS, **refusals(CONFLICT)},
    openapi_extra=takes(SignOffAsked, settled_and_done=_DONE, passed_over=_OVER, reopened=_AGAIN),
)
def sign_task(
    project_id: ProjectId,
    task_id: Annotated[str, Path(max_length=80, description="Id of the task in the plan")],
    asked: Annotated[SignOffAsked, Depends(body_of(SignOffAsked))],
    service: ServiceDep,
    expected: Expected,
    person: Editor,
) -> Response:
    """
    Sign a check off, pass over it with a reason, or open it again.

    A sign-off is never edited: undo takes it back, or a later one says otherwise. With
    `status` the task is recorded in the same step. If-Match is the version of the task.
    """
    status = None if asked.status is None else status_from(asked.status)
    done = sign_off_task(
        service.forecasts,
        project_id,
        task_id,
        asked.signed(asked.override),
        expected,
        person,
        service.now(),
        status,
    )
    card = task_card(service.forecasts.current(project_id), task_id)
    line = sign_off_line(done.thing, done.version, card.name)
    return recorded(done, {"sign_off": line, "task": card}, status=201)


@router.get("/records", summary="What must be settled before flight", response_model=Records)
def show_records(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return what licensed people must settle, the checks, the sign-offs and what is open."""
    return service.answers.serve(request, current, lambda: records(current))


@router.post(
    "/records/{record}/sign-off",
    summary="Keep what is said about a record",
    status_code=201,
    response_model=RecordSignOffRecorded,
    responses=ADD_REFUSALS,
    openapi_extra=takes(RecordSignOffAsked, stated=_STATED),
)
def sign_record(
    project_id: ProjectId,
    record: Annotated[str, Path(max_length=80, description="Its `id`, as in the records")],
    asked: Annotated[RecordSignOffAsked, Depends(body_of(RecordSignOffAsked))],
    service: ServiceDep,
    person: Editor,
) -> Response:
    """Keep a person's own statement that a record is settled; nothing is judged by it."""
    done = sign_off_record(
        service.forecasts, project_id, record, asked.signed(), person, service.now()
    )
    return recorded(done, {"sign_off": sign_off_line(done.thing, done.version, "")}, status=201)


@router.get("/work-entry", summary="Draft of an entry for work done", response_model=WorkEntry)
def show_work_entry(
    request: Request,
    service: ServiceDep,
    current: Current,
    first: Annotated[
        date | None, Query(description="Without it the first of the last date's month")
    ] = None,
    last: Annotated[date | None, Query(description="Without it the as-of date")] = None,
) -> Response:
    """Return words to copy: what was done, when and by whom; who signs decides what is written."""
    return service.answers.serve(request, current, lambda: work_entry(current, first, last))


@router.get(
    "/send-outs/{send_out_id:path}/packing-list",
    summary="What goes into the crate",
    response_model=PackingList,
)
def show_packing_list(
    request: Request,
    service: ServiceDep,
    current: Current,
    send_out_id: Annotated[str, Path(max_length=80, description="Id of the send-out")],
) -> Response:
    """Return what goes with an item, what must come back, and what to mind on the road."""
    return service.answers.serve(request, current, lambda: packing_list(current, send_out_id))
