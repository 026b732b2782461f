"""`tappetry kit`: the complete order for a job, proved and priced."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show
from tappetry.cli.working import declare_job, worked


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument("--why", action="store_true", help="say why each line stands in the kit")


def run(arguments: argparse.Namespace) -> int:
    """Print the kit."""
    shop, result = worked(arguments.job)
    from tappetry.cli.identification import identification_data
    from tappetry.cli.kit_tables import kit_pages
    from tappetry.cli.why_tables import reasons, trees
    from tappetry.presentation.as_json import kit_data
    from tappetry.services.doubts import doubted

    result = doubted(shop, result)
    if arguments.json:
        identified = {"identification": identification_data(result.identification)}
        answer(kit_data(result.kit) | {"date": result.job.date.isoformat()} | identified)
        return 0
    titles = shop.knowledge.titles()
    show(*kit_pages(result, titles))
    if arguments.why:
        show(*trees(reasons(result.kit), titles))
    return 0
