"""Postings that take others back."""

from __future__ import annotations

from alembic import op

revision = "reversals"
down_revision = "machine"


def upgrade() -> None:
    """Let a posting name the one that it takes back, each one once."""
    op.execute(
        "ALTER TABLE postings ADD COLUMN of_id INTEGER "
        "CONSTRAINT fk_postings_of_id_postings REFERENCES postings (id)"
    )
    op.create_index("ix_postings_of_id", "postings", ["of_id"], unique=True)
