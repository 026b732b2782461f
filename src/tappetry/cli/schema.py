"""`tappetry schema`: the published schema of a text file."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="which file; without it all names are listed")


def run(arguments: argparse.Namespace) -> int:
    """Print one schema, or the names of all."""
    from tappetry.services.schemas import schema, schema_names

    if arguments.name is not None:
        answer(schema(arguments.name))
    elif arguments.json:
        answer({"schemas": list(schema_names())})
    else:
        print(*schema_names(), sep="\n")
    return 0
