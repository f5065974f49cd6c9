"""Commands that serve: demo, serve."""

from __future__ import annotations

import errno
import socket
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from ribstitch.cli.database import opened, settings_for
from ribstitch.cli.quiet_collection import collected_when_quiet
from ribstitch.cli.refusal import RefusedError
from ribstitch.clock import Clock
from ribstitch.settings import Settings, SettingsError, check_reach
from ribstitch.store import folder_beside

if TYPE_CHECKING:
    from collections.abc import Callable

    import uvicorn
    from fastapi import FastAPI

    from ribstitch.api import Homes

_TRIED_PORTS = 100
_SECONDS_TO_FINISH = 2
"""How long open requests may take after the service was asked to stop. [s]"""
_SECONDS_UNUSED = 75
"""How long a connection stays open while nothing is asked: longer than programs keep one for
themselves, who would else lose what they send at the moment when it is closed. [s]"""
_LONGEST_HEAD = 65_536
"""How much of an address with its headers is waited for. [bytes]"""


def demo(*, folder: Path | None, host: str, port: int) -> None:
    """
    Serve the invented restoration out of a folder, filling it first if it is new.

    Raises
    ------
    RefusedError
        If the folder cannot be used, or no port is free.
    """
    kept = folder or Path(tempfile.mkdtemp(prefix="ribstitch-demo-"))
    try:
        kept.mkdir(parents=True, exist_ok=True)
    except OSError as failed:
        raise RefusedError(f"--folder {kept}: cannot be used ({failed.strerror})") from failed
    database = f"sqlite:///{kept.resolve() / 'ribstitch.db'}"
    settings = settings_for(database, files=folder_beside(database), host=host, port=port)
    try:
        check_reach(settings)
    except SettingsError as refused:
        raise RefusedError(str(refused)) from refused
    listening = _listen(settings, tries=_TRIED_PORTS)
    _load_demo(settings)
    address = _address(settings.host, listening)
    run_server(
        settings,
        [listening],
        lambda: typer.echo(
            f"Ribstitch demo is ready at {address} (kept in {kept}; stop it with Ctrl+C)"
        ),
    )


def serve(
    *, database: str | None, host: str | None, port: int | None, workers: int | None = None
) -> None:
    """
    Serve the projects of a database, bringing it up to date first.

    While nobody has an account, it prints a link that makes the first.

    Raises
    ------
    RefusedError
        If a setting is refused, the database cannot be reached, or the port is taken.
    """
    from ribstitch.cli.accounts import offer_set_up

    settings = settings_for(database, host=host, port=port, workers=workers)
    if settings.workers > 1 and settings.database_url.startswith("sqlite"):
        raise RefusedError(
            f"--workers {settings.workers}: one process serves SQLite; several need PostgreSQL"
        )
    listening = _listen(settings, tries=1)
    address = _address(settings.host, listening)
    offer = offer_set_up(settings, address)

    def ready() -> None:
        typer.echo(f"Ribstitch is ready at {settings.public_url or address}")
        if offer:
            typer.echo(offer)

    if settings.workers > 1:
        from ribstitch.cli.workers import serve_by_many

        serve_by_many(settings, listening, ready)
    else:
        run_server(settings, [listening], ready)


def _listen(settings: Settings, *, tries: int) -> socket.socket:
    """Take the wanted port, or one of those after it."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    for port in range(settings.port, min(settings.port + tries, 65536)):
        # The protocol must be named: asyncio sends small answers at once only on such a one.
        listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((settings.host.strip("[]"), port))
        except OSError as failed:
            listening.close()
            if failed.errno != errno.EADDRINUSE:
                raise RefusedError(
                    f"{settings.host}:{port} cannot be served on ({failed.strerror})"
                ) from failed
        else:
            return listening
    raise RefusedError(
        f"--port {settings.port}: is in use by another program; give another port, or 0 for any"
    )


def _address(host: str, listening: socket.socket) -> str:
    """Return the address for a browser."""
    port = listening.getsockname()[1]
    shown = "localhost" if host in {"0.0.0.0", "::"} else host  # noqa: S104 - only compared
    return f"http://[{shown}]:{port}" if ":" in shown else f"http://{shown}:{port}"


def _load_demo(settings: Settings) -> None:
    """Put the demo project into its database, unless it is there already."""
    from ribstitch.services.load_demo import load_demo
    from ribstitch.store import FileStore, Person

    with opened(settings) as store:
        with store.reading() as look:
            there = bool(look.projects())
        if not there:
            files = FileStore(settings.files_folder)
            load_demo(store, files, Person("Shop lead", "lead"), Clock().now_utc())


def run_server(
    settings: Settings,
    sockets: list[socket.socket],
    ready: Callable[[], None],
    homes: Homes | None = None,
) -> None:
    """
    Serve until asked to stop; say when the first request can come.

    Parameters
    ----------
    settings, sockets
        What is served, and where.
    ready
        Called once.
    homes
        The processes that serve the same; None if this is the only one.
    """
    import uvicorn

    from ribstitch.api import create_app, set_up_logging

    set_up_logging(settings.log_level, settings.log_format)
    app = create_app(settings, homes=homes)

    class Server(uvicorn.Server):
        """Says when it is ready; lets the pages that follow the plan go before it stops."""

        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            ready()

        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            app.state.service.live.end()
            await super().shutdown(sockets)

    with collected_when_quiet():
        Server(listening_as(settings, app)).run(sockets=sockets)


def listening_as(settings: Settings, app: FastAPI) -> uvicorn.Config:
    """Return how an application is listened for, with the limits of that."""
    import uvicorn

    return uvicorn.Config(
        app,
        http="h11",  # The other one that could be installed beside it limits no headers.
        ws="none",
        log_config=None,
        log_level=settings.log_level,
        access_log=False,
        server_header=False,
        forwarded_allow_ips=settings.proxies,
        h11_max_incomplete_event_size=_LONGEST_HEAD,
        timeout_keep_alive=_SECONDS_UNUSED,
        timeout_graceful_shutdown=_SECONDS_TO_FINISH,
    )
