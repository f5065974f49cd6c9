"""Tables of the first release, and the triggers that keep both logs append-only."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import ExactDecimal, UtcInstant
from ribstitch.store.migrations.append_only import keep_append_only
from ribstitch.store.migrations.plan_tables import plan_table, reference

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_LOGS = ("change", "forecast_log")


def upgrade() -> None:
    """Make all tables."""
    _project()
    _resources()
    _work()
    _vendors()
    _money()
    _logs()
    for log in _LOGS:
        keep_append_only(log)


def _text(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.String(), nullable=False) for name in names]


def _maybe_text(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.String()) for name in names]


def _whole(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.BigInteger(), nullable=False) for name in names]


def _maybe_whole(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.BigInteger()) for name in names]


def _maybe_day(*names: str) -> list[sa.Column[object]]:
    return [sa.Column(name, sa.Date()) for name in names]


def _json(*names: str) -> list[sa.Column[object]]:
    return [sa.Column(name, sa.JSON(), nullable=False) for name in names]


def _index(table: str, *columns: str) -> None:
    op.create_index(f"ix_{table}_{'_'.join(columns)}", table, list(columns))


def _project() -> None:
    op.create_table(
        "project",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("created_at", UtcInstant(), nullable=False),
        sa.Column("start", sa.Date(), nullable=False),
        sa.Column("as_of", sa.Date(), nullable=False),
        *_text("name", "aircraft", "serial", "currency", "calendar"),
        *_maybe_day("target_finish"),
        *_text("out_of_sequence"),
        sa.PrimaryKeyConstraint("id", name="pk_project"),
    )


def _resources() -> None:
    plan_table(
        "calendar",
        *_text("name"),
        sa.Column("elapsed", sa.Boolean(), nullable=False),
        sa.Column("day_hours", sa.Double(), nullable=False),
        *_json("week_hours"),
        *_maybe_text("holidays"),
        *_json("closed", "opened"),
    )
    plan_table(
        "crew",
        *_text("trade"),
        *_whole("people"),
        *_maybe_text("calendar"),
        *_text("label"),
        reference("crew", "calendar", "calendar"),
    )
    plan_table("place", *_whole("capacity"), *_text("name"))


def _work() -> None:
    plan_table("zone", *_text("name"))
    plan_table(
        "task",
        *_whole("duration"),
        *_text("name"),
        *_maybe_text("zone", "chapter", "calendar"),
        *_maybe_whole("low", "likely", "high"),
        *_maybe_text("trade"),
        *_whole("people"),
        *_maybe_day("not_before", "deadline"),
        *_maybe_text("milestone"),
        *_text("state"),
        *_maybe_day("started", "finished"),
        *_maybe_whole("remaining"),
        *_text("held_reason"),
        *_maybe_day("held_until"),
        *_text("why"),
        sa.Column("hazards", sa.JSON()),
        *_text("notes"),
        reference("task", "zone", "zone"),
        reference("task", "calendar", "calendar"),
    )
    _index("task", "project_id", "state")
    _index("task", "project_id", "zone")
    plan_table(
        "link",
        *_text("before", "after", "relation"),
        *_whole("lag"),
        *_text("lag_on"),
        reference("link", "before", "task"),
        reference("link", "after", "task"),
    )
    _index("link", "project_id", "before")
    _index("link", "project_id", "after")


def _vendors() -> None:
    plan_table(
        "vendor",
        *_text("name"),
        *_maybe_text("calendar", "currency"),
        *_text("country"),
        *_json("history"),
        reference("vendor", "calendar", "calendar"),
    )
    plan_table(
        "send_out",
        *_text("vendor", "name", "kind", "source"),
        *_json("after", "before"),
        *_maybe_text("trip_of"),
        *_whole("prepare", "ship_out", "customs_out", "intake", "approval", "lead"),
        *_whole("ship_back", "customs_back", "accept", "return_leg"),
        *_maybe_day("shipped", "arrived", "quoted", "approved", "promised", "left_vendor"),
        *_maybe_day("received", "accepted", "rejected", "returned"),
        *_json("contacts"),
        sa.Column("dropped", sa.Boolean(), nullable=False),
        *_text("notes"),
        reference("send_out", "vendor", "vendor"),
        reference("send_out", "trip_of", "send_out"),
    )
    _index("send_out", "project_id", "vendor")


def _money() -> None:
    plan_table(
        "risk",
        *_text("name"),
        *_maybe_text("task"),
        sa.Column("probability", sa.Double(), nullable=False),
        *_whole("impact"),
        *_text("impact_note"),
        reference("risk", "task", "task"),
    )
    plan_table(
        "cost",
        sa.Column("amount", ExactDecimal(), nullable=False),
        *_text("currency", "name", "kind", "state"),
        *_maybe_day("on"),
        *_maybe_text("chapter", "task", "send_out"),
        reference("cost", "task", "task"),
        reference("cost", "send_out", "send_out"),
    )
    plan_table(
        "budget_line",
        *_text("chapter"),
        sa.Column("amount", ExactDecimal(), nullable=False),
        *_text("currency", "name"),
    )


def _logs() -> None:
    op.create_table(
        "change",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("at", UtcInstant(), nullable=False),
        *_text("who", "role", "action", "kind", "key"),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("before", sa.JSON()),
        sa.Column("after", sa.JSON()),
        *_text("reason"),
        sa.Column("undoes", sa.Integer()),
        sa.PrimaryKeyConstraint("number", name="pk_change"),
        sa.ForeignKeyConstraint(["project_id"], ["project.id"], name="fk_change_project_id"),
        sa.ForeignKeyConstraint(["undoes"], ["change.number"], name="fk_change_undoes"),
        sa.UniqueConstraint("undoes", name="uq_change_undoes"),
    )
    _index("change", "project_id", "kind", "key")
    _index("change", "project_id", "plan_version")
    op.create_table(
        "forecast_log",
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("at", UtcInstant(), nullable=False),
        sa.Column("as_of", sa.Date(), nullable=False),
        sa.Column("finish", sa.Date(), nullable=False),
        *_text("reason"),
        sa.PrimaryKeyConstraint("project_id", "plan_version", name="pk_forecast_log"),
        sa.ForeignKeyConstraint(["project_id"], ["project.id"], name="fk_forecast_log_project_id"),
    )
