"""Figures as Plotly JSON; every chart has a table of the same data beside it."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.deps import Current, ProjectId, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.api.routers.what_if import LateDays, SendOut, Vendor, lateness
from ribstitch.api.schemas.charts import Figure
from ribstitch.charts.away_lanes import away_figure
from ribstitch.charts.forecast_log import forecast_log_figure
from ribstitch.charts.late_curve import late_curve_figure
from ribstitch.charts.schedule_lanes import schedule_figure
from ribstitch.planning.checks import FIRST_YEAR, LAST_YEAR

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
    return service.answers.serve(
        request,
        current,
        lambda: schedule_figure(current.schedule, zone=zone, trade=trade, since=since, until=until),
    )


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
def forecast_log(
    request: Request, project_id: ProjectId, service: ServiceDep, current: Current
) -> Response:
    """Draw the forecast finish as it was on each as-of date."""

    def build() -> Any:
        with service.store.reading() as look:
            entries = [(one.as_of, one.finish) for one in look.forecasts(project_id)]
        return forecast_log_figure(entries, target=current.plan.project.target_finish)

    return service.answers.serve(request, current, build)


@router.get("/away", summary="What is away", response_model=Figure)
def away(request: Request, service: ServiceDep, current: Current) -> Response:
    """Draw the open send-outs leg by leg, the least grace first."""
    return service.answers.serve(
        request,
        current,
        lambda: away_figure(current.schedule, list(current.send_out_graces.values())),
    )
