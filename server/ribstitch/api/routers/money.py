"""What it costs and when the money is needed; the owner's decisions about money."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path
from starlette.responses import Response

from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Expected, ProjectId, ServiceDep
from ribstitch.api.identity import Decider
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import RESOURCES
from ribstitch.api.schemas.money import DecisionAsked
from ribstitch.api.schemas.resources import edited_model
from ribstitch.planning.model import Decision
from ribstitch.services.decide_over_and_above import decide_over_and_above
from ribstitch.store.kinds import OVER_AND_ABOVE

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Money"], responses=refusals(INVALID, NOT_FOUND)
)

_ITEMS = next(one for one in RESOURCES if one.kind is OVER_AND_ABOVE)
_APPROVED = {"decision": "approved", "reason": "It must not be seen from outside."}
_DECLINED = {"decision": "declined", "reason": "The old hinge is sound enough."}


@router.post(
    "/over-and-above/{key:path}/decision",
    summary="Say yes or no to an over-and-above item",
    response_model=edited_model(_ITEMS),
    responses=EDIT_REFUSALS,
    openapi_extra=takes(DecisionAsked, yes=_APPROVED, no=_DECLINED),
)
def decide(
    project_id: ProjectId,
    key: Annotated[str, Path(max_length=200, description="Its `key`, as in the list")],
    asked: Annotated[DecisionAsked, Depends(body_of(DecisionAsked))],
    service: ServiceDep,
    expected: Expected,
    person: Decider,
) -> Response:
    """
    Approve or decline, as the owner or the planner.

    Whoever decided may decide otherwise; undo makes the item wait again.
    """
    done = decide_over_and_above(
        service.forecasts,
        project_id,
        key,
        Decision(asked.decision),
        asked.reason,
        expected,
        person,
        service.now(),
    )
    line = _ITEMS.line(done.key, done.thing, done.version)
    return recorded(done, {_ITEMS.name: line})
