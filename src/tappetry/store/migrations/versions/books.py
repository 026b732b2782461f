"""The books: postings and their lines."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "books"
down_revision = "accounts"


def upgrade() -> None:
    """Make the tables and their guards."""
    op.create_table(
        "postings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("supplier", sa.String(20), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_postings"),
        foreign_key("postings", "job_id", "jobs"),
        foreign_key("postings", "entry_id", "entries"),
    )
    op.create_index("ix_postings_job_id", "postings", ["job_id"])
    op.create_table(
        "posting_lines",
        sa.Column("posting_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("account", sa.String(60), nullable=False),
        sa.Column("amount", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("posting_id", "place", name="pk_posting_lines"),
        foreign_key("posting_lines", "posting_id", "postings"),
    )
    op.create_index("ix_posting_lines_account", "posting_lines", ["account"])
    written_once(("postings", "posting_lines"))
