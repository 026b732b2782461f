"""Runs the steps on the connection that the program hands over; Alembic looks for this file by its name."""

from __future__ import annotations

from alembic import context

from tappetry.store.models import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
)
context.run_migrations()
