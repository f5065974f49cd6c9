"""Rows as lines of JSON, alike for both databases, and back.

Texts, whole numbers, fractions and truth values stand as they are. Exact decimals, dates and
instants (in UTC) are texts, bytes are texts in base 64. Columns that hold JSON are kept as the
text that the database holds, so that nothing is read and written anew.
"""

from __future__ import annotations

from base64 import b64decode, b64encode
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import islice
from typing import Any

import orjson
from sqlalchemy import (
    JSON,
    Column,
    Connection,
    Date,
    DateTime,
    LargeBinary,
    MetaData,
    Numeric,
    Table,
    Text,
    bindparam,
    cast,
    func,
    insert,
    select,
    text,
)
from sqlalchemy.schema import sort_tables

_AT_A_TIME = 500
"""How many rows are in memory at once."""
_NOT_OURS = {"alembic_version"}


def tables_in(connection: Connection) -> list[Table]:
    """Return the tables of a database as they are, each after those it refers to at once."""
    metadata = MetaData()
    metadata.reflect(connection)
    ours = [table for name, table in metadata.tables.items() if name not in _NOT_OURS]
    return sort_tables(ours, skip_fn=lambda key: bool(key.deferrable))


def lines_of(connection: Connection, table: Table) -> Iterator[bytes]:
    """Yield a table's rows, each as a line, in the order of their primary key."""
    columns = [
        cast(one, Text).label(one.name) if isinstance(one.type, JSON) else one
        for one in table.columns
    ]
    found = connection.execute(
        select(*columns).order_by(*table.primary_key),
        execution_options={"yield_per": _AT_A_TIME},
    )
    names = [str(one.name) for one in table.columns]
    for row in found:
        yield orjson.dumps(
            dict(zip(names, row, strict=True)),
            default=_plain,
            option=orjson.OPT_PASSTHROUGH_DATETIME | orjson.OPT_APPEND_NEWLINE,
        )


def put_lines(connection: Connection, table: Table, lines: Iterable[bytes]) -> int:
    """
    Insert rows; return how many.

    Raises
    ------
    ValueError
        For a line that is no row of the table.
    """
    statement = insert(table).values({one.name: _bound(connection, one) for one in table.columns})
    columns, remaining, count = tuple(table.columns), iter(lines), 0
    while rows := [_row(columns, line) for line in islice(remaining, _AT_A_TIME)]:
        connection.execute(statement, rows)
        count += len(rows)
    return count


def set_sequences(connection: Connection, tables: Iterable[Table]) -> None:
    """Let PostgreSQL go on counting after the rows that brought their numbers along."""
    if connection.dialect.name != "postgresql":
        return
    for table in tables:
        for column in table.primary_key:
            sequence = connection.execute(
                text("SELECT pg_get_serial_sequence(quote_ident(:table), :column)"),
                {"table": table.name, "column": column.name},
            ).scalar_one()
            last = connection.execute(select(func.max(column))).scalar_one()
            if sequence is not None and last is not None:
                connection.execute(select(func.setval(sequence, last)))


def _plain(value: object) -> str:
    """Return what JSON has no word for as a text."""
    if isinstance(value, datetime):
        aware = value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
        return aware.isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, bytes):
        return b64encode(value).decode()
    raise TypeError(f"a value of type {type(value).__name__} is in no column")


def _bound(connection: Connection, column: Column[Any]) -> Any:
    """Return the place of a value in a statement; JSON is handed over as its text."""
    if not isinstance(column.type, JSON):
        return bindparam(column.name, type_=column.type)
    held = bindparam(column.name, type_=Text())
    return cast(held, JSON) if connection.dialect.name == "postgresql" else held


def _row(columns: Sequence[Column[Any]], line: bytes) -> dict[str, Any]:
    """Read a line as a row with exactly these columns."""
    plain = orjson.loads(line)
    names = {one.name for one in columns}
    if not isinstance(plain, dict) or plain.keys() != names:
        raise ValueError("the columns are others")
    return {one.name: _value(one, plain[one.name]) for one in columns}


def _value(column: Column[Any], plain: Any) -> Any:
    """Read one value as its column wants it."""
    kind = column.type
    if plain is None:
        return None
    if isinstance(kind, JSON):
        return _expected(column, plain, str)
    if isinstance(kind, DateTime):
        instant = datetime.fromisoformat(_expected(column, plain, str))
        return instant.astimezone(UTC) if kind.timezone else _naive(instant)
    if isinstance(kind, Date):
        return date.fromisoformat(_expected(column, plain, str))
    if isinstance(kind, Numeric):
        return Decimal(_expected(column, plain, str))
    if isinstance(kind, LargeBinary):
        return b64decode(_expected(column, plain, str), validate=True)
    return _expected(column, plain, kind.python_type)


def _naive(instant: datetime) -> datetime:
    """Return an instant as SQLite keeps it."""
    return instant.astimezone(UTC).replace(tzinfo=None)


def _expected(column: Column[Any], plain: Any, kind: type) -> Any:
    """Refuse a value of another type: SQLite would take it."""
    if type(plain) is not kind:
        raise ValueError(f"{column.name} is no {kind.__name__}")
    return plain
