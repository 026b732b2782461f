"""A shop's own text: versions that were in effect, and what is being written."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "texts"
down_revision = "invoices"


def upgrade() -> None:
    """Make the tables and their guards."""
    op.create_table(
        "text_files",
        sa.Column("mark", sa.String(64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("mark", name="pk_text_files"),
    )
    op.create_table(
        "text_versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("mark", sa.String(64), nullable=False),
        sa.Column("knowledge", sa.String(64), nullable=False),
        sa.Column("catalogue", sa.String(64), nullable=False),
        sa.Column("listing", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_text_versions"),
        sa.UniqueConstraint("number", name="uq_text_versions_number"),
        foreign_key("text_versions", "entry_id", "entries"),
    )
    op.create_index("ix_text_versions_knowledge", "text_versions", ["knowledge"])
    op.create_table(
        "text_drafts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("path", sa.String(200), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=True),
        sa.Column("base", sa.String(64), nullable=False),
        sa.Column("who", sa.String(100), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_text_drafts"),
        sa.UniqueConstraint("path", name="uq_text_drafts_path"),
    )
    written_once(("text_files", "text_versions"))
