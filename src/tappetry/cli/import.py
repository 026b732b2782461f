"""`tappetry import`: put exported lines into an empty database."""

from __future__ import annotations

import argparse

from tappetry.cli.database import declare_database, declare_file, tell
from tappetry.cli.streams import stage


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_file(parser, "what export wrote")
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Do it, and say how much it was."""
    from tappetry.services.safekeeping import import_store, shop_for

    with stage("what the file holds"):
        content = import_store(shop_for(arguments.file), arguments.database, arguments.file)
    return tell(arguments.file, content, as_data=arguments.json)
