"""The day of supply of invoices and credit notes; those that were written before say none."""

from __future__ import annotations

from alembic import op

revision = "supply"
down_revision = "reversals"


def upgrade() -> None:
    """Let a paper say its day of supply."""
    op.execute("ALTER TABLE invoices ADD COLUMN supplied DATE")
