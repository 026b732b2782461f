"""The first tables: jobs with versions, kits, quotes, audit trail; what is written once is guarded."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

GUARDED = ("entries", "versions", "kits", "kit_lines", "quotes")
SAYS = "what is kept is never changed"


def upgrade() -> None:
    """Make the tables and their guards."""
    _jobs()
    _kits()
    _quotes()
    _guard()


def _jobs() -> None:
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(41), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("customer", sa.Text(), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sheet_version", sa.Integer(), nullable=False),
        sa.Column("facts_version", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.UniqueConstraint("number", name="uq_jobs_number"),
    )
    op.create_index("ix_jobs_state", "jobs", ["state"])
    op.create_index("ix_jobs_changed_at", "jobs", ["changed_at"])
    op.create_table(
        "entries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(100), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_entries"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_entries_job_id_jobs"),
    )
    op.create_index("ix_entries_at", "entries", ["at"])
    op.create_index("ix_entries_job_id", "entries", ["job_id"])
    op.create_table(
        "versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.String(10), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_versions"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_versions_job_id_jobs"),
        sa.ForeignKeyConstraint(["entry_id"], ["entries.id"], name="fk_versions_entry_id_entries"),
        sa.UniqueConstraint("job_id", "part", "version", name="uq_versions_job_id_part_version"),
    )
    op.create_index("ix_versions_entry_id", "versions", ["entry_id"])


def _kits() -> None:
    op.create_table(
        "kits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("sheet_version", sa.Integer(), nullable=False),
        sa.Column("facts_version", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("knowledge_version", sa.String(64), nullable=False),
        sa.Column("catalogue_version", sa.String(64), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_kits"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_kits_job_id_jobs"),
        sa.ForeignKeyConstraint(["entry_id"], ["entries.id"], name="fk_kits_entry_id_entries"),
        sa.UniqueConstraint("job_id", "number", name="uq_kits_job_id_number"),
    )
    op.create_index("ix_kits_entry_id", "kits", ["entry_id"])
    op.create_table(
        "kit_lines",
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("supplier", sa.String(20), nullable=False),
        sa.Column("part", sa.String(60), nullable=False),
        sa.Column("description", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("unit_price", sa.BigInteger(), nullable=False),
        sa.Column("line_total", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("kit_id", "place", name="pk_kit_lines"),
        sa.ForeignKeyConstraint(["kit_id"], ["kits.id"], name="fk_kit_lines_kit_id_kits"),
    )
    op.create_index("ix_kit_lines_part", "kit_lines", ["part"])


def _quotes() -> None:
    op.create_table(
        "quotes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_quotes"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_quotes_job_id_jobs"),
        sa.ForeignKeyConstraint(["kit_id"], ["kits.id"], name="fk_quotes_kit_id_kits"),
        sa.ForeignKeyConstraint(["entry_id"], ["entries.id"], name="fk_quotes_entry_id_entries"),
        sa.UniqueConstraint("job_id", "number", name="uq_quotes_job_id_number"),
    )
    op.create_index("ix_quotes_kit_id", "quotes", ["kit_id"])
    op.create_index("ix_quotes_entry_id", "quotes", ["entry_id"])


def _guard() -> None:
    """Let the database itself refuse to change or take away what is written once."""
    if op.get_bind().dialect.name == "sqlite":
        for table in GUARDED:
            for act in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_stay_{act.lower()} BEFORE {act} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{SAYS}'); END"
                )
        return
    op.execute(
        "CREATE FUNCTION written_once() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{SAYS}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for table in GUARDED:
        op.execute(
            f"CREATE TRIGGER {table}_stay BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION written_once()"
        )
