"""A shop's own limits of plan health, with the project."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; projects that are there keep the usual limits."""
    with op.batch_alter_table("project") as batch:
        batch.add_column(
            sa.Column("health_limits", sa.JSON(), nullable=False, server_default=sa.text("'{}'"))
        )
    with op.batch_alter_table("project") as batch:
        batch.alter_column("health_limits", server_default=None)
