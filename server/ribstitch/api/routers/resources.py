"""Things of a plan that are listed, added, edited and taken out alike, such as calendars."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Current, Expected, Key, ProjectId, Reason, ServiceDep
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import ADD_REFUSALS, EDIT_REFUSALS, refusals
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import RESOURCES, Resource
from ribstitch.api.schemas.base import Recorded
from ribstitch.api.schemas.resources import edited_model, line_model, list_model
from ribstitch.services.edit_thing import add_thing, drop_thing, edit_thing


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
        line = resource.line(key, done.thing, done.version)
        return recorded(done, {resource.name: line})

    if resource.new is not None:
        _takes_and_gives(router, resource, resource.new)
    return router


def _takes_and_gives(router: APIRouter, resource: Resource, example: dict[str, Any]) -> None:
    """Let things of one kind be added and taken out."""
    part = resource.kind.part
    read_new = Depends(body_of(part))

    @router.post(
        "",
        summary=f"Add {resource.one}",
        status_code=201,
        response_model=edited_model(resource),
        responses=ADD_REFUSALS,
        openapi_extra=takes(part, a_new_one=example),
        operation_id=f"add_{resource.name}",
    )
    def add(
        project_id: ProjectId,
        service: ServiceDep,
        person: Editor,
        document: Any = read_new,
        reason: Reason = "",
    ) -> Response:
        """Add one at the end of the list, and calculate the plan anew."""
        new = resource.kind.from_part(document)
        done = add_thing(
            service.forecasts, project_id, resource.name, new, person, service.now(), reason
        )
        line = resource.line(done.key, done.thing, done.version)
        return recorded(done, {resource.name: line}, status=201)

    @router.delete(
        "/{key:path}",
        summary=f"Take {resource.one} out of the plan",
        response_model=Recorded,
        responses=EDIT_REFUSALS,
        operation_id=f"delete_{resource.name}",
    )
    def take_out(
        project_id: ProjectId,
        key: Key,
        service: ServiceDep,
        expected: Expected,
        person: Editor,
        reason: Reason = "",
    ) -> Response:
        """
        Take it out; the change log keeps it, and undo brings it back.

        What something else in the plan still names stays: the refusal says where.
        """
        done = drop_thing(
            service.forecasts,
            project_id,
            resource.name,
            key,
            expected,
            person,
            service.now(),
            reason,
        )
        return recorded(done, {})


ROUTERS = tuple(_router(resource) for resource in RESOURCES)
