"""Places of tasks, the order of the crew, and ways to have work done in fewer days."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.schema import SchemaItem

from ribstitch.store.column_types import ExactDecimal

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column and both tables; plans that are there have neither."""
    with op.batch_alter_table("task") as batch:
        batch.add_column(sa.Column("places", sa.JSON(none_as_null=True)))
    _plan_table(
        "crew_link",
        sa.Column("before", sa.String(), nullable=False),
        sa.Column("after", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("names", sa.JSON(), nullable=False),
        sa.Column("units", sa.BigInteger(), nullable=False),
        _reference("crew_link", "before", "task"),
        _reference("crew_link", "after", "task"),
    )
    _plan_table(
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
        _reference("expedite", "task", "task"),
        _reference("expedite", "send_out", "send_out"),
    )


def _plan_table(name: str, *own: SchemaItem) -> None:
    """Make the table of one kind of thing in a plan."""
    op.create_table(
        name,
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        *own,
        sa.PrimaryKeyConstraint("project_id", "key", name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["project_id"], ["project.id"], name=f"fk_{name}_project_id"),
    )


def _reference(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    """Return a reference to a thing of the same project, checked at the end."""
    return sa.ForeignKeyConstraint(
        ["project_id", column],
        [f"{to}.project_id", f"{to}.key"],
        name=f"fk_{table}_project_id_{column}",
        deferrable=True,
        initially="DEFERRED",
    )
