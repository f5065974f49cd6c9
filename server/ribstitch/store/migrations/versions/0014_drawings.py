"""A shop's own drawings, with zones traced on them."""

from __future__ import annotations

import sqlalchemy as sa

from ribstitch.store.migrations.plan_tables import plan_table

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a table; plans that are there have no drawing of their own."""
    plan_table(
        "drawing",
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("width", sa.BigInteger(), nullable=False),
        sa.Column("height", sa.BigInteger(), nullable=False),
        sa.Column("added_on", sa.Date(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("shown", sa.Boolean(), nullable=False),
        sa.Column("outlines", sa.JSON(), nullable=False),
    )
