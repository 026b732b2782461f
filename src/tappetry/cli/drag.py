"""`tappetry drag`: what each choice of the plan drags along, before it is chosen."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show, stage
from tappetry.cli.working import declare_job


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument(
        "choice",
        nargs="?",
        default="",
        metavar="CHOICE",
        help="one choice in full, such as phaser or phaser=remove (default: all in brief)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Print the drag lists."""
    from tappetry.cli.drag_tables import brief, in_full
    from tappetry.jobs.reader import read_job
    from tappetry.presentation.compared import drag_lists_data, versions_of
    from tappetry.presentation.differences import Teller
    from tappetry.services.drag import drag_lists
    from tappetry.services.shop import open_shop

    shop = open_shop()
    job = read_job(arguments.job, shop.knowledge)
    with stage("every other choice of the plan") as now:
        lists = drag_lists(shop, job, arguments.choice)
        now.result = f"{len(lists.drags)} tried"
    teller = Teller(shop.knowledge, shop.catalogue.suppliers)
    if arguments.json:
        answer({**drag_lists_data(lists, teller), "versions": versions_of(shop)})
    else:
        show(*(in_full if arguments.choice else brief)(lists, teller))
    return 0
