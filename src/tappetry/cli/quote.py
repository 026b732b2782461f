"""`tappetry quote`: the customer's quote as files."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, stage
from tappetry.cli.working import declare_job, declare_out, worked


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    declare_out(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the quote and name its files."""
    from tappetry.services.files import require_folder

    require_folder(arguments.out)
    shop, result = worked(arguments.job)
    from tappetry.presentation.as_json import totals_data
    from tappetry.presentation.papers import write_quote

    with stage("the quote"):
        files = write_quote(shop, result, arguments.out)
    if arguments.json:
        totals = result.kit.totals
        answer(
            {
                "job": result.job.id,
                "files": [str(file) for file in files],
                "totals": None if totals is None else totals_data(totals),
            }
        )
    else:
        print(*files, sep="\n")
    return 0
