"""How sure the dates are, and why they are not: computed beside the requests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.deps import Current, Service, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.api.schemas.simulation import (
    CausesAnswer,
    SimulationAnswer,
    SwingsAnswer,
    standing_document,
)
from ribstitch.services.background import Standing
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.causes_view import cause_lines
from ribstitch.services.views.swings_view import swings
from ribstitch.services.views.uncertainty import uncertainty

_Result = TypeVar("_Result")

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Simulation"], responses=refusals(INVALID, NOT_FOUND)
)


@router.get("/simulation", summary="How sure the dates are", response_model=SimulationAnswer)
def show_simulation(request: Request, service: ServiceDep, current: Current) -> Response:
    """
    Return what the simulation of the plan found, or how far it is.

    It begins by itself when the plan has changed. While `state` is `running`, ask again in a
    moment.
    """
    return _simulation(request, service, current)


@router.post("/simulation", summary="Simulate again", response_model=SimulationAnswer)
def restart_simulation(request: Request, service: ServiceDep, current: Current) -> Response:
    """Begin again where the simulation was cancelled or has failed."""
    service.simulations.restart(current)
    return _simulation(request, service, current)


@router.delete("/simulation", summary="Cancel the simulation", response_model=SimulationAnswer)
def cancel_simulation(request: Request, service: ServiceDep, current: Current) -> Response:
    """Stop the simulation if it is not ready; the next change of the plan begins another."""
    service.simulations.cancel(current)
    return _simulation(request, service, current)


@router.get("/causes", summary="What makes the finish uncertain", response_model=CausesAnswer)
def show_causes(request: Request, service: ServiceDep, current: Current) -> Response:
    """
    Return what the finish would gain if one thing went as planned, or how far that is.

    It begins once somebody asks and the plan is simulated. While `state` is `running`, ask
    again in a moment.
    """
    return _causes(request, service, current)


@router.post("/causes", summary="Search for causes again", response_model=CausesAnswer)
def restart_causes(request: Request, service: ServiceDep, current: Current) -> Response:
    """Begin again where the search was cancelled or has failed."""
    service.simulations.restart_causes(current)
    return _causes(request, service, current)


@router.delete("/causes", summary="Cancel the search for causes", response_model=CausesAnswer)
def cancel_causes(request: Request, service: ServiceDep, current: Current) -> Response:
    """Stop the search if it is not ready."""
    service.simulations.cancel_causes(current)
    return _causes(request, service, current)


@router.get("/swings", summary="What matters most for the finish", response_model=SwingsAnswer)
def show_swings(request: Request, service: ServiceDep, current: Current) -> Response:
    """
    Return the finish where each source of uncertainty goes best and worst.

    It is read off the courses of the simulation: a tenth of them at each end, and of a risk
    those without it and those with it. Each line has its worse end as a what-if case.
    """
    return _standing(request, service, current, service.simulations.current(current), swings)


def _simulation(request: Request, service: Service, current: CurrentPlan) -> Response:
    """Answer how the simulation stands."""
    return _standing(request, service, current, service.simulations.current(current), uncertainty)


def _causes(request: Request, service: Service, current: CurrentPlan) -> Response:
    """Answer how the search for causes stands."""
    return _standing(request, service, current, service.simulations.causes(current), cause_lines)


def _standing(
    request: Request,
    service: Service,
    current: CurrentPlan,
    found: Standing[_Result],
    shown: Callable[[CurrentPlan, _Result], Any],
) -> Response:
    """Answer how a computation stands, with what it found; only what is ready is kept."""
    result = found.result
    if result is None:
        return json_response(standing_document(current, found, None))
    return service.answers.serve(
        request, current, lambda: standing_document(current, found, shown(current, result))
    )
