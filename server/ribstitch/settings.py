"""What can be set from outside: read once when a command starts, refused in one sentence.

Each setting is an environment variable that begins with ``RIBSTITCH_``, or a line of the file
that ``RIBSTITCH_CONFIG`` names; the table in ``docs/reference/settings.md`` is checked against
this class.
"""

from __future__ import annotations

import os
import tomllib
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import Annotated, Any, Literal
from urllib.parse import urlsplit

from pydantic import AfterValidator, Field, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

from ribstitch.store import folder_beside, with_password

_PREFIX = "RIBSTITCH_"
CONFIG = f"{_PREFIX}CONFIG"
"""Environment variable that names a file of settings."""
_DATABASES = ("sqlite:///", "postgresql://", "postgresql+psycopg://")


class SettingsError(Exception):
    """A setting that is refused; `str()` is one sentence for the person who set it."""


def _known_database(url: str) -> str:
    """Refuse a database that is neither SQLite nor PostgreSQL."""
    if not url.startswith(_DATABASES):
        scheme = url.partition(":")[0]
        raise ValueError(
            f'"{scheme}" is no database that is known: write sqlite:///FILE or '
            "postgresql://USER@HOST/NAME"
        )
    return url


def _known_address(url: str | None) -> str | None:
    """Refuse an address that is more, or less, than scheme and host; an empty one is none."""
    if not url:
        return None
    parts = urlsplit(url)
    is_plain = f"{parts.scheme}://{parts.netloc}" == url.rstrip("/") and "@" not in url
    if parts.scheme not in {"http", "https"} or not parts.hostname or not is_plain:
        raise ValueError("is no address such as https://plan.hangar.example")
    return url.rstrip("/")


def _known_networks(text: str) -> str:
    """Refuse what is no list of addresses and networks."""
    for one in text.split(","):
        try:
            ip_network(one.strip())
        except ValueError:
            raise ValueError(f'"{one.strip()}" is no address or network') from None
    return text


class Settings(BaseSettings):
    """All settings; `load_settings` turns a refusal into one sentence."""

    model_config = SettingsConfigDict(
        env_prefix=_PREFIX, env_ignore_empty=True, frozen=True, extra="forbid"
    )

    database_url: Annotated[str, AfterValidator(_known_database)] = Field(
        default="sqlite:///ribstitch.db", description="Where projects are kept."
    )
    database_password_file: Path | None = Field(
        default=None,
        description="File that holds the password of the database, so that no address holds it.",
    )
    files: Path | None = Field(
        default=None,
        description="Folder of photos and documents; if it is not set, `NAME-files` beside an "
        "SQLite file `NAME.db`, and else `ribstitch-files` where the service is started.",
    )
    largest_file_mb: int = Field(
        default=25, ge=1, le=200, description="Size of the largest file that is taken, in MB."
    )
    host: str = Field(default="127.0.0.1", description="Address to serve on.")
    port: int = Field(default=8765, ge=0, le=65535, description="Port to serve on.")
    public_url: Annotated[str | None, AfterValidator(_known_address)] = Field(
        default=None,
        description="Address under which people reach the service, if a proxy stands before it, "
        "such as `https://plan.hangar.example`; with `https` cookies travel over TLS alone.",
    )
    workers: int = Field(
        default=1,
        ge=1,
        le=32,
        description="How many processes serve; more than one with PostgreSQL alone.",
    )
    proxies: Annotated[str, AfterValidator(_known_networks)] = Field(
        default="127.0.0.1",
        description="Addresses or networks, with commas between them, of proxies that are believed "
        "when they say for whom they ask; else all who sign in through one count as one.",
    )
    runs: int = Field(
        default=10_000,
        ge=100,
        le=100_000,
        description="How many courses of a plan are simulated.",
    )
    seed: int = Field(
        default=1,
        ge=0,
        le=2**31 - 1,
        description="Where the simulation's random numbers begin; the same seed, the same dates.",
    )

    backup_folder: Path | None = Field(
        default=None,
        description="Folder for a backup each night: the last 14 and one of each of the last 12 "
        "months are kept; if it is not set, none is made.",
    )
    log_level: Literal["debug", "info", "warning", "error"] = Field(
        default="warning",
        description="What is logged to standard error: `info` also says each request; else "
        "`debug`, `warning`, `error`.",
    )
    log_format: Literal["plain", "json"] = Field(
        default="plain", description="How: `plain` lines, or one `json` object a line."
    )
    metrics: Literal["off", "local", "open"] = Field(
        default="local",
        description="Who may read `/api/v1/metrics`: nobody (`off`), this machine without a proxy "
        "(`local`), whoever reaches the service (`open`).",
    )

    @property
    def database_address(self) -> str:
        """
        Where projects are kept, with the password that a file holds.

        Raises
        ------
        OSError
            If the file cannot be read.
        """
        if self.database_password_file is None:
            return self.database_url
        password = self.database_password_file.read_text(encoding="utf-8").rstrip("\r\n")
        return with_password(self.database_url, password)

    @property
    def files_folder(self) -> Path:
        """The folder of photos and documents."""
        return self.files or folder_beside(self.database_url)


def load_settings(**given: object) -> Settings:
    """
    Read the settings: what is `given` (and not None), then the environment, then the file.

    Raises
    ------
    SettingsError
        For the first setting that is refused, named as it was set.
    """
    file, kept = _config_file()
    wanted = {name: value for name, value in given.items() if value is not None}
    taken = {name: value for name, value in kept.items() if not os.environ.get(_variable(name))}
    try:
        return Settings(**{**taken, **wanted})
    except ValidationError as refused:
        first = refused.errors(include_url=False)[0]
        name = str(first["loc"][0])
        is_of_file = name in taken and name not in wanted
        reason = first["msg"].removeprefix("Value error, ")
        shown = "" if name == "database_url" else f" (given: {first['input']!r})"
        place = f"{file}: {name}" if is_of_file else _variable(name)
        raise SettingsError(f"{place}: {reason}{shown}") from refused


def _variable(name: str) -> str:
    """Return the environment variable of a setting."""
    return f"{_PREFIX}{name}".upper()


def _config_file() -> tuple[str, dict[str, Any]]:
    """Read the file that is named in the environment; return its name and what it sets."""
    name = os.environ.get(CONFIG)
    if not name:
        return "", {}
    try:
        kept = tomllib.loads(Path(name).read_text(encoding="utf-8"))
    except OSError as failed:
        raise SettingsError(f"{CONFIG}: {name}: {failed.strerror}") from failed
    except ValueError as failed:
        raise SettingsError(f"{name}: is not written in TOML ({failed})") from failed
    for key in kept:
        if key not in Settings.model_fields:
            raise SettingsError(f'{name}: there is no setting "{key}"')
    return name, kept


def check_reach(settings: Settings) -> None:
    """
    Refuse to show the demo, where nobody signs in, to other machines.

    Raises
    ------
    SettingsError
        Unless the host is this machine's own.
    """
    if not is_loopback(settings.host):
        raise SettingsError(
            f"--host {settings.host}: nobody signs in to the demo, so it is served on this "
            "machine alone; `ribstitch serve` is what other machines may reach."
        )


def is_loopback(host: str) -> bool:
    """Return whether an address can be reached from this machine only."""
    if host == "localhost":
        return True
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False
