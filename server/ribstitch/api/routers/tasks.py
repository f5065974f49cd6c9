"""Tasks and the links between them: listed, looked at, recorded, edited."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query
from starlette.requests import Request
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
    Service,
    ServiceDep,
)
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import ADD_REFUSALS, EDIT_REFUSALS, refusals
from ribstitch.api.patches import Patch, patched, read_patch
from ribstitch.api.problems import (
    CONFLICT,
    FORBIDDEN,
    INVALID,
    NOT_FOUND,
)
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.work import (
    LinkRecorded,
    TaskPlanAsked,
    TaskPlanRecorded,
    TaskRecorded,
)
from ribstitch.planfile.convert import link_document, link_from, task_document, task_from
from ribstitch.planfile.document import LinkDocument, TaskDocument
from ribstitch.planning.model import Relation, State, Task
from ribstitch.services.change_plan import thing_of
from ribstitch.services.edit_links import add_link, drop_link
from ribstitch.services.edit_thing import add_thing, edit_thing
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.plan_task import TaskPlan, save_task_plan
from ribstitch.services.preview_plan import PlanPreview, preview_task_plan
from ribstitch.services.record_status import record_task_status
from ribstitch.services.views.task_card import TaskCard, task_card
from ribstitch.services.views.task_view import TaskList, TaskView, task_list, task_view

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Tasks"], responses=refusals(INVALID, NOT_FOUND)
)

TaskId = Annotated[str, Path(max_length=80, description="Id of the task in the plan")]
_DONE = {"status": {"state": "done", "started": "2026-10-05", "finished": "2026-10-09"}}
_HELD = {"status": {"state": "held", "held_reason": "waiting for rivets"}}
_LONGER_AND_TIED = {
    "task": {"days": 4},
    "links": [
        {"key": "T010 > T020 FS", "version": 1},
        {"link": {"from": "T030", "to": "T020", "lag_days": 2}},
    ],
}
PlanAsked = Annotated[TaskPlanAsked, Depends(body_of(TaskPlanAsked))]
_NEW = {"id": "T900", "name": "Reseal the tank", "zone": "centre", "days": 3, "trade": "metal"}


@router.get("/tasks", summary="Tasks", response_model=TaskList)
def tasks(
    request: Request,
    service: ServiceDep,
    current: Current,
    zone: Annotated[str | None, Query(max_length=80, description="Only of this zone")] = None,
    state: Annotated[State | None, Query(description="Only in this state")] = None,
    trade: Annotated[str | None, Query(max_length=80, description="Only of this trade")] = None,
    q: Annotated[
        str, Query(max_length=200, description="Only with these words in id, name or why")
    ] = "",
    critical: Annotated[bool | None, Query(description="Only with (or without) no float")] = None,
    limit: Annotated[int, Query(ge=1, le=1000, description="How many at most")] = 100,
    offset: Annotated[int, Query(ge=0, le=10**6, description="How many to pass over")] = 0,
) -> Response:
    """Return a page of tasks in the plan's order; the filters hold together."""
    return service.answers.serve(
        request,
        current,
        lambda: task_list(
            current,
            zone=zone,
            state=state,
            trade=trade,
            q=q,
            critical=critical,
            limit=limit,
            offset=offset,
        ),
    )


