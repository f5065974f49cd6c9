"""
Requests that are done once, however often they are sent.

A sender names a request with a key of its own. The first transaction that the request begins
writes the key, so that what was changed and the key are kept together or not at all; a request
that changes nothing, and one that is refused, leaves none.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from ribstitch.store.errors import KeyUsedError, RequestDoneError
from ribstitch.store.tables import RequestDoneRow, table_of

KEPT_FOR: Final = timedelta(days=30)
"""How long the same key gets the same answer."""

_DONE = table_of(RequestDoneRow)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a request was answered with; `status` 0: that was never kept."""

    status: int
    media_type: str
    etag: str
    body: bytes


@dataclass(slots=True)
class NamedRequest:
    """A request with the key that its sender gave it."""

    sender: str
    key: str
    digest: str
    """Of all that is asked."""
    is_written: bool = False
    """A transaction of this request has written the key, and was kept."""
    was_done: bool = False
    """Somebody else had written it by then."""


_NAMED: ContextVar[NamedRequest | None] = ContextVar("named_request", default=None)


@contextmanager
def doing(request: NamedRequest) -> Iterator[None]:
    """Let every transaction that is begun in this block belong to a request."""
    token = _NAMED.set(request)
    try:
        yield
    finally:
        _NAMED.reset(token)


def write_key(connection: Connection, at: datetime) -> None:
    """
    Write the key of the request that is being done, at the begin of its first kept transaction.

    Who sends the same request at the same time waits here until the first is kept or gone.

    Raises
    ------
    RequestDoneError
        If it was done by then.
    KeyUsedError
        If another request has the key.
    """
    request = _NAMED.get()
    if request is None or request.is_written:
        return
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    values = {"sender": request.sender, "key": request.key, "digest": request.digest, "at": at,
              "media_type": "", "etag": ""}  # fmt: skip
    statement = insert(_DONE).values(**values).on_conflict_do_nothing().returning(_DONE.c.key)
    if connection.scalar(statement) is None:
        found_answer(connection, request)
        request.was_done = True
        raise RequestDoneError(request.key)


def kept_key() -> None:
    """Be told that a transaction was kept, and with it the key of what is being done."""
    request = _NAMED.get()
    if request is not None:
        request.is_written = True


def found_answer(connection: Connection, request: NamedRequest) -> Answer | None:
    """
    Return what a request was answered with; None: it was not done yet.

    Raises
    ------
    KeyUsedError
        If another request has its key.
    """
    row = _DONE.c
    found = connection.execute(
        select(row.digest, row.status, row.media_type, row.etag, row.body).where(
            row.sender == request.sender, row.key == request.key
        )
    ).first()
    if found is None:
        return None
    digest, status, media_type, etag, body = found
    if digest != request.digest:
        raise KeyUsedError(request.key)
    return Answer(status or 0, media_type, etag, body or b"")


def keep(connection: Connection, request: NamedRequest, answer: Answer) -> None:
    """Keep what a request that was done is answered with."""
    row = _DONE.c
    connection.execute(
        update(_DONE)
        .where(row.sender == request.sender, row.key == request.key)
        .values(
            status=answer.status, media_type=answer.media_type, etag=answer.etag, body=answer.body
        )
    )


def forget(connection: Connection, now: datetime) -> None:
    """Forget the requests that were done too long ago."""
    connection.execute(delete(_DONE).where(_DONE.c.at < now - KEPT_FOR))
