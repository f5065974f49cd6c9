"""The application: its parts put together, nothing more."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import lru_cache

from fastapi import APIRouter, Depends, FastAPI
from starlette.middleware.gzip import GZipMiddleware
from starlette.routing import BaseRoute

from ribstitch import __version__
from ribstitch.api import errors, openapi, static
from ribstitch.api.bodies import refuse_nul
from ribstitch.api.deps import Service
from ribstitch.api.doorkeeper import Doorkeeper
from ribstitch.api.doors import Doors
from ribstitch.api.gauges import gauges_of
from ribstitch.api.head import HeadAsGet
from ribstitch.api.headers import SecurityHeaders
from ribstitch.api.homes import HandOn, Homes
from ribstitch.api.hourly import Hourly
from ribstitch.api.identity import check_rules, guard
from ribstitch.api.once import Once
from ribstitch.api.request_log import RequestLog
from ribstitch.api.routers import ROUTERS
from ribstitch.api.session_cookie import SessionCookie
from ribstitch.assets import web_folder
from ribstitch.clock import Clock
from ribstitch.services.accounts.passwords import Passwords
from ribstitch.settings import Settings
from ribstitch.store import FileStore, Store, make_engine

ROOT = "/api/v1"
_COMPRESSED_FROM = 2_000
"""Answers below this many bytes are not worth compressing."""


def create_app(
    settings: Settings,
    clock: Clock | None = None,
    passwords: Passwords | None = None,
    homes: Homes | None = None,
) -> FastAPI:
    """
    Return the application on a database that is up to date.

    Parameters
    ----------
    settings
        Which database, and how plans are simulated.
    clock
        Says when something was done; the machine's own, if not given.
    passwords
        How passwords are hashed; at the cost that is usual, if not given.
    homes
        The processes that serve the same database; None if this is the only one.
    """
    store = Store(make_engine(settings.database_address))
    files = FileStore(settings.files_folder)
    largest = settings.largest_file_mb * 1_000_000
    service = Service(
        store,
        clock or Clock(),
        settings.runs,
        settings.seed,
        files,
        largest,
        settings.backup_folder,
        settings.metrics,
    )
    service.metrics.show(lambda: gauges_of(service))

    doors = Doors(
        store, service.clock, passwords or Passwords(), settings.host, settings.public_url
    )

    is_first = homes is None or homes.own == 0

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        hourly = [Hourly(service.keep_house), Hourly(service.make_backup)] if is_first else []
        for one in hourly:
            one.start()
        service.live.start()
        yield
        service.live.stop()
        service.simulations.close()
        for one in hourly:
            one.stop()
        service.close()

    for router in ROUTERS:
        check_rules(router)
    app = FastAPI(
        title="Ribstitch",
        version=__version__,
        openapi_url=f"{ROOT}/openapi.json",
        docs_url=None,
        redoc_url=None,
        routes=_routes(),
        lifespan=lifespan,
        redirect_slashes=False,
    )
    app.state.service = service
    app.state.doors = doors
    openapi.install(app)
    errors.install(app)
    app.add_middleware(Once, service=service)
    app.add_middleware(SessionCookie, doors=doors)
    app.add_middleware(GZipMiddleware, minimum_size=_COMPRESSED_FROM, compresslevel=5)
    app.add_middleware(Doorkeeper, doors=doors)
    app.add_middleware(SecurityHeaders, only_https=doors.is_https)
    app.add_middleware(HeadAsGet)
    app.add_middleware(RequestLog, metrics=service.metrics)
    if homes is not None:
        app.add_middleware(HandOn, homes=homes)
    return app


@lru_cache(maxsize=1)
def _routes() -> list[BaseRoute]:
    """
    Put together what can be asked.

    A route finds the service that it works with at the application, so all applications of a
    process share their routes: resolving them takes longer than all else that one is made of.
    They are tried in turn, and a sheet loads more than a hundred files: those come first.
    """
    everything = APIRouter()
    static.install(everything, web_folder())
    for router in ROUTERS:
        asked_first = [Depends(guard), Depends(refuse_nul)]
        everything.include_router(router, prefix=ROOT, dependencies=asked_first)
    return everything.routes
