"""Payments, timesheets, funding, baselines, over-and-above items."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.migrations.plan_tables import plan_table, reference

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add columns and tables; plans that are there have nothing in them."""
    with op.batch_alter_table("project") as batch:
        batch.add_column(sa.Column("balance", ExactDecimal()))
        batch.add_column(sa.Column("balance_on", sa.Date()))
    with op.batch_alter_table("crew") as batch:
        batch.add_column(sa.Column("rates", sa.JSON(none_as_null=True)))
    with op.batch_alter_table("cost") as batch:
        batch.add_column(sa.Column("document", sa.String(), nullable=False, server_default=""))
        for name in ("earlier", "payments", "dues"):
            batch.add_column(sa.Column(name, sa.JSON(none_as_null=True)))
    with op.batch_alter_table("cost") as batch:
        batch.alter_column("document", server_default=None)
    with op.batch_alter_table("budget_line") as batch:
        batch.add_column(sa.Column("kind", sa.String(), nullable=False, server_default="other"))
    with op.batch_alter_table("budget_line") as batch:
        batch.alter_column("kind", server_default=None)
    plan_table(
        "hours_worked",
        sa.Column("task", sa.String(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("hours", ExactDecimal(), nullable=False),
        sa.Column("trade", sa.String()),
        sa.Column("label", sa.String(), nullable=False),
        reference("hours_worked", "task", "task"),
    )
    plan_table(
        "funding",
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("amount", ExactDecimal(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("every_months", sa.Integer(), nullable=False),
        sa.Column("until", sa.Date()),
    )
    plan_table(
        "baseline",
        sa.Column("approved_on", sa.Date(), nullable=False),
        sa.Column("finish", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("packages", sa.JSON(), nullable=False),
    )
    plan_table(
        "over_and_above",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("asked_on", sa.Date(), nullable=False),
        sa.Column("amount", ExactDecimal(), nullable=False),
        sa.Column("currency", sa.String()),
        sa.Column("hours", ExactDecimal(), nullable=False),
        sa.Column("chapter", sa.String()),
        sa.Column("task", sa.String()),
        sa.Column("send_out", sa.String()),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("decided_on", sa.Date()),
        sa.Column("decided_by", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        reference("over_and_above", "task", "task"),
        reference("over_and_above", "send_out", "send_out"),
    )
