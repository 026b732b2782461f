"""Who may enter: accounts, sessions, failed logins, and tokens of other programs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "accounts"
down_revision = "links"


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "accounts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("password", sa.String(200), nullable=False),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.Column("must_change", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_accounts"),
        sa.UniqueConstraint("name", name="uq_accounts_name"),
    )
    op.create_table(
        "sessions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.String(64), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_sessions"),
        sa.UniqueConstraint("mark", name="uq_sessions_mark"),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name="fk_sessions_account_id_accounts"),
    )
    op.create_index("ix_sessions_account_id", "sessions", ["account_id"])
    op.create_table(
        "failed_logins",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("address", sa.String(60), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_failed_logins"),
    )
    for column in ("name", "address", "at"):
        op.create_index(f"ix_failed_logins_{column}", "failed_logins", [column])
    op.create_table(
        "program_tokens",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("mark", sa.String(64), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("writes", sa.Boolean(), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_program_tokens"),
        sa.UniqueConstraint("name", name="uq_program_tokens_name"),
        sa.UniqueConstraint("mark", name="uq_program_tokens_mark"),
    )
