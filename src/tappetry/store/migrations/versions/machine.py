"""Work orders to machine shops, and what came back on them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "machine"
down_revision = "people"


def upgrade() -> None:
    """Make the tables and their guards."""
    op.create_table(
        "machine_orders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("machinist", sa.Text(), nullable=False),
        sa.Column("promised", sa.Date(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("price", sa.BigInteger(), nullable=True),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_machine_orders"),
        sa.UniqueConstraint("job_id", "number", name="uq_machine_orders_job_id_number"),
        foreign_key("machine_orders", "job_id", "jobs"),
        foreign_key("machine_orders", "entry_id", "entries"),
    )
    op.create_index("ix_machine_orders_promised", "machine_orders", ["promised"])
    op.create_table(
        "machine_returns",
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("order_id", name="pk_machine_returns"),
        foreign_key("machine_returns", "order_id", "machine_orders"),
        foreign_key("machine_returns", "entry_id", "entries"),
    )
    written_once(("machine_orders", "machine_returns"))
