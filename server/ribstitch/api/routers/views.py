"""What the pages show, computed from the plan once for each change.

Dates tell how sure they are as soon as the plan is simulated; until then they stand alone.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.deps import Current, CurrentSimulation, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.api.schemas.crew import CrewLoadShown, crew_load_shown
from ribstitch.api.schemas.simulation import MovedAnswer, standing_document
from ribstitch.planning.checks import FIRST_YEAR, LAST_YEAR
from ribstitch.services.earlier_plan import version_since
from ribstitch.services.views.activity_list import (
    ActivityPage,
    Asked,
    Kind,
    NamedWorkPage,
    Order,
    activity_page,
    named_work,
)
from ribstitch.services.views.airframe import Airframe, airframe
from ribstitch.services.views.away import Away, away
from ribstitch.services.views.crew_load import crew_load
from ribstitch.services.views.crew_week import CrewWeek, crew_week
from ribstitch.services.views.forecast_view import ForecastView, forecast_view
from ribstitch.services.views.health_view import HealthView, health_view
from ribstitch.services.views.moved_likely import with_likely
from ribstitch.services.views.schedule_outline import ScheduleOutline, schedule_outline
from ribstitch.services.views.schedule_view import ScheduleView, schedule_view
from ribstitch.services.views.title_block import TitleBlock, title_block
from ribstitch.services.views.today import Today, today

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Views"], responses=refusals(INVALID, NOT_FOUND)
)


@router.get("/title-block", summary="The corner of every sheet", response_model=TitleBlock)
def show_title_block(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Return project, serial, as-of date, forecast, how sure it is, and wanted finish."""
    return service.answers.serve(
        request,
        current,
        lambda: title_block(current, simulation),
        is_settled=simulation is not None,
    )


