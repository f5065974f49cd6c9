"""What endpoints are given: the service's parts, and the current plan of a project."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, cast

from fastapi import Depends, Path, Query
from starlette.requests import Request

from ribstitch.api.answers import Answers
from ribstitch.api.conditional import expected_version, version_if_given
from ribstitch.clock import Clock
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import LAST_PROJECT, Store


@dataclass
class Service:
    """Everything an endpoint works with."""

    store: Store
    clock: Clock
    answers: Answers = field(default_factory=Answers)
    forecasts: Forecasts = field(init=False)

    def __post_init__(self) -> None:
        self.forecasts = Forecasts(self.store)

    def now(self) -> datetime:
        """Return this instant in UTC."""
        return self.clock.now_utc()

    def check_database(self) -> None:
        """Ask the database something; raises what goes wrong."""
        with self.store.reading() as look:
            look.projects()

    def close(self) -> None:
        """Close the connections to the database."""
        self.store.close()


async def _service(request: Request) -> Service:
    """Return the application's service."""
    return cast("Service", request.app.state.service)


ServiceDep = Annotated[Service, Depends(_service)]
ProjectId = Annotated[int, Path(ge=1, le=LAST_PROJECT, description="Number of the project")]


def _current(project_id: ProjectId, service: ServiceDep) -> CurrentPlan:
    """Return the project's plan as it is now, calculated once for each change."""
    return service.forecasts.current(project_id)


Current = Annotated[CurrentPlan, Depends(_current)]
Reason = Annotated[
    str, Query(max_length=500, description="Why: kept with the change in the change log")
]
Expected = Annotated[int, Depends(expected_version)]
ExpectedIfGiven = Annotated[int | None, Depends(version_if_given)]
