"""Method cards, findings, evidence, sign-offs, the planner's draft; what tasks came from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.migrations.plan_tables import plan_table, reference

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add columns and tables; plans that are there have nothing in them but their drawing."""
    names = {"airframe": "amphibian", "restored_to": "", "rule_book": ""}
    with op.batch_alter_table("project") as batch:
        for name, given in names.items():
            batch.add_column(sa.Column(name, sa.String(), nullable=False, server_default=given))
    with op.batch_alter_table("project") as batch:
        for name in names:
            batch.alter_column(name, server_default=None)
    with op.batch_alter_table("task") as batch:
        for name in ("check", "origin"):
            batch.add_column(sa.Column(name, sa.JSON(none_as_null=True)))
    _cards()
    _findings()
    _proof()


def _cards() -> None:
    """Make the tables of what the planner plans by."""
    plan_table(
        "method_card",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("driver", sa.String(), nullable=False),
        sa.Column("steps", sa.JSON(), nullable=False),
        sa.Column("after_cards", sa.JSON(), nullable=False),
        sa.Column("inside", sa.JSON(), nullable=False),
        sa.Column("one_by_one", sa.Boolean(), nullable=False),
        sa.Column("leaves_after", sa.Integer()),
        sa.Column("back_before", sa.Integer()),
        sa.Column("hazards", sa.JSON(), nullable=False),
        sa.Column("evidence", sa.String(), nullable=False),
        sa.Column("material", sa.String(), nullable=False),
        sa.Column("risk", sa.JSON(none_as_null=True)),
        sa.Column("sources", sa.String(), nullable=False),
        sa.Column("from_memory", sa.Boolean(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
    )
    plan_table(
        "standing_job",
        sa.Column("card", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("zone", sa.String()),
        sa.Column("chapter", sa.String()),
        sa.Column("quantity", ExactDecimal(), nullable=False),
        reference("standing_job", "card", "method_card"),
        reference("standing_job", "zone", "zone"),
    )
    plan_table("draft", sa.Column("marks", sa.JSON(), nullable=False))


def _findings() -> None:
    """Make the table of the evaluation."""
    plan_table(
        "finding",
        sa.Column("seen", sa.String(), nullable=False),
        sa.Column("zone", sa.String()),
        sa.Column("chapter", sa.String()),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("grade", sa.Integer(), nullable=False),
        sa.Column("authenticity", sa.String(), nullable=False),
        sa.Column("rung", sa.String()),
        sa.Column("treatment", sa.String()),
        sa.Column("card", sa.String()),
        sa.Column("quantity", ExactDecimal(), nullable=False),
        sa.Column("own_hours", sa.JSON(none_as_null=True)),
        sa.Column("own_trade", sa.String()),
        sa.Column("send_out_kind", sa.String()),
        sa.Column("send_out", sa.String()),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("seen_on", sa.Date()),
        sa.Column("seen_by", sa.String(), nullable=False),
        sa.Column("decided_on", sa.Date()),
        sa.Column("decided_by", sa.String(), nullable=False),
        sa.Column("measurements", sa.String(), nullable=False),
        sa.Column("kept_at", sa.String(), nullable=False),
        sa.Column("labelled", sa.Boolean(), nullable=False),
        sa.Column("notes", sa.String(), nullable=False),
        sa.Column("dropped", sa.Boolean(), nullable=False),
        reference("finding", "card", "method_card"),
        reference("finding", "zone", "zone"),
    )
    op.create_index("ix_finding_project_id_zone", "finding", ["project_id", "zone"])


def _proof() -> None:
    """Make the tables of what shows that something was done."""
    plan_table(
        "evidence",
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("added_on", sa.Date(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("caption", sa.String(), nullable=False),
        sa.Column("taken_on", sa.Date()),
        sa.Column("by", sa.String(), nullable=False),
        *(
            sa.Column(name, sa.String())
            for name in ("zone", "finding", "task", "send_out", "over_and_above")
        ),
        *(
            reference("evidence", name, name)
            for name in ("zone", "finding", "task", "send_out", "over_and_above")
        ),
    )
    op.create_index("ix_evidence_project_id_sha256", "evidence", ["project_id", "sha256"])
    plan_table(
        "sign_off",
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("task", sa.String()),
        sa.Column("record", sa.String()),
        sa.Column("licence", sa.String(), nullable=False),
        sa.Column("statement", sa.String(), nullable=False),
        sa.Column("evidence", sa.JSON(), nullable=False),
        sa.Column("override", sa.String(), nullable=False),
        sa.Column("kind", sa.String()),
        reference("sign_off", "task", "task"),
    )
