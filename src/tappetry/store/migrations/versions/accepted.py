"""What customers accept: acceptances, change orders, and the orders to suppliers that follow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "accepted"
down_revision = "tasks"


def upgrade() -> None:
    """Make the tables and their guards."""
    _changes()
    _acceptances()
    _orders()
    written_once(("changes", "acceptances", "orders", "order_lines"))


def _changes() -> None:
    op.create_table(
        "changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("before_id", sa.Integer(), nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_changes"),
        sa.UniqueConstraint("job_id", "number", name="uq_changes_job_id_number"),
        foreign_key("changes", "job_id", "jobs"),
        foreign_key("changes", "before_id", "kits"),
        foreign_key("changes", "kit_id", "kits"),
        foreign_key("changes", "entry_id", "entries"),
    )


def _acceptances() -> None:
    op.create_table(
        "acceptances",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=True),
        sa.Column("change_id", sa.Integer(), nullable=True),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("customer", sa.String(100), nullable=False),
        sa.Column("how", sa.String(20), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_acceptances"),
        sa.UniqueConstraint("quote_id", name="uq_acceptances_quote_id"),
        sa.UniqueConstraint("change_id", name="uq_acceptances_change_id"),
        foreign_key("acceptances", "job_id", "jobs"),
        foreign_key("acceptances", "quote_id", "quotes"),
        foreign_key("acceptances", "change_id", "changes"),
        foreign_key("acceptances", "kit_id", "kits"),
        foreign_key("acceptances", "entry_id", "entries"),
    )
    op.create_index("ix_acceptances_job_id", "acceptances", ["job_id"])


def _orders() -> None:
    op.create_table(
        "orders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("acceptance_id", sa.Integer(), nullable=False),
        sa.Column("supplier", sa.String(20), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_orders"),
        sa.UniqueConstraint("job_id", "number", name="uq_orders_job_id_number"),
        foreign_key("orders", "job_id", "jobs"),
        foreign_key("orders", "acceptance_id", "acceptances"),
        foreign_key("orders", "entry_id", "entries"),
    )
    op.create_table(
        "order_lines",
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("part", sa.String(60), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("unit_cost", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("order_id", "place", name="pk_order_lines"),
        foreign_key("order_lines", "order_id", "orders"),
    )
    op.create_index("ix_order_lines_part", "order_lines", ["part"])
