"""Takes everything out of a shop's database and brings it back: backup, restore, export, import."""

from __future__ import annotations

from pathlib import Path

from tappetry.services.copies import brought_back, keep_copy
from tappetry.services.opening import open_store
from tappetry.services.shop import Shop
from tappetry.store.dump import Content, lines, load, read_lines, step_of_lines
from tappetry.store.migrate import migrate, steps

__all__ = ["Content", "export_store", "import_store"]


def export_store(shop: Shop, url: str, file: Path, packed: bool = False) -> Content:
    """Write everything to a new file, after it was proved that it can be brought back whole.

    Raises
    ------
    BadInput
        There is such a file already, or it cannot be written.
    StoreUnavailable
        The database does not answer.
    """
    database = open_store(shop, url)
    try:
        return keep_copy(lambda: lines(database), file, packed=packed)
    finally:
        database.close()


def import_store(shop: Shop, url: str, file: Path) -> Content:
    """Bring everything back into a database that holds nothing yet: all of it, or nothing.

    What an earlier version of the program wrote is brought to this one on the way.

    Raises
    ------
    NotKept
        The database is not empty, or the file is not whole.
    """
    step = step_of_lines(read_lines(file))
    database = open_store(shop, url)
    try:
        if step == steps()[-1]:
            return load(database, read_lines(file))
        with brought_back(file) as (scratch, _):
            migrate(scratch)
            return load(database, lines(scratch))
    finally:
        database.close()
