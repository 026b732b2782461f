"""Invoices, and credit notes on them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "invoices"
down_revision = "books"


def upgrade() -> None:
    """Make the table and its guard."""
    op.create_table(
        "invoices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("of_id", sa.Integer(), nullable=True),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("due", sa.Date(), nullable=True),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("posting_id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_invoices"),
        sa.UniqueConstraint("kind", "number", name="uq_invoices_kind_number"),
        sa.UniqueConstraint("posting_id", name="uq_invoices_posting_id"),
        foreign_key("invoices", "job_id", "jobs"),
        foreign_key("invoices", "of_id", "invoices"),
        foreign_key("invoices", "posting_id", "postings"),
        foreign_key("invoices", "entry_id", "entries"),
    )
    op.create_index("ix_invoices_job_id", "invoices", ["job_id"])
    written_once(("invoices",))
