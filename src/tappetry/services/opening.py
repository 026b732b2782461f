"""Opens a shop's database: one of an earlier version is backed up first, and then brought to this one."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.orm import Session

from tappetry.records.problems import BadInput, Where
from tappetry.services.copies import folder_of, keep_copy
from tappetry.services.shop import Shop
from tappetry.store.database import Database, sqlite_url
from tappetry.store.dump import lines_of
from tappetry.store.migrate import migrate, steps
from tappetry.store.problems import NotKept, NotMigrated, StoreUnavailable

#: How the address of a database that the store knows begins.
DRIVERS = ("sqlite", "postgresql", "postgresql+psycopg")


def say(text: str) -> None:
    """Say something to whoever started the program."""
    print(f"tappetry: {text}", file=sys.stderr, flush=True)


def open_store(shop: Shop, url: str = "", tell: Callable[[str], None] = say) -> Database:
    """The database of a shop, with the tables of this version of the program.

    Where it holds something and its tables are older, a backup that was proved is made beside it first.

    Parameters
    ----------
    shop : Shop
    url : str
        The address of the database; the file in the shop's folder where it is empty.
    tell : callable
        Is told what is done before anything is changed.

    Raises
    ------
    BadInput
        The address is none of a database that the store knows.
    StoreUnavailable
        The database does not answer; it says which one that is.
    NotKept
        The database is of a later version of the program.
    NotMigrated
        No backup could be made, or a step could not be taken; the database is as it was.
    """
    if url:
        _require_known(url)
    address = url or sqlite_url(shop.folder)
    try:
        database = Database(address)
    except OSError as error:
        raise _named(StoreUnavailable(str(error)), address) from error

    def copy(session: Session, step: str) -> Path:
        now = datetime.now(UTC)
        file = folder_of(database, shop.folder) / f"step-{step}-{now:%Y-%m-%dT%H%M%SZ}.jsonl.gz"
        tell(
            f"the database is of an earlier version (its tables are at step {step}, those of this version at "
            f"{steps()[-1]}); a backup of it is made first"
        )
        try:
            content = keep_copy(lambda: lines_of(session), file, packed=True)
        except (BadInput, NotKept) as error:
            raise NotMigrated(
                f"The database is of an earlier version of the program (its tables are at step {step}). No "
                f"backup of it could be made, so it was left as it is: {error}. See that {file.parent} is a "
                "folder with room that may be written to, and start the program again; or go on with the "
                "version that was used so far."
            ) from error
        tell(f"the backup is {file}: {sum(content.counts.values())} rows, proved by bringing them back")
        return file

    try:
        migrate(database, copy=copy)
    except StoreUnavailable as error:
        database.close()
        raise _named(error, address) from error
    except BaseException:
        database.close()
        raise
    file = _file(address)
    if file is not None and not os.access(file, os.W_OK):
        tell(f"the database {file} may only be read: nothing that is done will be kept. {_let_write(file)}")
    return database


def _file(address: str) -> Path | None:
    """The file of a database; None where it is not one file."""
    url = make_url(address)
    return Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None


def _let_write(file: Path) -> str:
    return (
        f"Let whoever runs the program write to it and to its folder {file.parent}, beside a disk with room; "
        "then start again."
    )


def _named(error: StoreUnavailable, address: str) -> StoreUnavailable:
    """The same, with which database it is and what to do; a password is not shown."""
    file = _file(address)
    if file is not None:
        return StoreUnavailable(error.reason, str(file), _let_write(file))
    shown = make_url(address).render_as_string(hide_password=True)
    return StoreUnavailable(
        error.reason, shown, "See that its server runs and lets this user in; start again."
    )


def _require_known(url: str) -> None:
    """Refuse what is no address of a database that the store knows; a password is not shown again."""
    try:
        named = make_url(url)
    except ArgumentError:
        shown = url if "@" not in url else "an address with an @"
    else:
        if named.drivername in DRIVERS:
            return
        shown = named.render_as_string(hide_password=True)
    raise BadInput.at(
        Where("--database"),
        "no such database is known",
        shown,
        "postgresql://USER@HOST/NAME or sqlite:///FILE",
    )
