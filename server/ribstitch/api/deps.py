"""What endpoints are given: the service's parts, the project, its current plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, cast

from fastapi import Depends, Path
from starlette.requests import Request

from ribstitch.api.answers import Answers
from ribstitch.clock import Clock
from ribstitch.settings import Settings
from ribstitch.store import Store


@dataclass
class Service:
    """Everything an endpoint works with."""

    store: Store
    clock: Clock
    settings: Settings
    answers: Answers = field(default_factory=Answers)

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


def _service(request: Request) -> Service:
    """Return the application's service."""
    return cast("Service", request.app.state.service)


ServiceDep = Annotated[Service, Depends(_service)]
ProjectId = Annotated[int, Path(ge=1, le=2**31 - 1, description="Number of the project")]
