"""What it costs and when the money is needed; the owner's decisions about money."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Current, CurrentSimulation, Expected, ProjectId, ServiceDep
from ribstitch.api.identity import Decider
from ribstitch.api.months import first_of
from ribstitch.api.openapi import ADD_REFUSALS, EDIT_REFUSALS, refusals
from ribstitch.api.problems import INVALID, NOT_FOUND, STALE
from ribstitch.api.recorded import recorded
from ribstitch.api.resources import RESOURCES
from ribstitch.api.schemas.charts import Figure
from ribstitch.api.schemas.money import (
    BaselineAsked,
    BaselineList,
    BaselineRecorded,
    DecisionAsked,
    baseline_line,
    baseline_lines,
)
from ribstitch.api.schemas.resources import edited_model
from ribstitch.planning.model import Decision
from ribstitch.services.approve_baseline import approve_baseline
from ribstitch.services.decide_over_and_above import decide_over_and_above
from ribstitch.services.earlier_plan import plan_at, version_on
from ribstitch.services.views.money_charts import earned_value_figure, need_figure
from ribstitch.services.views.money_shape import MoneyView
from ribstitch.services.views.money_view import money_view
from ribstitch.services.views.statement import statement
from ribstitch.services.views.statement_month import span_of
from ribstitch.services.views.statement_shape import Statement
from ribstitch.store.kinds import OVER_AND_ABOVE

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Money"], responses=refusals(INVALID, NOT_FOUND)
)

_ITEMS = next(one for one in RESOURCES if one.kind is OVER_AND_ABOVE)
_APPROVED = {"decision": "approved", "reason": "It must not be seen from outside."}
_DECLINED = {"decision": "declined", "reason": "The old hinge is sound enough."}


@router.get("/money", summary="What it costs, and when", response_model=MoneyView)
def show_money(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """
    Return what is spent, ordered and to come, by chapter, vendor, currency and month.

    The figures of one line add up, and the lines to the total, to the last minor unit;
    every other answer about money gives the same ones.
    """
    return service.answers.serve(
        request,
        current,
        lambda: money_view(current, simulation),
        is_settled=simulation is not None,
    )


@router.get("/statement", summary="The owner's statement of a month", response_model=Statement)
def show_statement(
    request: Request,
    service: ServiceDep,
    current: Current,
    simulation: CurrentSimulation,
    month: Annotated[
        str | None, Query(description="As 2026-10; without it the month of the as-of date")
    ] = None,
) -> Response:
    """
    Return forecast, spend against budget, and what was paid, done and decided in a month.

    The forecast is that of the plan as it stands, and how it moved since the last plan
    before the month.
    """
    first = None if month is None else first_of(month)

    def build() -> Statement:
        project, day_before = current.project_id, span_of(current, first).first - timedelta(days=1)
        version = version_on(service.store, project, day_before)
        earlier = None if version is None else plan_at(service.store, project, version)
        return statement(current, simulation, first, earlier)

    return service.answers.serve(request, current, build, is_settled=simulation is not None)


@router.get("/charts/money-need", summary="When the money is needed", response_model=Figure)
def show_need(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Draw by month what is committed, likely and possible, and how long the account lasts."""
    return service.answers.serve(
        request,
        current,
        lambda: need_figure(current, simulation),
        is_settled=simulation is not None,
    )


@router.get("/charts/earned", summary="Planned, earned and spent, by month", response_model=Figure)
def show_earned(request: Request, service: ServiceDep, current: Current) -> Response:
    """Draw planned value, earned value and actual cost; nothing without a baseline."""
    return service.answers.serve(request, current, lambda: earned_value_figure(current))


@router.get("/baselines", summary="All baselines", response_model=BaselineList)
def show_baselines(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return what was approved, the newest last; the packages are in the plan file."""
    return service.answers.serve(request, current, lambda: baseline_lines(current))


@router.post(
    "/baselines",
    summary="Approve the plan and its budget as they stand",
    status_code=201,
    response_model=BaselineRecorded,
    responses={**ADD_REFUSALS, **refusals(STALE)},
    openapi_extra=takes(BaselineAsked, agreed={"reason": "Agreed after the wings were opened"}),
)
def approve(
    project_id: ProjectId,
    asked: Annotated[BaselineAsked, Depends(body_of(BaselineAsked))],
    service: ServiceDep,
    person: Decider,
) -> Response:
    """
    Keep plan and budget as a new baseline, as the owner or the planner.

    The ones before are kept; undo takes back the newest.
    """
    done = approve_baseline(
        service.forecasts, project_id, asked.reason, person, service.now(), asked.plan_version
    )
    line = baseline_line(done.key, done.version, done.thing)
    return recorded(done, {"baseline": line}, status=201)


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
