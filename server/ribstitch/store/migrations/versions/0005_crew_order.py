"""Places of tasks, the order of the crew, and ways to have work done in fewer days."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.migrations.plan_tables import plan_table, reference

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column and both tables; plans that are there have neither."""
    with op.batch_alter_table("task") as batch:
        batch.add_column(sa.Column("places", sa.JSON(none_as_null=True)))
    plan_table(
        "crew_link",
        sa.Column("before", sa.String(), nullable=False),
        sa.Column("after", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("names", sa.JSON(), nullable=False),
        sa.Column("units", sa.BigInteger(), nullable=False),
        reference("crew_link", "before", "task"),
        reference("crew_link", "after", "task"),
    )
    plan_table(
        "expedite",
        sa.Column("gains", sa.BigInteger(), nullable=False),
        sa.Column("cost", ExactDecimal(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("currency", sa.String()),
        sa.Column("task", sa.String()),
        sa.Column("send_out", sa.String()),
        sa.Column("leg", sa.String(), nullable=False),
        sa.Column("by_the_day", sa.Boolean(), nullable=False),
        sa.Column("taken", sa.BigInteger(), nullable=False),
        reference("expedite", "task", "task"),
        reference("expedite", "send_out", "send_out"),
    )