@router.get("/schedule", summary="Every activity with its dates", response_model=ScheduleView)
def show_schedule(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Return tasks and legs of send-outs: early and late dates, floats, what drives them."""
    return service.answers.serve(
        request,
        current,
        lambda: schedule_view(current, simulation),
        is_settled=simulation is not None,
    )


@router.get("/schedule/outline", summary="The schedule in short", response_model=ScheduleOutline)
def show_outline(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Return how much is open, what sets the finish, and the chains that are close to it."""
    return service.answers.serve(
        request,
        current,
        lambda: schedule_outline(current, simulation),
        is_settled=simulation is not None,
    )


def _asked(
    one: Annotated[
        str | None, Query(alias="id", max_length=160, description="Only this one")
    ] = None,
    kind: Annotated[Kind | None, Query(description="Only tasks, only legs of send-outs")] = None,
    zone: Annotated[str | None, Query(max_length=80, description="Only of this zone")] = None,
    trade: Annotated[str | None, Query(max_length=80, description="Only of this trade")] = None,
    q: Annotated[
        str,
        Query(max_length=200, description="Only with these words in id, name, zone, trade, state"),
    ] = "",
) -> Asked:
    return Asked(id=one, kind=kind, zone=zone, trade=trade, q=q)


Wanted = Annotated[Asked, Depends(_asked)]
Offset = Annotated[int, Query(ge=0, le=10**6, description="How many to pass over")]


@router.get("/activities", summary="Activities, a page at a time", response_model=ActivityPage)
def show_activities(
    request: Request,
    service: ServiceDep,
    current: Current,
    simulation: CurrentSimulation,
    asked: Wanted,
    sort: Annotated[Order | None, Query(description="Else in the plan's order")] = None,
    descending: Annotated[bool, Query(description="The last one first")] = False,
    limit: Annotated[int, Query(ge=1, le=1000, description="How many at most")] = 100,
    offset: Offset = 0,
) -> Response:
    """Return a page of what the schedule has, narrowed and sorted as a whole."""
    return service.answers.serve(
        request,
        current,
        lambda: activity_page(
            current,
            simulation,
            asked,
            order=sort,
            descending=descending,
            limit=limit,
            offset=offset,
        ),
        is_settled=simulation is not None,
    )


@router.get("/activities/names", summary="What activities are called", response_model=NamedWorkPage)
def show_names(
    request: Request,
    service: ServiceDep,
    current: Current,
    asked: Wanted,
    limit: Annotated[int, Query(ge=1, le=5000, description="How many at most")] = 100,
    offset: Offset = 0,
) -> Response:
    """Return ids and names to choose from, in the plan's order."""
    return service.answers.serve(
        request, current, lambda: named_work(current, asked, limit=limit, offset=offset)
    )


@router.get("/airframe", summary="How far each zone has come", response_model=Airframe)
def show_airframe(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return the airframe zone by zone, with what is away from each."""
    return service.answers.serve(request, current, lambda: airframe(current))


@router.get("/health", summary="How sound the plan is", response_model=HealthView)
def show_health(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return the checks of plan health, the worst first, with limits, and whom each names."""
    return service.answers.serve(request, current, lambda: health_view(current))


@router.get("/today", summary="The daily sheet", response_model=Today)
def show_today(
    request: Request,
    service: ServiceDep,
    current: Current,
    simulation: CurrentSimulation,
    trade: Annotated[str | None, Query(max_length=80, description="Only this trade")] = None,
    zone: Annotated[str | None, Query(max_length=80, description="Only this zone")] = None,
) -> Response:
    """Return what can be worked on, what is held, what comes and goes, whom to ask."""
    return service.answers.serve(
        request,
        current,
        lambda: today(current, trade, zone, simulation),
        is_settled=simulation is not None,
    )


@router.get("/away", summary="The board of what is away", response_model=Away)
def show_away(
    request: Request, service: ServiceDep, current: Current, simulation: CurrentSimulation
) -> Response:
    """Return send-outs and vendors with grace, need-by dates and whom to chase."""
    return service.answers.serve(
        request, current, lambda: away(current, simulation), is_settled=simulation is not None
    )


@router.get("/crew-load", summary="What is asked of the crew", response_model=CrewLoadShown)
def show_crew_load(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return the load of each trade and place by week, who waits for whom, and what it costs."""
    return service.answers.serve(request, current, lambda: crew_load_shown(crew_load(current)))


@router.get("/crew-week", summary="The crew's week", response_model=CrewWeek)
def show_crew_week(
    request: Request,
    service: ServiceDep,
    current: Current,
    monday: Annotated[
        date | None,
        Query(
            ge=date(FIRST_YEAR, 1, 1),
            le=date(LAST_YEAR, 12, 31),
            description="The Monday, or any date of the week; without it the as-of date's",
        ),
    ] = None,
) -> Response:
    """Return who does what on which date, what finds nobody free, and the usual cautions."""
    return service.answers.serve(request, current, lambda: crew_week(current, monday))


@router.get("/forecast", summary="When, why, and what next", response_model=ForecastView)
def show_forecast(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return the owner's page: the finish, the chain that sets it, its history, the money."""

    def build() -> ForecastView:
        with service.store.reading() as look:
            log = look.forecasts(current.project_id)
            spreads = look.spreads(current.project_id)
        return forecast_view(current, log, spreads)

    edition = service.last_spread_number(current)
    return service.answers.serve(request, current, build, edition=edition)


@router.get("/moved", summary="What moved since, and why", response_model=MovedAnswer)
def show_moved(
    request: Request,
    service: ServiceDep,
    current: Current,
    simulation: CurrentSimulation,
    since: Annotated[
        str,
        Query(
            max_length=20,
            description="A date, such as 2026-09-01: the plan as it stood then. Or a plan version",
        ),
    ],
) -> Response:
    """
    Return what each cause moved of finish and cost, with the changes behind it, or how far it is.

    The days and amounts of the causes add up to the whole; no order of them is preferred.
    Where it was logged how sure the earlier plan was, `likely` tells how the likely date moved.
    Before the first version of the plan, that one is meant. While `state` is `running`, ask
    again in a moment.
    """
    version = version_since(service.store, current.project_id, current.plan_version, since)
    found = service.moved_sinces.since(current, version)
    if found.result is None:
        return json_response(standing_document(current, found, None))
    with service.store.reading() as look:
        spreads = look.spreads(current.project_id)
    likely = None if simulation is None else simulation.finish_spread.p50
    result = with_likely(found.result, spreads, version, likely)
    return service.answers.serve(
        request,
        current,
        lambda: standing_document(current, found, result),
        is_settled=simulation is not None,
        edition=service.last_spread_number(current),
    )
