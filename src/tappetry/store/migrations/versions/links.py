"""Links for customers, what they ask, and what customers answer."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.guards import written_once
from tappetry.store.migrations.keys import foreign_key

revision = "links"
down_revision = "accepted"


def upgrade() -> None:
    """Make the tables and their guards."""
    op.create_table(
        "links",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.String(64), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_links"),
        sa.UniqueConstraint("mark", name="uq_links_mark"),
        foreign_key("links", "job_id", "jobs"),
        foreign_key("links", "entry_id", "entries"),
    )
    op.create_index("ix_links_job_id", "links", ["job_id"])
    op.create_table(
        "link_ends",
        sa.Column("link_id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("link_id", name="pk_link_ends"),
        foreign_key("link_ends", "link_id", "links"),
        foreign_key("link_ends", "entry_id", "entries"),
    )
    op.create_table(
        "answers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("link_id", sa.Integer(), nullable=False),
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("attribute", sa.String(60), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("photo", sa.LargeBinary(), nullable=True),
        sa.Column("media", sa.String(20), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_answers"),
        foreign_key("answers", "link_id", "links"),
        foreign_key("answers", "entry_id", "entries"),
    )
    op.create_index("ix_answers_link_id", "answers", ["link_id"])
    op.create_table(
        "answers_seen",
        sa.Column("answer_id", sa.Integer(), nullable=False),
        sa.Column("taken", sa.Boolean(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("answer_id", name="pk_answers_seen"),
        foreign_key("answers_seen", "answer_id", "answers"),
        foreign_key("answers_seen", "entry_id", "entries"),
    )
    written_once(("links", "link_ends", "answers", "answers_seen"))
