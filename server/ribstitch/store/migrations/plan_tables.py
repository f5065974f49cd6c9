"""
Tables of things in a plan, as migrations make them.

Released migrations stand on this: a table of another shape needs a function of its own.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.schema import SchemaItem


def plan_table(name: str, *own: SchemaItem) -> None:
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


def reference(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Return a reference to a thing of the same project, checked at the end."""
    return sa.ForeignKeyConstraint(
        ["project_id", column],
        [f"{target}.project_id", f"{target}.key"],
        name=f"fk_{table}_project_id_{column}",
        deferrable=True,
        initially="DEFERRED",
    )
