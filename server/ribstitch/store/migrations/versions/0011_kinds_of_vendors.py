"""What a vendor takes: kinds of send-outs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a column; vendors that are there say nothing yet."""
    with op.batch_alter_table("vendor") as batch:
        batch.add_column(sa.Column("kinds", sa.JSON(), nullable=False, server_default="[]"))
    with op.batch_alter_table("vendor") as batch:
        batch.alter_column("kinds", server_default=None)
