"""What commands on the shop's database share: which database it is, and how its content is told."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.streams import answer

if TYPE_CHECKING:
    from tappetry.services.safekeeping import Content

#: Names the database where the option does not.
VARIABLE = "TAPPETRY_DATABASE"


def declare_database(parser: argparse.ArgumentParser) -> None:
    """The option that names another database than the file in the shop's folder."""
    parser.add_argument(
        "--database",
        default=os.environ.get(VARIABLE, ""),
        metavar="URL",
        help=f"a PostgreSQL database (default: what {VARIABLE} names, else the file shop.db of the shop)",
    )


def declare_file(parser: argparse.ArgumentParser, what: str) -> None:
    """The file that is written or read."""
    parser.add_argument("file", type=Path, metavar="FILE", help=what)


def tell(file: Path, content: Content, *, as_data: bool) -> int:
    """Say how much was written or read, of every table that holds something."""
    if as_data:
        answer({"file": str(file), "rows": dict(content.counts), "sha256": content.checksum})
    else:
        kept = [f"{count} {name.replace('_', ' ')}" for name, count in content.counts.items() if count]
        print(f"{file}: {', '.join(kept) or 'nothing'}; SHA-256 {content.checksum}")
    return 0
