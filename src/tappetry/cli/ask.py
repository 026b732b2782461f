"""`tappetry ask`: what to ask next about a job, what may be ordered now, and what waits for what."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show, stage
from tappetry.cli.working import declare_job


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument(
        "--kits",
        type=_positive,
        metavar="N",
        help="solve at most N kits (default: 200)",
    )


def _positive(text: str) -> int:
    """A whole number of one or more."""
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError(f"{text} is less than 1")
    return number


def run(arguments: argparse.Namespace) -> int:
    """Print the next question and all that hangs on it."""
    from tappetry.cli.ask_tables import pages
    from tappetry.jobs.reader import read_job
    from tappetry.presentation.asked import asked_data
    from tappetry.services.ask import ask
    from tappetry.services.ask_cases import MOST_KITS
    from tappetry.services.shop import open_shop

    shop = open_shop()
    job = read_job(arguments.job, shop.knowledge)
    most = MOST_KITS if arguments.kits is None else arguments.kits
    with stage("a kit for every answer") as now:
        asked = ask(shop, job, most_kits=most)
        now.result = f"{asked.cases} cases, {asked.solved} kits"
    if arguments.json:
        answer(asked_data(asked))
    else:
        show(*pages(asked, job, shop.knowledge))
    return 0
