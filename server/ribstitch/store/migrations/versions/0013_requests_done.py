"""Requests that were done, with what was answered."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import UtcInstant

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a table with nothing in it."""
    op.create_table(
        "request_done",
        sa.Column("sender", sa.String(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("at", UtcInstant(), nullable=False),
        sa.Column("status", sa.Integer()),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("etag", sa.String(), nullable=False),
        sa.Column("body", sa.LargeBinary()),
        sa.PrimaryKeyConstraint("sender", "key", name="pk_request_done"),
    )
    op.create_index("ix_request_done_at", "request_done", ["at"])
