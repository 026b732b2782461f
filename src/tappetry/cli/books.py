"""`tappetry books`: write the books of the shop as CSV for its accountant."""

from __future__ import annotations

import argparse

from tappetry.cli.database import declare_database, declare_file
from tappetry.cli.streams import answer


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_file(parser, "a file, such as books.csv; one of old is replaced")
    for name, what in (("since", "the first day"), ("until", "the last day")):
        parser.add_argument(f"--{name}", default="", metavar="DATE", help=f"{what}, such as 2026-03-01")
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Do it, and say how many lines there are."""
    from tappetry.presentation.books_csv import books_csv
    from tappetry.presentation.kept import papers
    from tappetry.services.files import save
    from tappetry.services.journal import entries
    from tappetry.services.ledger import ledger_of
    from tappetry.services.shop import open_shop

    ledger = ledger_of(open_shop(), papers(), arguments.database)
    try:
        found = entries(ledger, arguments.since, arguments.until)
    finally:
        ledger.database.close()
    save(arguments.file, books_csv(found))
    if arguments.json:
        answer({"file": str(arguments.file), "lines": len(found)})
    else:
        print(f"{arguments.file}: {len(found)} line{'' if len(found) == 1 else 's'}")
    return 0
