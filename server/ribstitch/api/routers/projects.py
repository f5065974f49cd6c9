"""Projects: list, take in, look at, edit, hand out again."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import read_plan_file, takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Current, Expected, ProjectId, Reason, ServiceDep
from ribstitch.api.identity import Editor, Maker, Reader, known_in
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.problems import (
    FORBIDDEN,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    TOO_LARGE,
    UNSUPPORTED,
)
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.projects import Project, ProjectLine, ProjectList, ProjectRecorded
from ribstitch.planfile import dump_plan, parse_plan
from ribstitch.planfile.convert import project_document, project_from
from ribstitch.planfile.document import PlanDocument
from ribstitch.planning.model import Project as PlanProject
from ribstitch.services.edit_thing import edit_thing
from ribstitch.services.export_plan import export_plan
from ribstitch.services.import_plan import import_plan
from ribstitch.services.list_projects import list_projects

router = APIRouter(prefix="/projects", tags=["Projects"], responses=refusals(INVALID))

_EXAMPLE = {
    "format": "ribstitch-plan/1",
    "project": {"name": "Hull and tail", "start": "2026-01-05"},
    "tasks": [{"id": "T1", "name": "Strip the hull", "days": 4}],
}


@router.get("", summary="All projects", response_model=ProjectList)
def projects(request: Request, service: ServiceDep, _person: Reader) -> Response:
    """Return all projects in which one takes part, oldest first."""
    known = known_in(request)
    lines = [
        _line(one.id, one.project, one.plan_version)
        for one in list_projects(service.store)
        if known is None or known.role_in(one.id) is not None
    ]
    return json_response({"projects": lines})


@router.post(
    "",
    summary="Take in a plan file",
    status_code=201,
    response_model=ProjectLine,
    responses=refusals(MALFORMED, FORBIDDEN, TOO_LARGE, UNSUPPORTED),
    openapi_extra=takes(PlanDocument, a_small_plan=_EXAMPLE),
)
def take_in(
    body: Annotated[bytes, Depends(read_plan_file)], service: ServiceDep, person: Maker
) -> Response:
    """
    Store a plan file as a new project.

    It is checked and calculated first; a file with a fault is refused, naming the key and
    the value, and nothing is stored.
    """
    plan = parse_plan(body, "")
    number = import_plan(service.store, plan, person, service.now())
    return json_response(
        _line(number, plan.project, 1), status=201, Location=f"/api/v1/projects/{number}"
    )


@router.get(
    "/{project_id}", summary="One project", response_model=Project, responses=refusals(NOT_FOUND)
)
def project(current: Current) -> Response:
    """Return a project's own fields with its version."""
    content = _project(current.project_id, current.plan.project, current.plan_version)
    version = current.versions["project"][""]
    return json_response({**content, "version": version}, ETag=etag(version))


@router.patch(
    "/{project_id}",
    summary="Edit a project",
    response_model=ProjectRecorded,
    responses=EDIT_REFUSALS,
    openapi_extra=takes(Patch, a_new_as_of_date={"as_of": "2026-10-16"}),
)
def edit(
    project_id: ProjectId,
    patch: Annotated[Patch, Depends(read_patch)],
    service: ServiceDep,
    current: Current,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Change name, serial, as-of date, wanted finish, ...; the plan is calculated anew."""
    part = patched(project_document(current.plan.project), patch, fixed=None)
    changed = project_from(part)
    done = edit_thing(
        service.forecasts,
        project_id,
        "project",
        "",
        changed,
        expected,
        person,
        service.now(),
        reason,
    )
    content = _project(project_id, changed, done.plan_version)
    return recorded(done, {"project": {**content, "version": done.version}})


@router.get(
    "/{project_id}/plan-file",
    summary="Hand out the plan file",
    response_model=PlanDocument,
    responses=refusals(NOT_FOUND),
)
def plan_file(project_id: ProjectId, service: ServiceDep, _person: Reader) -> Response:
    """Return the whole plan as a file that can be kept, mailed, and taken in again."""
    plan = export_plan(service.store, project_id)
    name = re.sub(r"[^A-Za-z0-9]+", "-", plan.project.name).strip("-").lower() or "plan"
    return Response(
        dump_plan(plan),
        media_type="application/json",
        headers={
            "Content-Disposition": f'attachment; filename="{name[:60]}.plan.json"',
            "Cache-Control": "no-store",
        },
    )


def _line(number: int, project: PlanProject, plan_version: int) -> dict[str, Any]:
    """Return a project as a line of the list."""
    return {
        "id": number,
        "name": project.name,
        "aircraft": project.aircraft,
        "serial": project.serial,
        "as_of": project.as_of,
        "currency": project.currency,
        "airframe": project.airframe,
        "plan_version": plan_version,
    }


def _project(number: int, project: PlanProject, plan_version: int) -> dict[str, Any]:
    """Return a project with all its fields."""
    return {
        **_line(number, project, plan_version),
        "start": project.start,
        "calendar": project.calendar,
        "target_finish": project.target_finish,
        "out_of_sequence": project.out_of_sequence,
        "standing_per_month": _text(project.standing_per_month),
        "balance": _text(project.balance),
        "balance_on": project.balance_on,
        "restored_to": project.restored_to,
        "rule_book": project.rule_book,
    }


def _text(amount: Decimal | None) -> str | None:
    """Return money as a decimal string."""
    return None if amount is None else str(amount)
