"""Accounts, their sign-ins, links and tokens, and an append-only log about them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ribstitch.store.column_types import UtcInstant
from ribstitch.store.migrations.append_only import keep_append_only

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables; nobody has an account yet."""
    _account()
    _membership()
    _browser_session()
    _one_time_link()
    _api_token()
    _sign_in_try()
    _account_log()


def _account() -> None:
    op.create_table(
        "account",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("password_hash", sa.String()),
        sa.Column("is_keeper", sa.Boolean(), nullable=False),
        sa.Column("created_at", UtcInstant(), nullable=False),
        sa.Column("closed_at", UtcInstant()),
        sa.Column("totp_secret", sa.String()),
        sa.Column("totp_pending", sa.String()),
        sa.Column("totp_step", sa.BigInteger(), nullable=False),
        sa.Column("recovery_hashes", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_account"),
        sa.UniqueConstraint("email", name="uq_account_email"),
    )


def _membership() -> None:
    op.create_table(
        "membership",
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("account_id", "project_id", name="pk_membership"),
        _refers("membership", "account_id", "account"),
        _refers("membership", "project_id", "project"),
    )
    op.create_index("ix_membership_project_id", "membership", ["project_id"])


def _browser_session() -> None:
    op.create_table(
        "browser_session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("previous_hash", sa.String()),
        sa.Column("changed_at", UtcInstant(), nullable=False),
        sa.Column("created_at", UtcInstant(), nullable=False),
        sa.Column("seen_at", UtcInstant(), nullable=False),
        sa.Column("ends_at", UtcInstant(), nullable=False),
        sa.Column("waits", sa.Boolean(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_browser_session"),
        sa.UniqueConstraint("token_hash", name="uq_browser_session_token_hash"),
        _refers("browser_session", "account_id", "account"),
    )
    op.create_index("ix_browser_session_account_id", "browser_session", ["account_id"])
    op.create_index("ix_browser_session_previous_hash", "browser_session", ["previous_hash"])


def _one_time_link() -> None:
    op.create_table(
        "one_time_link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("purpose", sa.String(), nullable=False),
        sa.Column("account_id", sa.Integer()),
        sa.Column("made_at", UtcInstant(), nullable=False),
        sa.Column("ends_at", UtcInstant(), nullable=False),
        sa.Column("used_at", UtcInstant()),
        sa.PrimaryKeyConstraint("id", name="pk_one_time_link"),
        sa.UniqueConstraint("token_hash", name="uq_one_time_link_token_hash"),
        _refers("one_time_link", "account_id", "account"),
    )
    op.create_index("ix_one_time_link_account_id", "one_time_link", ["account_id"])


def _api_token() -> None:
    op.create_table(
        "api_token",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("scope", sa.String(), nullable=False),
        sa.Column("project_id", sa.Integer()),
        sa.Column("created_at", UtcInstant(), nullable=False),
        sa.Column("ends_at", UtcInstant(), nullable=False),
        sa.Column("last_used_at", UtcInstant()),
        sa.Column("revoked_at", UtcInstant()),
        sa.PrimaryKeyConstraint("id", name="pk_api_token"),
        sa.UniqueConstraint("token_hash", name="uq_api_token_token_hash"),
        _refers("api_token", "account_id", "account"),
        _refers("api_token", "project_id", "project"),
    )
    op.create_index("ix_api_token_account_id", "api_token", ["account_id"])


def _sign_in_try() -> None:
    op.create_table(
        "sign_in_try",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", UtcInstant(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("succeeded", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_sign_in_try"),
    )
    op.create_index("ix_sign_in_try_who_at", "sign_in_try", ["who", "at"])
    op.create_index("ix_sign_in_try_address_at", "sign_in_try", ["address", "at"])


def _account_log() -> None:
    op.create_table(
        "account_log",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", UtcInstant(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("who_id", sa.Integer()),
        sa.Column("action", sa.String(), nullable=False),
        sa.Column("account_id", sa.Integer()),
        sa.Column("project_id", sa.Integer()),
        sa.Column("detail", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_account_log"),
        _refers("account_log", "who_id", "account"),
        _refers("account_log", "account_id", "account"),
        _refers("account_log", "project_id", "project"),
    )
    keep_append_only("account_log")


def _refers(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Return a reference to a row of another table."""
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}")
