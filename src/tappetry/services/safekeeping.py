"""Takes everything out of a shop's database and brings it back: backup, restore, export, import."""

from __future__ import annotations

from pathlib import Path

from tappetry.records.problems import BadInput, Where
from tappetry.services.begin import must_be_free
from tappetry.services.copies import brought_back, keep_copy, step_of_file
from tappetry.services.opening import open_store
from tappetry.services.shop import BOOK, Shop, home, is_shop, open_shop
from tappetry.services.text_files import write_files
from tappetry.store import texts
from tappetry.store.dump import Content, lines, load, read_lines
from tappetry.store.migrate import migrate, steps

__all__ = ["Content", "export_store", "import_store", "shop_for"]


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


def shop_for(file: Path) -> Shop:
    """The shop whose database a file is brought back into; an empty folder gets the text that was in effect.

    So a shop whose disk is lost comes back from a backup alone.

    Raises
    ------
    BadInput
        The folder holds something else than a shop, or cannot be written to; it is empty, and no text stands
        in the file.
    NotKept
        The file is not whole, or of a later version of the program.
    """
    place = home()
    if is_shop(place):
        return open_shop(place)
    must_be_free(place)
    with brought_back(file) as (scratch, _):
        migrate(scratch)
        with scratch.reading() as session:
            version = texts.latest(session)
            files = {} if version is None else texts.files_of(session, version)
    if not files:
        said = "the folder holds no shop, and the file no text of one"
        raise BadInput.at(Where(str(place)), said, file.name, "a folder with the shop's text as it was")
    book_last = sorted(files.items(), key=lambda each: each[0] == BOOK)
    write_files(dict(book_last), place)  # only with it the folder counts as a shop
    return open_shop(place)


def import_store(shop: Shop, url: str, file: Path) -> Content:
    """Bring everything back into a database that holds nothing yet: all of it, or nothing.

    What an earlier version of the program wrote is brought to this one on the way.

    Raises
    ------
    NotKept
        The database is not empty, or the file is not whole.
    """
    step = step_of_file(file)
    database = open_store(shop, url)
    try:
        if step == steps()[-1]:
            return load(database, read_lines(file))
        with brought_back(file) as (scratch, _):
            migrate(scratch)
            return load(database, lines(scratch))
    finally:
        database.close()
