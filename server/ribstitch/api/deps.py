"""What endpoints are given: the service's parts, and the current plan of a project."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path as FilePath
from typing import Annotated, cast

from fastapi import Depends, Path, Query
from starlette.requests import Request

from ribstitch.api.answers import Answers
from ribstitch.api.conditional import expected_version, version_if_given
from ribstitch.api.identity import Reader
from ribstitch.api.live import Live
from ribstitch.api.metrics import Metrics
from ribstitch.clock import Clock
from ribstitch.planning.uncertainty import Simulation, simulate
from ribstitch.services.forecast import CurrentPlan, Forecasts, Watchers
from ribstitch.services.levellings import Levellings
from ribstitch.services.log_forecast import log_forecast, log_the_day
from ribstitch.services.moved_sinces import MovedSinces
from ribstitch.services.nightly_backups import NightlyBackups
from ribstitch.services.one_mores import OneMores
from ribstitch.services.pulling_in import PullingIns
from ribstitch.services.readiness import Need, readiness
from ribstitch.services.simulate_cases import CaseSimulations
from ribstitch.services.simulations import Simulations
from ribstitch.store import LAST_PROJECT, FileStore, Store


@dataclass
class Service:
    """Everything an endpoint works with."""

    store: Store
    clock: Clock
    runs: int
    seed: int
    files: FileStore
    largest_file: int
    """Most bytes of a photo or a document."""
    backup_folder: FilePath | None = None
    metrics_for: str = "local"
    """Who may read the metrics; see the settings."""
    metrics: Metrics = field(default_factory=Metrics)
    answers: Answers = field(default_factory=Answers)
    pulling_in: PullingIns = field(default_factory=PullingIns)
    backups: NightlyBackups | None = field(init=False)
    simulations: Simulations = field(init=False)
    case_simulations: CaseSimulations = field(init=False)
    levellings: Levellings = field(init=False)
    one_mores: OneMores = field(init=False)
    moved_sinces: MovedSinces = field(init=False)
    forecasts: Forecasts = field(init=False)
    live: Live = field(init=False)

    def __post_init__(self) -> None:
        timed = self.metrics.timed(simulate)
        self.simulations = Simulations(self.runs, self.seed, self._log, simulate=timed)
        folder = self.backup_folder
        self.backups = None if folder is None else NightlyBackups(self.store, self.files, folder)
        self.case_simulations = CaseSimulations(self.simulations)
        self.levellings = Levellings(self.seed)
        self.one_mores = OneMores(self.levellings, self.seed)
        self.moved_sinces = MovedSinces(self.store)
        watchers = Watchers(
            self.simulations,
            self.levellings.work,
            self.one_mores.work,
            self.pulling_in.work,
            self.moved_sinces.work,
        )
        self.forecasts = Forecasts(self.store, watcher=watchers)
        self.live = Live(self.store)

    def now(self) -> datetime:
        """Return this instant in UTC."""
        return self.clock.now_utc()

    def needs(self) -> list[Need]:
        """Look at everything that the service needs."""
        return readiness(self.store, self.files.folder, self.backups, self.now())

    def make_backup(self) -> None:
        """Make today's backup, if backups are made and it was not."""
        if self.backups is not None:
            self.backups.make_if_due(self.now())

    def log_the_day(self) -> None:
        """Log today's first forecast of every project that has none yet."""
        log_the_day(self.forecasts, self.simulations, self.now())

    def keep_house(self) -> None:
        """Do what is done every hour: log the day, forget what was answered long ago."""
        self.log_the_day()
        self.store.forget_requests(self.now())

    def changed_at(self, current: CurrentPlan) -> datetime:
        """Return when a plan was last changed, in UTC: every change logs its forecast."""
        with self.store.reading() as look:
            return look.last_changed_at(current.project_id)

    def last_spread_number(self, current: CurrentPlan) -> int:
        """Return a number that grows whenever the forecast log learns how sure one was."""
        with self.store.reading() as look:
            return look.last_spread_number(current.project_id)

    def close(self) -> None:
        """Stop what is computed, and close the connections to the database."""
        self.levellings.close()
        self.one_mores.close()
        self.pulling_in.close()
        self.moved_sinces.close()
        self.store.close()

    def _log(self, current: CurrentPlan, simulation: Simulation) -> None:
        """Log how sure a forecast is, if that is news."""
        log_forecast(self.store, current, simulation, self.now())


async def _service(request: Request) -> Service:
    """Return the application's service."""
    return cast("Service", request.app.state.service)


ServiceDep = Annotated[Service, Depends(_service)]
ProjectId = Annotated[int, Path(ge=1, le=LAST_PROJECT, description="Number of the project")]
Key = Annotated[str, Path(max_length=200, description="Its `key`, as in the list")]


def _current(_person: Reader, project_id: ProjectId, service: ServiceDep) -> CurrentPlan:
    """Return the project's plan as it is now, calculated once for each change."""
    return service.forecasts.current(project_id)


Current = Annotated[CurrentPlan, Depends(_current)]


def _simulation(current: Current, service: ServiceDep) -> Simulation | None:
    """Return the simulation of the current plan; None while it runs, or cannot be had."""
    return service.simulations.current(current).result


CurrentSimulation = Annotated[Simulation | None, Depends(_simulation)]
Reason = Annotated[
    str, Query(max_length=500, description="Why: kept with the change in the change log")
]
Expected = Annotated[int, Depends(expected_version)]
ExpectedIfGiven = Annotated[int | None, Depends(version_if_given)]
