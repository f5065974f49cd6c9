"""A new project, from an aircraft, a shop and its people."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import ServiceDep
from ribstitch.api.identity import Maker
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import FORBIDDEN, INVALID, MALFORMED, TOO_LARGE, UNSUPPORTED
from ribstitch.api.schemas.new_project import NewProjectTold, ProjectBegun, begun_document
from ribstitch.services.new_project import begin_project
from ribstitch.services.project_offer import Offered, offered

router = APIRouter(prefix="/new-project", tags=["Projects"], responses=refusals(INVALID))

_EXAMPLE = {
    "name": "Two-seater 42",
    "airframe": "landplane",
    "rule_book": "eu",
    "zones": [{"id": "whole", "name": "Whole aircraft"}, {"id": "tail", "name": "Tail", "bays": 2}],
    "week": [8, 8, 8, 8, 8, 0, 0],
    "crew": [{"label": "Metalworker 1", "trades": ["metal"], "hours": [5, 5, 5, 5, 5, 0, 0]}],
}


@router.get("", summary="What a project can begin with", response_model=Offered)
def offer(service: ServiceDep, _person: Maker) -> Response:
    """Return what can be chosen, and what stands there until somebody changes it."""
    return json_response(offered(service.store))


@router.post(
    "",
    summary="Begin a project",
    status_code=201,
    response_model=ProjectBegun,
    responses=refusals(MALFORMED, FORBIDDEN, TOO_LARGE, UNSUPPORTED),
    openapi_extra=takes(NewProjectTold, a_landplane=_EXAMPLE),
)
def begin(
    told: Annotated[NewProjectTold, Depends(body_of(NewProjectTold))],
    service: ServiceDep,
    person: Maker,
) -> Response:
    """
    Store a new project with its zones, calendars, crew, places and method cards.

    What every aircraft of its kind needs is drafted at once, so that there is a first
    forecast before the evaluation; a fault is refused by its field, and nothing is stored.
    """
    now = service.now()
    begun = begin_project(service.store, told.told(now), person, now)
    return json_response(
        begun_document(begun), status=201, Location=f"/api/v1/projects/{begun.project_id}"
    )
