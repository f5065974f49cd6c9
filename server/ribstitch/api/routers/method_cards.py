"""The shop's method cards, with better hours from its own work; they are edited as resources."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.deps import Current, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.services.views.method_cards import MethodCards, method_cards

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Evaluation"], responses=refusals(INVALID, NOT_FOUND)
)


@router.get(
    "/method-cards", summary="The method cards and what their work took", response_model=MethodCards
)
def show_method_cards(request: Request, service: ServiceDep, current: Current) -> Response:
    """Return every card with who uses it, and hours proposed from the shop's finished tasks."""
    return service.answers.serve(request, current, lambda: method_cards(current))
