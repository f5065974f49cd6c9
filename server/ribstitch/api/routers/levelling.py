"""An order that the crew can keep: found beside the requests, adopted, broken again."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Current, Expected, ProjectId, Reason, Service, ServiceDep
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
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
from ribstitch.api.schemas.levelling import (
    CrewLinkBroken,
    CrewLinksOfPlan,
    LevellingAdopted,
    LevellingAnswer,
    LevellingAsked,
    OneMoreAnswer,
    OneMoreAsked,
    OrderAdopted,
    levelling_document,
    one_more_document,
    order_document,
)
from ribstitch.services.adopt_levelling import adopt_levelling
from ribstitch.services.edit_thing import drop_thing
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.levellings import LevellingWish
from ribstitch.services.views.crew_order import order_lines
from ribstitch.store.kinds import CREW_LINK

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Crew"], responses=refusals(INVALID, NOT_FOUND)
)

_BEGIN_REFUSALS = refusals(MALFORMED, FORBIDDEN, UNSUPPORTED)
_STOP_REFUSALS = refusals(FORBIDDEN)


@router.get("/levelling", summary="How levelling stands", response_model=LevellingAnswer)
def show_levelling(service: ServiceDep, current: Current) -> Response:
    """
    Return the best order of the crew that was found, and what no order can beat.

    While `state` is `running`, ask again in a moment.
    """
    return _levelling(service, current)


@router.post(
    "/levelling",
    summary="Level the plan",
    response_model=LevellingAnswer,
    responses=_BEGIN_REFUSALS,
    openapi_extra=takes(LevellingAsked, half_a_minute={"seconds": 30, "keep_days": 1}),
)
def begin_levelling(
    asked: Annotated[LevellingAsked, Depends(body_of(LevellingAsked))],
    service: ServiceDep,
    current: Current,
    _person: Editor,
) -> Response:
    """
    Begin to look for an order that people and places can keep, with an early finish.

    A first one is there at once and gets better for as long as is asked for. Nothing of the
    plan changes until it is adopted. One that runs already is given up for this one.
    """
    service.levellings.begin(current, LevellingWish(asked.seconds, asked.keep_days))
    return _levelling(service, current)


@router.delete(
    "/levelling",
    summary="Look no further",
    response_model=LevellingAnswer,
    responses=_STOP_REFUSALS,
)
def stop_levelling(service: ServiceDep, current: Current, _person: Editor) -> Response:
    """Stop levelling and keep the best so far: `state` is `ready` a moment later."""
    service.levellings.stop(current)
    return _levelling(service, current)


@router.post(
    "/levelling/adopt",
    summary="Take the levelled order into the plan",
    response_model=OrderAdopted,
    responses=refusals(MALFORMED, FORBIDDEN, CONFLICT, STALE, UNSUPPORTED),
    openapi_extra=takes(LevellingAdopted, as_it_was_levelled={"plan_version": 12}),
)
def adopt(
    project_id: ProjectId,
    asked: Annotated[LevellingAdopted, Depends(body_of(LevellingAdopted))],
    service: ServiceDep,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """
    Replace the crew links by those of the levelled order, in one step that undo takes back.

    If the plan was changed since it was levelled, nothing is changed.
    """
    done = adopt_levelling(
        service.forecasts,
        service.levellings,
        project_id,
        asked.plan_version,
        person,
        service.now(),
        reason,
    )
    changed = done.added + done.taken_away
    things = {
        "kind": CREW_LINK.name if changed else "",
        "key": done.recorded.key,
        "added": done.added,
        "taken_away": done.taken_away,
        "kept": done.kept,
    }
    return recorded(done.recorded, things)


@router.get("/crew-links", summary="The order of the crew", response_model=CrewLinksOfPlan)
def crew_links(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return which task waits for which to give up people or a place, with versions."""

    def build() -> dict[str, object]:
        lines = [order_document(line) for line in order_lines(current)]
        return {"plan_version": current.plan_version, "crew_links": lines}

    return service.answers.serve(request, current, build)


@router.delete(
    "/crew-links/{key:path}",
    summary="Break a crew link",
    response_model=CrewLinkBroken,
    responses=EDIT_REFUSALS,
)
def break_crew_link(
    project_id: ProjectId,
    key: Annotated[str, Path(max_length=200, description="Its `key`, as in the list")],
    service: ServiceDep,
    expected: Expected,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """Let a task wait no longer for another one's people or place; undo brings it back."""
    kind = CREW_LINK.name
    done = drop_thing(
        service.forecasts, project_id, kind, key, expected, person, service.now(), reason
    )
    return recorded(done, {"kind": kind, "key": key})


@router.get("/one-more", summary="What one more would gain", response_model=OneMoreAnswer)
def show_one_more(service: ServiceDep, current: Current) -> Response:
    """
    Return what one more person, working day a week or place would gain, or how far that is.

    While `state` is `running`, ask again in a moment.
    """
    return _one_more(service, current)


@router.post(
    "/one-more",
    summary="Work out what one more would gain",
    response_model=OneMoreAnswer,
    responses=_BEGIN_REFUSALS,
    openapi_extra=takes(OneMoreAsked, two_seconds_each={"seconds": 2}),
)
def begin_one_more(
    asked: Annotated[OneMoreAsked, Depends(body_of(OneMoreAsked))],
    service: ServiceDep,
    current: Current,
    _person: Editor,
) -> Response:
    """Begin to level the plan with one more of each; one that runs already is given up."""
    service.one_mores.begin(current, asked.seconds)
    return _one_more(service, current)


@router.delete(
    "/one-more",
    summary="Work it out no further",
    response_model=OneMoreAnswer,
    responses=_STOP_REFUSALS,
)
def stop_one_more(service: ServiceDep, current: Current, _person: Editor) -> Response:
    """Stop; there is nothing to keep before all of it is known."""
    service.one_mores.stop(current)
    return _one_more(service, current)


def _levelling(service: Service, current: CurrentPlan) -> Response:
    """Answer how levelling stands."""
    return json_response(levelling_document(current, service.levellings.standing(current)))


def _one_more(service: Service, current: CurrentPlan) -> Response:
    """Answer how the search for gains stands."""
    return json_response(one_more_document(current, service.one_mores.standing(current)))
