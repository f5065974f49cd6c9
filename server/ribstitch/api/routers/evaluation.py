"""The evaluation and the originality ledger, computed from the findings once for each change."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.deps import Current, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.services.views.evaluation import Evaluation, evaluation
from ribstitch.services.views.originality import Originality, originality

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Evaluation"], responses=refusals(INVALID, NOT_FOUND)
)


@router.get("/evaluation", summary="What was found, zone by zone", response_model=Evaluation)
def show_evaluation(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return every finding with what came of it, the zones, and what there is to choose from."""
    return service.answers.serve(request, current, lambda: evaluation(current))


@router.get("/originality", summary="The originality ledger", response_model=Originality)
def show_originality(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return, zone by zone, what is kept, conserved, reproduced and removed, and what is open."""
    return service.answers.serve(request, current, lambda: originality(current))
