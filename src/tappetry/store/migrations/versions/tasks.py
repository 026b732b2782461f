"""Long work: what waits, what is being done, and what came of it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "tasks"
down_revision = "0001"


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "tasks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.Column("who", sa.String(100), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("worker", sa.String(40), nullable=False),
        sa.Column("held_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("to_stop", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_tasks"),
        sa.UniqueConstraint("key", name="uq_tasks_key"),
    )
    op.create_index("ix_tasks_state", "tasks", ["state"])
