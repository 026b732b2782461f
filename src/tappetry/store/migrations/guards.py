"""Guards that steps put on tables whose rows are written once."""

from __future__ import annotations

from collections.abc import Iterable

from alembic import op

SAYS = "what is kept is never changed"


def written_once(tables: Iterable[str]) -> None:
    """Let the database itself refuse to change or take away what stands in some tables.

    PostgreSQL knows the function from the first step.
    """
    for table in tables:
        if op.get_bind().dialect.name != "sqlite":
            op.execute(
                f"CREATE TRIGGER {table}_stay BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION written_once()"
            )
            continue
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_stay_{act.lower()} BEFORE {act} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{SAYS}'); END"
            )
