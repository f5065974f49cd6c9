"""The commands that serve, in their own processes."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2
import pytest
from fastapi import FastAPI
from uvicorn.protocols.http.h11_impl import H11Protocol

from ribstitch.cli.serving import listening_as
from ribstitch.clock import Clock
from ribstitch.settings import Settings

COMMAND = (sys.executable, "-m", "ribstitch.cli")


@contextmanager
def started(*arguments: str | Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Run a command that serves; give the process and the address that it prints."""
    process = subprocess.Popen([*COMMAND, *arguments], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        found = re.search(r"http://\S+", line)
        assert found, line
        yield process, found[0]
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def refused(*arguments: str | Path) -> str:
    """Run a command that is refused; return its sentence."""
    done = subprocess.run(
        [*COMMAND, *arguments], check=False, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    return done.stderr


@pytest.fixture
def busy_port() -> Iterator[int]:
    """A port that another program listens on."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield int(other.getsockname()[1])


def test_demo_prints_its_address_when_it_is_ready(tmp_path: Path, busy_port: int) -> None:
    with started("demo", "--folder", tmp_path / "demo", "--port", str(busy_port)) as (_, address):
        assert address != f"http://127.0.0.1:{busy_port}"
        assert httpx2.get(f"{address}/api/v1/health").json()["status"] == "ok"
        project = httpx2.get(f"{address}/api/v1/projects").json()["projects"][0]
        assert "Garganey" in project["name"]


def test_demo_keeps_what_was_changed_in_its_folder(tmp_path: Path) -> None:
    for _ in range(2):
        with started("demo", "--folder", tmp_path, "--port", "0") as (_, address):
            projects = httpx2.get(f"{address}/api/v1/projects").json()["projects"]
            assert [one["id"] for one in projects] == [1]


def test_service_stops_soon_when_asked_to(tmp_path: Path) -> None:
    with started("demo", "--folder", tmp_path, "--port", "0") as (process, address):
        with httpx2.Client() as client:
            client.get(f"{address}/today")
            process.send_signal(signal.SIGTERM)
            begun = time.monotonic()
            process.wait(10)
        assert time.monotonic() - begun < 5
        assert process.returncode in {0, -signal.SIGTERM}


def test_connections_stay_open_between_questions_and_headers_have_an_end(tmp_path: Path) -> None:
    """Programs keep an unused connection for a minute at most (common practice, no source)."""
    settings = Settings(database_url=f"sqlite:///{tmp_path / 'x.db'}")
    config = listening_as(settings, FastAPI())
    config.load()
    assert config.timeout_keep_alive > 60
    assert config.http_protocol_class is H11Protocol
    assert config.h11_max_incomplete_event_size == 65_536
    assert config.ws_protocol_class is None


def test_serve_brings_an_empty_database_up_to_date(database_url: str) -> None:
    with started("serve", "--database", database_url, "--port", "0") as (_, address):
        assert httpx2.get(f"{address}/api/v1/projects").json() == {"projects": []}


def test_serve_refuses_a_port_that_is_taken(tmp_path: Path, busy_port: int) -> None:
    database = f"sqlite:///{tmp_path / 'x.db'}"
    sentence = refused("serve", "--database", database, "--port", str(busy_port))
    assert str(busy_port) in sentence
    assert "in use" in sentence


def test_demo_is_shown_to_no_other_machine() -> None:
    assert "nobody signs in to the demo" in refused("demo", "--host", "192.0.2.1")


def test_serve_on_other_addresses_lets_nobody_in_but_by_the_link_that_it_prints(
    tmp_path: Path,
) -> None:
    database = f"sqlite:///{tmp_path / 'x.db'}"
    arguments = ("serve", "--database", database, "--host", "0.0.0.0", "--port", "0")  # noqa: S104
    with started(*arguments) as (process, address):
        assert process.stdout is not None
        link = process.stdout.readline()
        found = re.search(r"open (http://localhost:\d+)/join#(\S+) \(once, until ", link)
        assert found, link
        assert found[1] == address
        assert httpx2.get(f"{address}/api/v1/projects").status_code == 401
        assert httpx2.get(f"{address}/api/v1/health").status_code == 200
        told = httpx2.get(f"{address}/api/v1/session").json()
        assert told["entry"] == "sign-in"


def test_links_are_printed_for_the_first_account_and_for_who_has_lost_the_password(
    tmp_path: Path,
) -> None:
    from ribstitch.store import Store, make_engine
    from tests.support.accounts import KEEPER, OTHER, Hangar

    database = f"sqlite:///{tmp_path / 'x.db'}"
    set_up = _printed("set-up-link", "--database", database)
    hangar = Hangar(Store(make_engine(database)))
    hangar.now = Clock().now_utc()
    assert hangar.known(hangar.use(set_up, "Keeper", KEEPER)).is_keeper
    assert "already" in refused("set-up-link", "--database", database)
    assert "no open account" in refused("reset-link", "x@hangar.example", "--database", database)
    reset = _printed("reset-link", KEEPER, "--database", database)
    assert hangar.is_open(hangar.use(reset, password=OTHER).token)
    hangar.store.close()


def _printed(*arguments: str) -> str:
    """Run a command that prints a link; return its token."""
    done = subprocess.run(
        [*COMMAND, *arguments], check=True, capture_output=True, text=True, timeout=60
    )
    found = re.fullmatch(r"http://127\.0\.0\.1:8765/join#(\S+) \(once, until .*\)\n", done.stdout)
    assert found, done.stdout
    return found[1]


def test_serve_refuses_a_database_it_cannot_reach(tmp_path: Path) -> None:
    missing = f"sqlite:///{tmp_path / 'no' / 'such' / 'x.db'}"
    assert "cannot be used" in refused("serve", "--database", missing, "--port", "0")
    assert "mysql" in refused("serve", "--database", "mysql://db/x")


def test_demo_refuses_a_folder_it_cannot_use(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.touch()
    assert str(file) in refused("demo", "--folder", file)


def test_help_is_quick() -> None:
    """It imports no framework; the limit leaves room for a slow, busy machine."""
    code = "import sys, ribstitch.cli.main; print([m for m in sys.modules if m in BAD])"
    bad = "BAD = {'fastapi', 'sqlalchemy', 'pandas', 'networkx', 'numpy', 'uvicorn'}; "
    done = subprocess.run(
        [sys.executable, "-c", bad + code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        check=True,
    )
    assert done.stdout.strip() == "[]"
