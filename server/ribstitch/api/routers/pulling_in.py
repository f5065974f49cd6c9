"""What an earlier finish costs: worked out beside the requests."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Current, Service, ServiceDep
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, MALFORMED, NOT_FOUND, UNSUPPORTED, ProblemError
from ribstitch.api.schemas.bodies import PullingInAsked
from ribstitch.api.schemas.pulling_in import PullingInAnswer, asked_document
from ribstitch.planning.checks import FIRST_YEAR, LAST_YEAR
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.pulling_in import Question

router = APIRouter(
    prefix="/projects/{project_id}", tags=["What-if"], responses=refusals(INVALID, NOT_FOUND)
)


@router.get("/pulling-in", summary="What an earlier finish costs", response_model=PullingInAnswer)
def show_pulling_in(service: ServiceDep, current: Current) -> Response:
    """
    Return the answer to the last question, or how far it is.

    While `state` is `running`, ask again in a moment.
    """
    return _pulling_in(service, current)


@router.post(
    "/pulling-in",
    summary="Ask what an earlier finish costs",
    response_model=PullingInAnswer,
    responses=refusals(MALFORMED, UNSUPPORTED),
    openapi_extra=takes(
        PullingInAsked, by_a_date={"by": "2027-11-26"}, for_a_sum={"budget": "2000.00"}
    ),
)
def ask_pulling_in(
    asked: Annotated[PullingInAsked, Depends(body_of(PullingInAsked))],
    service: ServiceDep,
    current: Current,
) -> Response:
    """Begin to look for the cheapest expedites; a question before this one is given up."""
    if asked.by is not None and asked.budget is not None:
        raise ProblemError(INVALID, "budget: name either a date or a sum of money.", field="budget")
    if asked.by is not None and not FIRST_YEAR <= asked.by.year <= LAST_YEAR:
        raise ProblemError(
            INVALID, f"by: {asked.by} is not between {FIRST_YEAR} and {LAST_YEAR}", field="by"
        )
    service.pulling_in.ask(current, Question(asked.by, asked.budget))
    return _pulling_in(service, current)


@router.delete(
    "/pulling-in", summary="Stop looking for an earlier finish", response_model=PullingInAnswer
)
def cancel_pulling_in(service: ServiceDep, current: Current) -> Response:
    """Stop; what is found by then is kept."""
    service.pulling_in.cancel(current)
    return _pulling_in(service, current)


def _pulling_in(service: Service, current: CurrentPlan) -> Response:
    """Answer how the last question stands."""
    return json_response(asked_document(current, service.pulling_in.standing(current)))
