"""The shop's own drawings of its aircraft, and the zones traced on them."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Current, Expected, Key, ProjectId, Reason, ServiceDep
from ribstitch.api.files import file_content, file_response, read_file, takes_a_file
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import ADD_REFUSALS, EDIT_REFUSALS, refusals
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.problems import INVALID, NOT_FOUND, UNAVAILABLE
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import DRAWING_LINES
from ribstitch.api.schemas.base import Recorded
from ribstitch.api.schemas.resources import line_model, list_model, recorded_line_model
from ribstitch.planning.model import Drawing
from ribstitch.services.drawings import add_drawing, refuse_another_picture
from ribstitch.services.edit_thing import drop_thing, edit_thing
from ribstitch.services.evidence import Sent, file_of
from ribstitch.services.evidence_file import JPEG, PNG, UNTOLD, WEBP

router = APIRouter(
    prefix="/projects/{project_id}/drawings",
    tags=["Drawings"],
    responses=refusals(INVALID, NOT_FOUND),
)

Given = Annotated[
    str | None,
    Query(description="Its `sha256`: with it the answer stays the same and can be kept for good"),
]
_KIND = DRAWING_LINES.name
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


@router.get(
    "/{key:path}",
    summary="One drawing",
    response_model=line_model(DRAWING_LINES),
    operation_id="get_drawing",
)
def look_at(key: Key, current: Current) -> Response:
    """Return it as it stands in the plan file, with its version."""
    one = DRAWING_LINES.thing(current, key)
    version = current.versions[_KIND][key]
    return json_response(DRAWING_LINES.line(key, one, version), ETag=etag(version))


@router.patch(
    "/{key:path}",
    summary="Edit a drawing, and trace zones on it",
    response_model=recorded_line_model(DRAWING_LINES),
    responses=EDIT_REFUSALS,
    openapi_extra=takes(Patch, an_edit=DRAWING_LINES.example),
    operation_id="edit_drawing",
)
def edit(
    project_id: ProjectId,
    key: Key,
    patch: Annotated[Patch, Depends(read_patch)],
    service: ServiceDep,
    current: Current,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Change its name, its outlines (all of them are given), or whether the map is drawn on it."""
    before = DRAWING_LINES.thing(current, key)
    after = DRAWING_LINES.kind.from_part(patched(DRAWING_LINES.kind.to_part(before), patch))
    refuse_another_picture(before, after)
    done = edit_thing(
        service.forecasts, project_id, _KIND, key, after, expected, person, service.now(), reason
    )
    return recorded(done, DRAWING_LINES.line(key, done.thing, done.version))


@router.delete(
    "/{key:path}",
    summary="Take a drawing out of the plan",
    response_model=Recorded,
    responses=EDIT_REFUSALS,
    operation_id="delete_drawing",
)
def take_out(
    project_id: ProjectId,
    key: Key,
    service: ServiceDep,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Take it out; the picture stays where it lies, and undo brings it back with its zones."""
    done = drop_thing(
        service.forecasts, project_id, _KIND, key, expected, person, service.now(), reason
    )
    return recorded(done, {})
