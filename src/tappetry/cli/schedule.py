"""The options that say when `tappetry serve` makes backups, where they lie, and which are kept."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tappetry.services.backups import Schedule

HOUR = 3
KEPT = "14,8,12"
MOST_KEPT = 10_000


def declare_schedule(parser: argparse.ArgumentParser) -> None:
    """State the options."""
    parser.add_argument(
        "--backup-folder",
        type=Path,
        metavar="FOLDER",
        help="where the daily backups lie, such as on another disk (default: backups, beside the database)",
    )
    parser.add_argument(
        "--backup-hour",
        type=int,
        default=HOUR,
        metavar="H",
        help=f"the hour from which the day's backup is made (default: {HOUR})",
    )
    parser.add_argument(
        "--keep-backups",
        default=KEPT,
        metavar="DAYS,WEEKS,MONTHS",
        help=f"of how many days, weeks and months the last one is kept (default: {KEPT})",
    )


def read_schedule(arguments: argparse.Namespace) -> Schedule:
    """The schedule that is meant.

    Raises
    ------
    BadInput
        No such hour, or no such numbers.
    """
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.backups import Schedule

    if not 0 <= arguments.backup_hour <= 23:
        raise BadInput.at(Where("--backup-hour"), "no such hour", arguments.backup_hour, "0 to 23")
    said = arguments.keep_backups.split(",")
    counts = [int(each) if each.isascii() and each.isdecimal() else -1 for each in said]
    if len(counts) != 3 or not all(0 <= each <= MOST_KEPT for each in counts) or counts[0] == 0:
        expected = f"three numbers to {MOST_KEPT} with commas between, at least one day, such as {KEPT}"
        raise BadInput.at(Where("--keep-backups"), "no such numbers", arguments.keep_backups, expected)
    days, weeks, months = counts
    folder = arguments.backup_folder
    return Schedule(folder.absolute() if folder else None, arguments.backup_hour, days, weeks, months)
