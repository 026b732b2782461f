"""Days on which suppliers' prices were known."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "price_days"
down_revision = "supply"


def upgrade() -> None:
    """Make the table and its guard."""
    op.create_table(
        "price_days",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("supplier", sa.String(60), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_price_days"),
        foreign_key("price_days", "entry_id", "entries"),
    )
    op.create_index("ix_price_days_supplier_on_day", "price_days", ["supplier", "on_day"])
    written_once(("price_days",))
