"""The log: plain lines or JSON lines on standard error, each with the request that it is about."""

from __future__ import annotations

import logging
import sys
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Literal

import orjson

request_id: ContextVar[str] = ContextVar("request_id", default="")
"""Of the request that is being answered; empty outside of one."""


def set_up_logging(level: str, form: Literal["plain", "json"]) -> None:
    """
    Send what this process logs to standard error.

    Parameters
    ----------
    level
        What is logged: "debug", "info", "warning", "error", and what is worse.
    form
        How.
    """
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines() if form == "json" else PlainLines())
    logging.basicConfig(level=level.upper(), handlers=[handler], force=True)
    # It tells of each look at the tables' revision, which readiness takes.
    logging.getLogger("alembic").setLevel(logging.WARNING)


class PlainLines(logging.Formatter):
    """Lines for a person."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 - logging's name
        """Add the request to the first line."""
        asked = request_id.get()
        line = super().formatMessage(record)
        return f"{line} [{asked}]" if asked else line


class JsonLines(logging.Formatter):
    """Lines for a program, one object each; `fields` of a record are members of their own."""

    def format(self, record: logging.LogRecord) -> str:
        """Return one line."""
        line = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            "message": record.getMessage(),
            **getattr(record, "fields", {}),
        }
        if asked := request_id.get():
            line["request_id"] = asked
        if record.exc_info:
            line["exception"] = self.formatException(record.exc_info)
        return orjson.dumps(line, default=str).decode()
