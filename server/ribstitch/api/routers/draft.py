"""The plan that the evaluation asks for: what it would change, and taking it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Current, ProjectId, Reason, ServiceDep
from ribstitch.api.identity import Editor
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
from ribstitch.api.schemas.draft import (
    DraftAnswer,
    DraftAsked,
    DraftTakenAnswer,
    draft_document,
)
from ribstitch.services.draft_plan import preview_draft, take_draft

router = APIRouter(
    prefix="/projects/{project_id}/draft",
    tags=["Evaluation"],
    responses=refusals(INVALID, NOT_FOUND),
)


@router.get("", summary="What drafting the plan would change", response_model=DraftAnswer)
def show_draft(request: Request, service: ServiceDep, current: Current) -> Response:
    """
    Return what findings, method cards and standing jobs ask for, held against the plan.

    What has begun, what was edited by hand and what was taken out by hand stays as it is.
    Nothing is changed.
    """
    return service.answers.serve(
        request, current, lambda: draft_document(current, preview_draft(current))
    )


@router.post(
    "",
    summary="Take the draft into the plan",
    response_model=DraftTakenAnswer,
    responses=refusals(MALFORMED, FORBIDDEN, CONFLICT, STALE, UNSUPPORTED),
    openapi_extra=takes(DraftAsked, as_it_was_looked_at={"plan_version": 12}),
)
def take(
    project_id: ProjectId,
    asked: Annotated[DraftAsked, Depends(body_of(DraftAsked))],
    service: ServiceDep,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """
    Change the plan as the draft says, in one step that undo takes back.

    If the plan was changed since the draft was looked at, nothing is changed.
    """
    done = take_draft(
        service.forecasts, project_id, asked.plan_version, person, service.now(), reason
    )
    key = done.recorded.key if done.kind else ""
    return recorded(done.recorded, {"kind": done.kind, "key": key, "counts": done.counts})
