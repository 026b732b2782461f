"""`tappetry backup`: write a packed copy of the database, proved by bringing it back."""

from __future__ import annotations

import argparse

from tappetry.cli.database import declare_database, declare_file, tell
from tappetry.cli.streams import stage


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_file(parser, "a new file, such as shop-2026-03-02.jsonl.gz")
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Do it, and say how much it was."""
    from tappetry.services.safekeeping import export_store
    from tappetry.services.shop import open_shop

    with stage("the copy, and its proof"):
        content = export_store(open_shop(), arguments.database, arguments.file, packed=True)
    return tell(arguments.file, content, as_data=arguments.json)
