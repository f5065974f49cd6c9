"""What vendors charged in the end, and by how much prices of a kind grow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add columns and complete past jobs; nothing is known yet of any price."""
    with op.batch_alter_table("send_out_kind") as batch:
        batch.add_column(sa.Column("growth_median", sa.Double()))
        batch.add_column(sa.Column("growth_p90", sa.Double()))
    _complete_histories()


def _complete_histories() -> None:
    """Write first and final price into the past jobs, which have none yet."""
    vendor = sa.table(
        "vendor",
        sa.column("project_id", sa.Integer()),
        sa.column("key", sa.String()),
        sa.column("history", sa.JSON()),
    )
    connection = op.get_bind()
    for project_id, key, history in connection.execute(sa.select(vendor)).all():
        jobs = [[*job, None, None] for job in history]
        connection.execute(
            sa.update(vendor)
            .where(vendor.c.project_id == project_id, vendor.c.key == key)
            .values(history=jobs)
        )
