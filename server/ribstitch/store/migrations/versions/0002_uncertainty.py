"""Spreads, hidden work, kinds of send-outs, risks of send-outs, rates."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.migrations.plan_tables import plan_table

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables of the first release to this one."""
    plan_table(
        "send_out_kind",
        sa.Column("over_median", sa.Double(), nullable=False),
        sa.Column("over_p90", sa.Double(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("rejected", sa.Double(), nullable=False),
    )
    plan_table(
        "exchange_rate",
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("rate", ExactDecimal(), nullable=False),
    )
    _add(
        "project",
        _filled("work_shape", sa.String(), "pert"),
        _filled("zone_spread", sa.Double(), "0.15"),
        _filled("trade_spread", sa.Double(), "0.2"),
        sa.Column("standing_per_month", ExactDecimal()),
    )
    _add("crew", sa.Column("rate", ExactDecimal()))
    _add(
        "zone",
        _filled("hidden_work_percent", sa.Double(), "0"),
        sa.Column("opened_by", sa.String()),
        refers=("opened_by", "task"),
    )
    _add(
        "risk",
        sa.Column("send_out", sa.String()),
        *(sa.Column(f"impact_{name}", sa.BigInteger()) for name in ("low", "likely", "high")),
        _filled("closed", sa.Boolean(), sa.false()),
        refers=("send_out", "send_out"),
    )
    _close_risks_of_nothing()
    _complete_histories()


def _filled(name: str, kind: sa.types.TypeEngine[Any], value: Any) -> sa.Column[Any]:
    """Return a column that must be filled, with what stands in the rows there are."""
    return sa.Column(name, kind, nullable=False, server_default=value)


def _add(table: str, *columns: sa.Column[Any], refers: tuple[str, str] | None = None) -> None:
    """Add columns, and a reference to a thing of the same project, checked at the end."""
    with op.batch_alter_table(table) as batch:
        for column in columns:
            batch.add_column(column)
        if refers is not None:
            batch.create_foreign_key(
                f"fk_{table}_project_id_{refers[0]}",
                refers[1],
                ["project_id", refers[0]],
                ["project_id", "key"],
                deferrable=True,
                initially="DEFERRED",
            )
    filled = [column.name for column in columns if not column.nullable]
    if filled:
        with op.batch_alter_table(table) as batch:
            for name in filled:
                batch.alter_column(name, server_default=None)


def _close_risks_of_nothing() -> None:
    """Close risks that name no task: from now on an open one must say what it would hit."""
    risk = sa.table("risk", sa.column("task"), sa.column("closed", sa.Boolean()))
    op.execute(sa.update(risk).where(risk.c.task.is_(None)).values(closed=True))


def _complete_histories() -> None:
    """Write trips and promise into the past jobs, which have none yet."""
    vendor = sa.table(
        "vendor",
        sa.column("project_id", sa.Integer()),
        sa.column("key", sa.String()),
        sa.column("history", sa.JSON()),
    )
    connection = op.get_bind()
    for project_id, key, history in connection.execute(sa.select(vendor)).all():
        jobs = [[*job, 1, None] for job in history]
        connection.execute(
            sa.update(vendor)
            .where(vendor.c.project_id == project_id, vendor.c.key == key)
            .values(history=jobs)
        )
