"""Tables of how sure each forecast was, and of the plans behind these, append-only."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import UtcInstant
from ribstitch.store.migrations.append_only import keep_append_only

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "plan_snapshot",
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("plan_file", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("project_id", "plan_version", name="pk_plan_snapshot"),
        _logged_version("plan_snapshot"),
    )
    op.create_table(
        "forecast_spread",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("logged_on", sa.Date(), nullable=False),
        sa.Column("at", UtcInstant(), nullable=False),
        sa.Column("p10", sa.Date(), nullable=False),
        sa.Column("p50", sa.Date(), nullable=False),
        sa.Column("p80", sa.Date(), nullable=False),
        sa.Column("p90", sa.Date(), nullable=False),
        sa.Column("chance_of_target", sa.Double()),
        sa.Column("runs", sa.Integer(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("engine", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_forecast_spread"),
        _logged_version("forecast_spread"),
        sa.UniqueConstraint(
            "project_id",
            "plan_version",
            "logged_on",
            name="uq_forecast_spread_project_id_plan_version_logged_on",
        ),
    )
    for table in ("plan_snapshot", "forecast_spread"):
        keep_append_only(table)


def _logged_version(table: str) -> sa.ForeignKeyConstraint:
    """Return a reference to the forecast log's row of a plan version."""
    return sa.ForeignKeyConstraint(
        ["project_id", "plan_version"],
        ["forecast_log.project_id", "forecast_log.plan_version"],
        name=f"fk_{table}_project_id_plan_version",
    )
