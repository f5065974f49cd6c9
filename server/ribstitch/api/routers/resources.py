"""Things of a plan that are listed, looked at and edited alike, such as calendars."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Current, Expected, ProjectId, Reason, ServiceDep
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import RESOURCES, Resource
from ribstitch.api.schemas.resources import edited_model, line_model, list_model
from ribstitch.services.edit_thing import edit_thing

Key = Annotated[str, Path(max_length=200, description="Its `key`, as in the list")]


def _router(resource: Resource) -> APIRouter:
    """Return the router of one kind of thing."""
    router = APIRouter(
        prefix=f"/projects/{{project_id}}/{resource.path}",
        tags=["Resources"],
        responses=refusals(INVALID, NOT_FOUND),
    )
    single = resource.one.partition(" ")[2]

    @router.get(
        "",
        summary=f"All {resource.plural.replace('_', ' ')}",
        response_model=list_model(resource),
        operation_id=f"list_{resource.plural}",
    )
    def things(request: Request, service: ServiceDep, current: Current) -> Response:
        """Return them in the plan's order, as they stand in the plan file, with versions."""
        return service.answers.serve(
            request, current, lambda: {resource.plural: resource.lines(current)}
        )

    @router.get(
        "/{key:path}",
        summary=f"One {single}",
        response_model=line_model(resource),
        operation_id=f"get_{resource.name}",
    )
    def thing(key: Key, current: Current) -> Response:
        """Return it as it stands in the plan file, with its version."""
        found = resource.thing(current, key)
        version = current.versions[resource.name][key]
        return json_response(resource.line(key, found, version), ETag=etag(version))

    @router.patch(
        "/{key:path}",
        summary=f"Edit {resource.one}",
        response_model=edited_model(resource),
        responses=EDIT_REFUSALS,
        openapi_extra=takes(Patch, an_edit=resource.example),
        operation_id=f"edit_{resource.name}",
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
        """Change what is given, and calculate the plan anew."""
        before = resource.kind.to_part(resource.thing(current, key))
        changed = resource.kind.from_part(patched(before, patch, fixed=resource.fixed))
        done = edit_thing(
            service.forecasts,
            project_id,
            resource.name,
            key,
            changed,
            expected,
            person,
            service.now(),
            reason,
        )
        line = resource.line(key, changed, done.version)
        return recorded(done, {resource.name: line})

    return router


ROUTERS = tuple(_router(resource) for resource in RESOURCES)
