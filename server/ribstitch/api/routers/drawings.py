"""The shop's own drawings of its aircraft, and the zones traced on them."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.deps import Current, Key, ProjectId, Reason, ServiceDep
from ribstitch.api.files import file_content, file_response, read_file, takes_a_file
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import ADD_REFUSALS, refusals
from ribstitch.api.problems import INVALID, NOT_FOUND, UNAVAILABLE
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import DRAWING_LINES
from ribstitch.api.schemas.resources import list_model, recorded_line_model
from ribstitch.api.things_with_files import Given, Said, looked_at_edited_and_taken_out
from ribstitch.planning.model import Drawing
from ribstitch.services.drawings import add_drawing, refuse_another_picture
from ribstitch.services.evidence import Sent, file_of
from ribstitch.services.evidence_file import JPEG, PNG, UNTOLD, WEBP

router = APIRouter(
    prefix="/projects/{project_id}/drawings",
    tags=["Drawings"],
    responses=refusals(INVALID, NOT_FOUND),
)

_TAKEN = (JPEG, PNG, WEBP, UNTOLD)


async def _read_picture(request: Request, service: ServiceDep) -> Sent:
    """Read a body that is a picture; raises as `read_file` does."""
    return await read_file(request, _TAKEN, service.largest_file)


@router.get(
    "",
    summary="The shop's own drawings",
    response_model=list_model(DRAWING_LINES),
    operation_id="list_drawings",
)
def list_drawings(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return them in the order in which they were added, as they stand in the plan file."""
    return service.answers.serve(
        request, current, lambda: {"drawings": DRAWING_LINES.lines(current)}
    )


@router.post(
    "",
    summary="Add a drawing",
    status_code=201,
    response_model=recorded_line_model(DRAWING_LINES),
    responses={**ADD_REFUSALS, **refusals(UNAVAILABLE)},
    openapi_extra=takes_a_file(_TAKEN),
    operation_id="add_drawing",
)
def add(
    project_id: ProjectId,
    person: Editor,
    sent: Annotated[Sent, Depends(_read_picture)],
    service: ServiceDep,
    name: Annotated[str, Query(max_length=4_000, description="As the drawing is called")] = "",
    reason: Reason = "",
) -> Response:
    """
    Keep a picture of the aircraft; the body is the picture itself. No zone is on it yet.

    JPEG, PNG and WebP are taken, up to the size in the settings; the content decides what a
    file is. It is kept upright, at most 2,000 points wide and high, as WebP, without what the
    camera wrote into it.
    """
    done = add_drawing(
        service.forecasts, service.files, project_id, sent, name, person, service.now(), reason
    )
    return recorded(done, DRAWING_LINES.line(done.key, done.thing, done.version), status=201)


@router.get(
    "/{key:path}/file",
    summary="The picture itself",
    response_class=Response,
    responses={200: {"description": "The picture", "content": file_content([WEBP])}},
    operation_id="get_drawing_file",
)
def picture(
    key: Key, request: Request, service: ServiceDep, current: Current, digest: Given = None
) -> Response:
    """Return the picture as it is kept."""
    one: Drawing = DRAWING_LINES.thing(current, key)
    media_type, content = file_of(service.files, one)
    return file_response(request, content, media_type, one.sha256, one.name or one.id, digest)


looked_at_edited_and_taken_out(
    router,
    DRAWING_LINES,
    refuse_another_picture,
    look=Said("One drawing", "Return it as it stands in the plan file, with its version."),
    edit=Said(
        "Edit a drawing, and trace zones on it",
        "Change its name, its outlines (all of them are given), or whether the map is drawn on it.",
    ),
    take_out=Said(
        "Take a drawing out of the plan",
        "Take it out; the picture stays where it lies, and undo brings it back with its zones.",
    ),
    refused={},
)
