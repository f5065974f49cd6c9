"""Column types that keep a value exactly on both databases."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import DateTime, Dialect, Numeric, String
from sqlalchemy.types import TypeDecorator, TypeEngine


class ExactDecimal(TypeDecorator[Decimal]):
    """
    A decimal number, digit for digit.

    NUMERIC on PostgreSQL; text on SQLite, whose NUMERIC is a binary fraction.
    """

    impl = String
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Choose the column's type by database."""
        exact = Numeric(asdecimal=True) if dialect.name == "postgresql" else String()
        return dialect.type_descriptor(exact)

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> Any:
        """Hand the number to the driver."""
        if value is None or dialect.name == "postgresql":
            return value
        return str(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> Decimal | None:  # noqa: ARG002
        """Take the number from the driver."""
        return None if value is None else Decimal(value)


class UtcInstant(TypeDecorator[datetime]):
    """An aware instant; SQLite keeps it as the date and time in UTC."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse an instant without time zone and hand the rest over in UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        instant = value.astimezone(UTC)
        return instant.replace(tzinfo=None) if dialect.name == "sqlite" else instant

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Give the instant back, aware, in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
