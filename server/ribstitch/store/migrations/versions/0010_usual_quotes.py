"""How long vendors usually quote for a kind of send-out."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a column; of kinds that are there nothing is known yet."""
    with op.batch_alter_table("send_out_kind") as batch:
        batch.add_column(sa.Column("quoted_days", sa.Double()))