@router.post(
    "/tasks",
    summary="Add a task",
    status_code=201,
    response_model=TaskRecorded,
    responses={**ADD_REFUSALS, **refusals(CONFLICT)},
    openapi_extra=takes(TaskDocument, work_found_late=_NEW),
)
def add(
    project_id: ProjectId,
    part: Annotated[TaskDocument, Depends(body_of(TaskDocument))],
    service: ServiceDep,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Add a task at the end of the plan; link it with `POST /links`."""
    task = task_from(part, "")
    done = add_thing(service.forecasts, project_id, "task", task, person, service.now(), reason)
    return recorded(done, {"task": _card(service, project_id, task.id)}, status=201)


@router.get("/tasks/{task_id:path}", summary="One task", response_model=TaskView)
def task(task_id: TaskId, current: Current, simulation: CurrentSimulation) -> Response:
    """Return a task as it stands in the plan file, its dates, and what it is linked to."""
    found = task_view(current, task_id, simulation)
    return json_response(found, ETag=etag(found.version))


@router.patch(
    "/tasks/{task_id:path}",
    summary="Record or edit a task",
    response_model=TaskRecorded,
    responses={**EDIT_REFUSALS, **refusals(CONFLICT)},
    openapi_extra=takes(Patch, done=_DONE, held=_HELD, longer={"days": 4}),
)
def edit(
    project_id: ProjectId,
    task_id: TaskId,
    patch: Annotated[Patch, Depends(read_patch)],
    service: ServiceDep,
    current: Current,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """
    Change what is given, and calculate the plan anew.

    Where `status.state` changes, what belonged to the old state is forgotten: a task that
    is done no longer has remaining days, one that is not started has no dates. The answer
    says how far the project finish moved.
    """
    before: Task = thing_of(current.plan, current.versions, "task", task_id)
    changed = task_from(patched(task_document(before), patch), "")
    common = (expected, person, service.now(), reason)
    if set(patch.root) == {"status"}:
        done = record_task_status(service.forecasts, project_id, task_id, changed.status, *common)
    else:
        done = edit_thing(service.forecasts, project_id, "task", task_id, changed, *common)
    return recorded(done, {"task": _card(service, project_id, task_id)})


@router.post(
    "/tasks/{task_id:path}/preview",
    summary="What planning a task anew would move",
    response_model=PlanPreview,
    responses=EDIT_REFUSALS,
    openapi_extra=takes(TaskPlanAsked, longer_and_tied_otherwise=_LONGER_AND_TIED),
)
def preview(
    task_id: TaskId, asked: PlanAsked, service: ServiceDep, current: Current, expected: Expected
) -> Response:
    """
    Calculate the plan as it would be, and say what moves; nothing is stored.

    It takes what `plan` takes, and refuses what that refuses. If-Match is the version of the
    task.
    """
    told = _task_plan(current, task_id, asked, expected)
    return json_response(preview_task_plan(service.store, current, told))


@router.post(
    "/tasks/{task_id:path}/plan",
    summary="Plan a task anew",
    response_model=TaskPlanRecorded,
    responses={**EDIT_REFUSALS, **refusals(CONFLICT)},
    openapi_extra=takes(TaskPlanAsked, longer_and_tied_otherwise=_LONGER_AND_TIED),
)
def plan(
    project_id: ProjectId,
    task_id: TaskId,
    asked: PlanAsked,
    service: ServiceDep,
    current: Current,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """
    Change a task and its links in one action, which one undo takes back.

    If-Match is the version of the task; each link that was there says its own.
    """
    told = _task_plan(current, task_id, asked, expected)
    done = save_task_plan(service.forecasts, project_id, told, person, service.now(), reason)
    things = {
        "task": _card(service, project_id, task_id),
        "kind": done.kind,
        "key": done.recorded.key,
    }
    return recorded(done.recorded, things)


@router.post(
    "/links",
    summary="Add a link",
    status_code=201,
    response_model=LinkRecorded,
    responses=ADD_REFUSALS,
    openapi_extra=takes(
        LinkDocument, after_it_is_finished={"from": "T010", "to": "T020", "lag_days": 2}
    ),
)
def link(
    project_id: ProjectId,
    part: Annotated[LinkDocument, Depends(body_of(LinkDocument))],
    service: ServiceDep,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Tie two tasks; a link that closes a circle is refused, naming all in it."""
    new = link_from(part)
    done = add_link(service.forecasts, project_id, new, person, service.now(), reason)
    content = link_document(new).model_dump(mode="json", by_alias=True)
    return recorded(done, {"link": content}, status=201)


@router.delete(
    "/links",
    summary="Take a link out of the plan",
    response_model=LinkRecorded,
    responses=refusals(FORBIDDEN),
)
def unlink(
    project_id: ProjectId,
    before: Annotated[str, Query(alias="from", max_length=80, description="The task before")],
    after: Annotated[str, Query(alias="to", max_length=80, description="The task after")],
    service: ServiceDep,
    person: Editor,
    relation: Annotated[
        Relation, Query(alias="type", description="Which relation")
    ] = Relation.FINISH_START,
    reason: Reason = "",
) -> Response:
    """Take a link out; the change log keeps it, and undo brings it back."""
    done = drop_link(
        service.forecasts, project_id, before, after, relation, person, service.now(), reason
    )
    return recorded(done, {"link": {"from": before, "to": after, "type": relation}})


def _card(service: Service, project_id: int, task_id: str) -> TaskCard:
    """Return the card of a task as it is now."""
    return task_card(service.forecasts.current(project_id), task_id)


def _task_plan(current: CurrentPlan, task_id: str, asked: TaskPlanAsked, expected: int) -> TaskPlan:
    """Return the task as it shall be, and its links."""
    before: Task = thing_of(current.plan, current.versions, "task", task_id)
    task = task_from(patched(task_document(before), Patch(asked.task)), "")
    return TaskPlan(task, expected, [one.asked() for one in asked.links])
