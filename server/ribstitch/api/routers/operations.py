"""What whoever keeps the service running asks: is it ready, and what do its numbers say?"""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.deps import ServiceDep
from ribstitch.api.device import address_of
from ribstitch.api.identity import Anyone
from ribstitch.api.metrics import MEDIA_TYPE
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND, ProblemError
from ribstitch.api.schemas.operations import Readiness
from ribstitch.settings import is_loopback

router = APIRouter(tags=["Service"], responses=refusals(INVALID))

_OF_A_PROXY = ("forwarded", "x-forwarded-for", "x-real-ip", "via")


@router.get(
    "/ready",
    summary="Can it do its work?",
    response_model=Readiness,
    responses={503: {"model": Readiness, "description": "Something vital is not there."}},
)
def ready(service: ServiceDep, _rule: Anyone) -> Response:
    """
    Look at the database, its tables, the room on the disk, and the last backup.

    Without what is `vital` the answer is 503; an old backup is told and nothing more.
    """
    needs = service.needs()
    is_ready = all(one.is_met for one in needs if one.is_vital)
    return json_response(
        {
            "status": "ready" if is_ready else "not-ready",
            "needs": [
                {"name": one.name, "met": one.is_met, "vital": one.is_vital, "detail": one.detail}
                for one in needs
            ],
        },
        status=200 if is_ready else 503,
    )


@router.get(
    "/metrics",
    summary="Numbers about the service",
    response_class=Response,
    responses={200: {"content": {MEDIA_TYPE: {}}}, **refusals(NOT_FOUND)},
)
def metrics(request: Request, service: ServiceDep, _rule: Anyone) -> Response:
    """Return counts and times, to be read by Prometheus; see `RIBSTITCH_METRICS` for whom."""
    allowed = service.metrics_for
    if allowed == "off" or (allowed == "local" and not _is_local(request)):
        raise ProblemError(NOT_FOUND, f"There is nothing at {request.url.path} for you.")
    headers = {"Cache-Control": "no-store"}
    return Response(service.metrics.text(), media_type=MEDIA_TYPE, headers=headers)


def _is_local(request: Request) -> bool:
    """Return whether a request comes from this machine itself, and not through a proxy on it."""
    is_through_a_proxy = any(name in request.headers for name in _OF_A_PROXY)
    return is_loopback(address_of(request)) and not is_through_a_proxy
