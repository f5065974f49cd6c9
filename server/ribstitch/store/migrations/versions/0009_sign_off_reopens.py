"""A sign-off can take back those before it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; no sign-off that is there takes another one back."""
    with op.batch_alter_table("sign_off") as batch:
        batch.add_column(sa.Column("reopens", sa.Boolean(), nullable=False, server_default="0"))
    with op.batch_alter_table("sign_off") as batch:
        batch.alter_column("reopens", server_default=None)
