"""`tappetry job new`: a commented job, ready to be filled in."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from tappetry.cli.streams import answer, note


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("act", choices=["new"], help="new: make a job to fill in")
    parser.add_argument("file", nargs="?", type=Path, metavar="FILE", help="where to; else it is printed")


def run(arguments: argparse.Namespace) -> int:
    """Print the new job, or write it to a file that is not there yet."""
    from tappetry.services.job_template import job_template, write_job
    from tappetry.services.shop import open_shop

    shop, today = open_shop(), date.today()
    if arguments.file is None:
        text = job_template(shop, today)
        answer({"text": text}) if arguments.json else print(text, end="")
        return 0
    written = write_job(shop, arguments.file, today)
    if arguments.json:
        answer({"file": str(written)})
    else:
        note(f"{written}: fill in what stands empty, then: tappetry kit {written}")
    return 0
