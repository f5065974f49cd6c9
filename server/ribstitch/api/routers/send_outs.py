"""Send-outs: one item, and what happened to it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import (
    Current,
    CurrentSimulation,
    Expected,
    ProjectId,
    Reason,
    ServiceDep,
)
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.problems import CONFLICT, FORBIDDEN, INVALID, MALFORMED, NOT_FOUND, UNSUPPORTED
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.bodies import ContactNote, Rejection
from ribstitch.api.schemas.work import SendOutAnswer, SendOutRecorded
from ribstitch.planfile.convert import send_out_document, send_out_from
from ribstitch.planning.model import SendOut
from ribstitch.services.change_plan import Recorded, thing_of
from ribstitch.services.edit_thing import edit_thing
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.record_send_out import log_contact, record_send_out_status
from ribstitch.services.reject_item import reject_item
from ribstitch.services.views.away import board_line

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Send-outs"], responses=refusals(INVALID, NOT_FOUND)
)

SendOutId = Annotated[
    str, Path(max_length=80, description="Id of the send-out; a second trip has a slash, S03/2")
]


@router.post(
    "/send-outs/{send_out_id:path}/contacts",
    summary="Note a word with the vendor",
    status_code=201,
    response_model=SendOutRecorded,
    responses=refusals(MALFORMED, FORBIDDEN, UNSUPPORTED),
    openapi_extra=takes(
        ContactNote, a_call={"on": "2026-10-09", "note": "Promised a date for Monday."}
    ),
)
def contact(
    project_id: ProjectId,
    send_out_id: SendOutId,
    asked: Annotated[ContactNote, Depends(body_of(ContactNote))],
    service: ServiceDep,
    person: Editor,
) -> Response:
    """Note what was said and when; notes are only added, so no version is needed."""
    done = log_contact(
        service.forecasts, project_id, send_out_id, asked.on, asked.note, person, service.now()
    )
    return _recorded(service.forecasts.current(project_id), send_out_id, done, status=201)


@router.post(
    "/send-outs/{send_out_id:path}/rejection",
    summary="Turn an item down",
    status_code=201,
    response_model=SendOutRecorded,
    responses=EDIT_REFUSALS,
    openapi_extra=takes(Rejection, today={"on": "2026-10-09"}),
)
def rejection(
    project_id: ProjectId,
    send_out_id: SendOutId,
    asked: Annotated[Rejection, Depends(body_of(Rejection))],
    service: ServiceDep,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Record that it came back and was turned down; its further trip is added."""
    done = reject_item(
        service.forecasts,
        project_id,
        send_out_id,
        asked.on,
        expected,
        person,
        service.now(),
        reason,
    )
    return _recorded(service.forecasts.current(project_id), send_out_id, done, status=201)


@router.get("/send-outs/{send_out_id:path}", summary="One send-out", response_model=SendOutAnswer)
def send_out(send_out_id: SendOutId, current: Current, simulation: CurrentSimulation) -> Response:
    """Return an item as it stands in the plan file, and where it is."""
    item: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
    version = current.versions["send_out"][send_out_id]
    content = {
        "send_out": send_out_document(item).model_dump(mode="json"),
        "version": version,
        "board": board_line(current, send_out_id, simulation),
        "plan_version": current.plan_version,
    }
    return json_response(content, ETag=etag(version))


@router.patch(
    "/send-outs/{send_out_id:path}",
    summary="Record or edit a send-out",
    response_model=SendOutRecorded,
    responses={**EDIT_REFUSALS, **refusals(CONFLICT)},
    openapi_extra=takes(
        Patch, a_new_promise={"status": {"promised": "2026-11-20"}}, longer={"lead_days": 90}
    ),
)
def edit(
    project_id: ProjectId,
    send_out_id: SendOutId,
    patch: Annotated[Patch, Depends(read_patch)],
    service: ServiceDep,
    current: Current,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Change what is given (a date that is null is open again), and calculate the plan anew."""
    before: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
    changed = send_out_from(patched(send_out_document(before), patch))
    common = (expected, person, service.now(), reason)
    if set(patch.root) == {"status"}:
        done = record_send_out_status(
            service.forecasts, project_id, send_out_id, changed.status, *common
        )
    else:
        done = edit_thing(service.forecasts, project_id, "send_out", send_out_id, changed, *common)
    return _recorded(service.forecasts.current(project_id), send_out_id, done)


def _recorded(
    current: CurrentPlan, send_out_id: str, done: Recorded, *, status: int = 200
) -> Response:
    """Return what was done, with the item's line of the board."""
    return recorded(done, {"send_out": board_line(current, send_out_id)}, status=status)
