"""What photos, documents and drawings have in common: each belongs to a file that stays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Current, Expected, Key, ProjectId, Reason, ServiceDep
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import EDIT_REFUSALS
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import Resource
from ribstitch.api.schemas.base import Recorded
from ribstitch.api.schemas.resources import line_model, recorded_line_model
from ribstitch.services.edit_thing import drop_thing, edit_thing

Given = Annotated[
    str | None,
    Query(description="Its `sha256`: with it the answer stays the same and can be kept for good"),
]


@dataclass(frozen=True, slots=True)
class Said:
    """What the description of the API says of an operation."""

    summary: str
    description: str


def looked_at_edited_and_taken_out(
    router: APIRouter,
    resource: Resource,
    refuse_another: Callable[[Any, Any], None],
    *,
    look: Said,
    edit: Said,
    take_out: Said,
    refused: dict[int | str, dict[str, Any]],
) -> None:
    """
    Let things of one kind be looked at, edited and taken out; call it after all other routes.

    Parameters
    ----------
    router, resource
        Where, and what.
    refuse_another
        Given a thing before and after an edit, refuses what belongs to its file.
    look, edit, take_out
        What is said of each.
    refused
        How an edit can be refused beside the usual.
    """
    kind = resource.name

    @router.get(
        "/{key:path}",
        summary=look.summary,
        description=look.description,
        response_model=line_model(resource),
        operation_id=f"get_{kind}",
    )
    def look_at(key: Key, current: Current) -> Response:
        one = resource.thing(current, key)
        version = current.versions[kind][key]
        return json_response(resource.line(key, one, version), ETag=etag(version))

    @router.patch(
        "/{key:path}",
        summary=edit.summary,
        description=edit.description,
        response_model=recorded_line_model(resource),
        responses={**EDIT_REFUSALS, **refused},
        openapi_extra=takes(Patch, an_edit=resource.example),
        operation_id=f"edit_{kind}",
    )
    def edit_one(
        project_id: ProjectId,
        key: Key,
        patch: Annotated[Patch, Depends(read_patch)],
        service: ServiceDep,
        current: Current,
        expected: Expected,
        person: Editor,
        reason: Reason = "",
    ) -> Response:
        before = resource.thing(current, key)
        after = resource.kind.from_part(patched(resource.kind.to_part(before), patch))
        refuse_another(before, after)
        now = service.now()
        done = edit_thing(
            service.forecasts, project_id, kind, key, after, expected, person, now, reason
        )
        return recorded(done, resource.line(key, done.thing, done.version))

    @router.delete(
        "/{key:path}",
        summary=take_out.summary,
        description=take_out.description,
        response_model=Recorded,
        responses={**EDIT_REFUSALS, **refused},
        operation_id=f"delete_{kind}",
    )
    def take_out_one(
        project_id: ProjectId,
        key: Key,
        service: ServiceDep,
        expected: Expected,
        person: Editor,
        reason: Reason = "",
    ) -> Response:
        now = service.now()
        done = drop_thing(service.forecasts, project_id, kind, key, expected, person, now, reason)
        return recorded(done, {})
