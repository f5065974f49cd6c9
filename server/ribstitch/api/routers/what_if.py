"""Late curves and cases: computed beside the plan, stored only once a case is taken."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.deps import Current, ProjectId, Reason, ServiceDep
from ribstitch.api.identity import Editor
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import (
    CONFLICT,
    FORBIDDEN,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    STALE,
    UNSUPPORTED,
    ProblemError,
)
from ribstitch.api.recorded import recorded
from ribstitch.api.schemas.bodies import CaseAdopted, CaseAsked, CasesAsked, ChangeAsked
from ribstitch.api.schemas.pulling_in import CaseTaken
from ribstitch.planning import whatif
from ribstitch.services.adopt_case import adopt_case
from ribstitch.services.compare_cases import AskedCase, Comparison, compare
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.late_curves import Lateness, curve_of_send_out, curve_of_vendor

router = APIRouter(
    prefix="/projects/{project_id}", tags=["What-if"], responses=refusals(INVALID, NOT_FOUND)
)

Vendor = Annotated[
    str | None, Query(max_length=80, description="All open items of this vendor late together")
]
SendOut = Annotated[str | None, Query(max_length=80, description="This one item late")]
LateDays = Annotated[
    int, Query(ge=0, le=730, description="The largest delay, in days of the late leg's calendar")
]

Cases = Annotated[CasesAsked, Depends(body_of(CasesAsked))]

CASES_EXAMPLE = {
    "cases": [
        {"name": "Engine late", "changes": [{"kind": "vendor_late", "vendor": "V01", "days": 30}]}
    ]
}

ADOPT_EXAMPLE = {
    "plan_version": 12,
    "case": {
        "name": "By May",
        "changes": [{"kind": "expedite_taken", "expedite": "E06", "days": 3}],
    },
}


def lateness(current: CurrentPlan, vendor: str | None, send_out: str | None, days: int) -> Lateness:
    """
    Return the late curve of a vendor or of a send-out.

    Raises
    ------
    ProblemError
        If neither or both are named.
    """
    if vendor is not None and send_out is None:
        return curve_of_vendor(current, vendor, days)
    if send_out is not None and vendor is None:
        return curve_of_send_out(current, send_out, days)
    raise ProblemError(INVALID, "vendor: name either a vendor or a send_out.", field="vendor")


@router.get("/late-curve", summary="The finish against days late", response_model=Lateness)
def late_curve(
    request: Request,
    service: ServiceDep,
    current: Current,
    vendor: Vendor = None,
    send_out: SendOut = None,
    days: LateDays = 120,
) -> Response:
    """Return the project finish for 0 to `days` days late, and the grace before it moves."""
    return service.answers.serve(
        request, current, lambda: lateness(current, vendor, send_out, days)
    )


@router.post(
    "/cases",
    summary="Compare cases with the plan",
    response_model=Comparison,
    responses=refusals(MALFORMED, UNSUPPORTED),
    openapi_extra=takes(CasesAsked, a_late_vendor=CASES_EXAMPLE),
)
def cases(asked: Cases, service: ServiceDep, current: Current) -> Response:
    """
    Apply each case's changes in order and hold finish, path and milestones side by side.

    Plan and cases are simulated on the same draws: where a case moves the finish, it is the
    case that does. Large plans get fewer `runs` than a simulation of their own.
    """
    return json_response(compare(current, cases_of(asked), service.case_simulations))


@router.post(
    "/cases/adopt",
    summary="Take a case into the plan",
    response_model=CaseTaken,
    responses=refusals(MALFORMED, FORBIDDEN, CONFLICT, STALE, UNSUPPORTED),
    openapi_extra=takes(CaseAdopted, saturdays_on_the_wing=ADOPT_EXAMPLE),
)
def adopt(
    project_id: ProjectId,
    asked: Annotated[CaseAdopted, Depends(body_of(CaseAdopted))],
    service: ServiceDep,
    person: Editor,
    reason: Reason = "",
) -> Response:
    """
    Change the plan as the case says, in one step that undo takes back.

    That something comes late is a guess: such a case is refused. `kind` and `key` name one
    of the things that were changed; taking that change back takes back all.
    """
    if person.role != "planner":
        raise ProblemError(FORBIDDEN, "The planner takes cases into the plan.")
    done = adopt_case(
        service.forecasts,
        project_id,
        case_of(asked.case),
        asked.plan_version,
        person,
        service.now(),
        reason,
    )
    named = {"kind": done.kind, "key": done.recorded.key, "changed": done.changed}
    return recorded(done.recorded, named)


def cases_of(asked: CasesAsked) -> list[AskedCase]:
    """Return cases as the services know them."""
    return list(map(case_of, asked.cases))


def case_of(asked: CaseAsked) -> AskedCase:
    """Return a case as the services know it."""
    return AskedCase(asked.name, tuple(map(change_of, asked.changes)))


def change_of(asked: ChangeAsked) -> whatif.Change:
    """Return a change as the planning core knows it."""
    given = dict(asked)
    kind: str = given.pop("kind")
    change: whatif.Change = _CHANGES[kind](**given)
    return change


_CHANGES: dict[str, type[whatif.Change]] = {
    "vendor_late": whatif.VendorLate,
    "send_out_late": whatif.SendOutLate,
    "vendor_swapped": whatif.VendorSwapped,
    "task_dropped": whatif.TaskDropped,
    "bought_as_exchange": whatif.BoughtAsExchange,
    "extra_days": whatif.ExtraDays,
    "expedite_taken": whatif.ExpediteTaken,
    "task_takes": whatif.TaskTakes,
    "task_not_before": whatif.TaskNotBefore,
    "wait_dropped": whatif.WaitDropped,
    "risk_settled": whatif.RiskSettled,
    "one_more_hand": whatif.OneMoreHand,
    "trade_away": whatif.TradeAway,
    "trade_days": whatif.TradeDays,
    "trade_slower": whatif.TradeSlower,
    "zone_slower": whatif.ZoneSlower,
}
