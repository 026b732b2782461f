"""Keys of tables as steps make them."""

from __future__ import annotations

import sqlalchemy as sa


def foreign_key(table: str, column: str, other: str) -> sa.ForeignKeyConstraint:
    """A column that names a row of another table, under the name that the models give it."""
    return sa.ForeignKeyConstraint([column], [f"{other}.id"], name=f"fk_{table}_{column}_{other}")
