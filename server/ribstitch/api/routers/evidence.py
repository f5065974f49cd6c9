"""Photos and documents: sent as they are, and given out as what they were found to be."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, cast

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.deps import Current, Key, ProjectId, Reason, ServiceDep
from ribstitch.api.files import file_content, file_response, read_file, takes_a_file
from ribstitch.api.identity import Editor
from ribstitch.api.months import first_of
from ribstitch.api.openapi import ADD_REFUSALS, refusals
from ribstitch.api.problems import CONFLICT, INVALID, NOT_FOUND, UNAVAILABLE, ProblemError
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import EVIDENCE_LINES
from ribstitch.api.schemas.resources import list_model, recorded_line_model
from ribstitch.api.things_with_files import Given, Said, looked_at_edited_and_taken_out
from ribstitch.money.months import end_of_month
from ribstitch.planning.check_values import LONGEST_ID
from ribstitch.planning.model import Evidence
from ribstitch.services.evidence import (
    Sent,
    add_evidence,
    chosen,
    file_of,
    refuse_another_file,
    thumbnail_of,
    tidy_name,
)
from ribstitch.services.evidence_file import ENDINGS, THUMBNAIL, UNTOLD

router = APIRouter(
    prefix="/projects/{project_id}/evidence",
    tags=["Evidence"],
    responses=refusals(INVALID, NOT_FOUND),
)

_KIND = EVIDENCE_LINES.name
_TAKEN = (*ENDINGS, UNTOLD)
_A_FILE = takes_a_file(_TAKEN)


async def _read_photo(request: Request, service: ServiceDep) -> Sent:
    """Read a body that is a photo or a document; raises as `read_file` does."""
    return await read_file(request, _TAKEN, service.largest_file)


def _id_of(what: str) -> Any:
    """Return a parameter that names a thing."""
    return Query(max_length=LONGEST_ID, description=f"The id of {what}")


async def _about(
    zone: Annotated[str | None, _id_of("a zone")] = None,
    finding: Annotated[str | None, _id_of("a finding")] = None,
    task: Annotated[str | None, _id_of("a task")] = None,
    send_out: Annotated[str | None, _id_of("a send-out")] = None,
    over_and_above: Annotated[str | None, _id_of("an over-and-above item")] = None,
) -> dict[str, str]:
    """Return what files are about, by field."""
    named = {"zone": zone, "finding": finding, "task": task, "send_out": send_out,
             "over_and_above": over_and_above}  # fmt: skip
    return {field: key for field, key in named.items() if key is not None}


About = Annotated[dict[str, str], Depends(_about)]


async def _shown(
    about: About,
    caption: Annotated[str, Query(max_length=2_000, description="What can be seen")] = "",
    taken_on: Annotated[date | None, Query(description="When it was taken, if known")] = None,
    name: Annotated[str, Query(max_length=4_000, description="As the file is called")] = "",
) -> Evidence:
    """Return what a new file shows; what belongs to the file is found out later."""
    return Evidence(
        id="", sha256="", media_type="", size=0, added_on=date.min,
        name=tidy_name(name), caption=caption, taken_on=taken_on, **cast("dict[str, Any]", about),
    )  # fmt: skip


@router.get(
    "",
    summary="Photos and documents",
    response_model=list_model(EVIDENCE_LINES),
    operation_id="list_evidence",
)
def list_evidence(
    request: Request,
    service: ServiceDep,
    current: Current,
    about: About,
    month: Annotated[
        str | None, Query(description="Those taken (or else added) in it, as 2026-10")
    ] = None,
) -> Response:
    """Return those about a thing, those of a month, or all, as they stand in the plan file."""
    first = None if month is None else first_of(month)
    dates = None if first is None else (first, end_of_month(first))

    def lines() -> dict[str, Any]:
        versions = current.versions[_KIND]
        found = chosen(current, about, dates)
        return {"evidence": [EVIDENCE_LINES.line(one.id, one, versions[one.id]) for one in found]}

    return service.answers.serve(request, current, lines)


@router.post(
    "",
    summary="Add a photo or a document",
    status_code=201,
    response_model=recorded_line_model(EVIDENCE_LINES),
    responses={**ADD_REFUSALS, **refusals(UNAVAILABLE)},
    openapi_extra=_A_FILE,
    operation_id="add_evidence",
)
def add(
    project_id: ProjectId,
    person: Editor,
    shown: Annotated[Evidence, Depends(_shown)],
    sent: Annotated[Sent, Depends(_read_photo)],
    service: ServiceDep,
    reason: Reason = "",
) -> Response:
    """
    Keep a file and add it to the plan; the body is the file itself.

    JPEG, PNG, WebP and PDF are taken, up to the size in the settings. The content decides
    what a file is: one that is something else than its `Content-Type` says is refused, and so
    is one that is broken or cut off.
    """
    done = add_evidence(
        service.forecasts, service.files, project_id, sent, shown, person, service.now(), reason
    )
    return recorded(done, EVIDENCE_LINES.line(done.key, done.thing, done.version), status=201)


@router.get(
    "/{key:path}/file",
    summary="The file itself",
    response_class=Response,
    responses={200: {"description": "The file", "content": file_content(ENDINGS)}},
    operation_id="get_evidence_file",
)
def whole_file(
    key: Key, request: Request, service: ServiceDep, current: Current, digest: Given = None
) -> Response:
    """Return the file as it was added; a document is to be saved, not shown."""
    one: Evidence = EVIDENCE_LINES.thing(current, key)
    media_type, content = file_of(service.files, one)
    return file_response(request, content, media_type, one.sha256, one.name or one.id, digest)


@router.get(
    "/{key:path}/thumbnail",
    summary="A photo, small",
    response_class=Response,
    responses={200: {"description": "The photo", "content": file_content([THUMBNAIL])}},
    operation_id="get_evidence_thumbnail",
)
def thumbnail(
    key: Key, request: Request, service: ServiceDep, current: Current, digest: Given = None
) -> Response:
    """Return the photo upright, at most 480 points wide and high; a document has none."""
    one: Evidence = EVIDENCE_LINES.thing(current, key)
    small = thumbnail_of(service.files, one)
    if small is None:
        raise ProblemError(NOT_FOUND, f"{one.id} is a document: it has no small picture.")
    return file_response(request, small, THUMBNAIL, one.sha256, one.name or one.id, digest)


looked_at_edited_and_taken_out(
    router,
    EVIDENCE_LINES,
    refuse_another_file,
    look=Said("One photo or document", "Return what is known about it, with its version."),
    edit=Said(
        "Edit what a photo or a document shows",
        "Change the caption, the date or what it shows; what belongs to the file stays.",
    ),
    take_out=Said(
        "Take a photo or a document out of the plan",
        "Take it out; the file stays where it lies, and undo brings it back.\n\n"
        "What a sign-off stands on stays: the refusal says where.",
    ),
    refused=refusals(CONFLICT),
)
