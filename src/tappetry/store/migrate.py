"""Brings a database to the tables of this version of the program."""

from __future__ import annotations

from importlib import resources

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from tappetry.store.database import Database
from tappetry.store.problems import NotKept


def migrate(database: Database, to: str = "head") -> None:
    """Take every step that a database has not taken yet, each in one transaction with its mark.

    Raises
    ------
    NotKept
        The database was made by a later version of the program.
    """
    config = Config()
    config.set_main_option("script_location", str(resources.files("tappetry.store") / "migrations"))
    with database.writing() as session:
        connection = session.connection()
        now = MigrationContext.configure(connection).get_current_revision()
        known = {step.revision for step in ScriptDirectory.from_config(config).walk_revisions()}
        if now is not None and now not in known:
            raise NotKept(
                f"The database is of a later version of the program (its tables are at step {now}). "
                "Install that version; this one leaves the database as it is."
            )
        config.attributes["connection"] = connection
        command.upgrade(config, to)
