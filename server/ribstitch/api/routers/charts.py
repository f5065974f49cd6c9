"""Figures as Plotly JSON; every chart has a table of the same data beside it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import takes
from ribstitch.api.deps import Current, CurrentSimulation, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, MALFORMED, NOT_FOUND, UNSUPPORTED
from ribstitch.api.routers.what_if import (
    CASES_EXAMPLE,
    Cases,
    LateDays,
    SendOut,
    Vendor,
    cases_of,
    lateness,
)
from ribstitch.api.schemas.bodies import CasesAsked
from ribstitch.api.schemas.charts import Figure
from ribstitch.charts.away_lanes import away_figure
from ribstitch.charts.cost_curve import CostPoint, cost_curve_figure
from ribstitch.charts.crew_load import crew_load_figure
from ribstitch.charts.finish_curve import compare_curves, finish_curve
from ribstitch.charts.forecast_log import forecast_log_figure
from ribstitch.charts.late_curve import late_curve_figure
from ribstitch.charts.lead_time import lead_time
from ribstitch.charts.paper import sheet
from ribstitch.charts.schedule_lanes import schedule_figure
from ribstitch.planning.checks import FIRST_YEAR, LAST_YEAR
from ribstitch.services.compare_cases import compare_chances
from ribstitch.services.views.crew_load import crew_strips
from ribstitch.services.views.forecast_view import movements
from ribstitch.services.views.lead import lead_curve
from ribstitch.services.views.pulled_in import PulledPoint, PullingAnswer
from ribstitch.services.views.sureness import spreads_of
from ribstitch.services.views.uncertainty import chance_curve

router = APIRouter(
    prefix="/projects/{project_id}/charts",
    tags=["Charts"],
    responses=refusals(INVALID, NOT_FOUND),
)

_FIRST, _LAST = date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)


@router.get("/schedule", summary="The schedule by zone", response_model=Figure)
def schedule(
    request: Request,
    service: ServiceDep,
    current: Current,
    simulation: CurrentSimulation,
    zone: Annotated[str | None, Query(max_length=80, description="Only this zone")] = None,
    trade: Annotated[str | None, Query(max_length=80, description="Only this trade")] = None,
    since: Annotated[
        date | None, Query(alias="from", ge=_FIRST, le=_LAST, description="First date shown")
    ] = None,
    until: Annotated[
        date | None, Query(alias="to", ge=_FIRST, le=_LAST, description="Last date shown")
    ] = None,
) -> Response:
    """Draw a lane for each zone, with lanes for what is away at vendors."""

    def build() -> Any:
        spreads = spreads_of(current, simulation)
        return schedule_figure(
            current.schedule, zone=zone, trade=trade, since=since, until=until, spreads=spreads
        )

    return service.answers.serve(request, current, build, is_settled=simulation is not None)


@router.get("/late-curve", summary="The finish against days late", response_model=Figure)
def late_curve(
    request: Request,
    service: ServiceDep,
    current: Current,
    vendor: Vendor = None,
    send_out: SendOut = None,
    days: LateDays = 120,
) -> Response:
    """Draw the late curve of a vendor or of one send-out."""

    def build() -> Any:
        found = lateness(current, vendor, send_out, days)
        target = current.plan.project.target_finish
        return late_curve_figure(found.finish, found.grace_days, target=target)

    return service.answers.serve(request, current, build)


@router.get("/forecast-log", summary="How the forecast moved", response_model=Figure)
def forecast_log(request: Request, service: ServiceDep, current: Current) -> Response:
    """Draw the forecast finish as it was on each as-of date, and how sure it was."""

    def build() -> Any:
        with service.store.reading() as look:
            log = look.forecasts(current.project_id)
            lines = movements(log, look.spreads(current.project_id))
        return forecast_log_figure(
            [(one.on, one.finish) for one in lines],
            target=current.plan.project.target_finish,
            spreads=[one.spread for one in lines],
        )

    edition = service.last_spread_number(current)
    return service.answers.serve(request, current, build, edition=edition)


@router.get("/finish-curve", summary="The chance to be finished, by date", response_model=Figure)
def show_finish_curve(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Draw the chance that the project is finished, by date; nothing while that is not known."""

    def build() -> Any:
        if simulation is None:
            return {"data": [], "layout": sheet()}
        spread = simulation.finish_spread
        return finish_curve(
            chance_curve(simulation),
            planned=current.finish_on,
            target=current.plan.project.target_finish,
            likely=spread.p50,
            by80=spread.p80,
        )

    return service.answers.serve(request, current, build, is_settled=simulation is not None)


@router.get("/lead-time", summary="How long a vendor may take", response_model=Figure)
def show_lead_time(
    request: Request,
    service: ServiceDep,
    current: Current,
    send_out: Annotated[str, Query(max_length=80, description="At whose vendor")],
) -> Response:
    """Draw the chance that a vendor's work on an item is done, by working days."""

    def build() -> Any:
        curve = lead_curve(current, send_out)
        return lead_time(
            curve.points,
            quoted=curve.lead.quoted_days,
            elapsed=curve.lead.elapsed_days,
            promised=curve.lead.promised_days,
            p50=curve.lead.p50_days,
            p80=curve.lead.p80_days,
        )

    return service.answers.serve(request, current, build)


@router.post(
    "/what-if",
    summary="The chance to be finished, case by case",
    response_model=Figure,
    responses=refusals(MALFORMED, UNSUPPORTED),
    openapi_extra=takes(CasesAsked, a_late_vendor=CASES_EXAMPLE),
)
def what_if(asked: Cases, service: ServiceDep, current: Current) -> Response:
    """Draw for the plan and each case the chance that the project is finished, by date."""
    curves = compare_chances(current, cases_of(asked), service.case_simulations)
    target = current.plan.project.target_finish
    return json_response(compare_curves([(one.name, one.points) for one in curves], target=target))


@router.get("/cost-curve", summary="What an earlier finish costs", response_model=Figure)
def cost_curve(service: ServiceDep, current: Current) -> Response:
    """Draw the least cost against the finish, and the last answer; nothing while it is unknown."""
    found = service.pulling_in.standing(current)
    if found.state == "outdated" or found.found is None or not found.found.curve:
        return json_response({"data": [], "layout": sheet()})
    result = found.found
    figure = cost_curve_figure(
        [_cost_point(one) for one in result.curve],
        currency=result.currency,
        asked=None if result.answer is None else _cost_point(result.answer),
        by=result.by,
        target=current.plan.project.target_finish,
    )
    return json_response(figure)


def _cost_point(one: PulledPoint | PullingAnswer) -> CostPoint:
    return CostPoint(one.finish, Decimal(one.cost), one.proven)


@router.get("/away", summary="What is away", response_model=Figure)
def away(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Draw the open send-outs leg by leg, the least grace first."""

    def build() -> Any:
        graces = list(current.send_out_graces.values())
        return away_figure(current.schedule, graces, spreads=spreads_of(current, simulation))

    return service.answers.serve(request, current, build, is_settled=simulation is not None)


@router.get("/crew-load", summary="Work against hands", response_model=Figure)
def crew_load(
    request: Request,
    service: ServiceDep,
    current: Current,
    trade: Annotated[str | None, Query(max_length=80, description="Only this trade")] = None,
) -> Response:
    """Draw what is asked of each trade and place by week against what there is."""

    def build() -> Any:
        return crew_load_figure(crew_strips(current, trade), current.plan, current.finish_on)

    return service.answers.serve(request, current, build)
