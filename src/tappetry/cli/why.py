"""`tappetry why`: the chain behind a line, from the need to who said so."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show
from tappetry.cli.working import declare_job, worked


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument("name", nargs="?", default="", metavar="PART|NEED", help="one part number or need")


def run(arguments: argparse.Namespace) -> int:
    """Print the reasons."""
    shop, result = worked(arguments.job)
    from tappetry.cli.why_tables import reasons, trees
    from tappetry.presentation.as_json import because_data, versions_data

    found = reasons(result.kit, arguments.name)
    if arguments.json:
        answer(
            {
                "job": result.job.id,
                "reasons": [
                    {
                        "part": each.part,
                        "needs": list(each.needs),
                        "what": each.what,
                        "why": [because_data(because) for because in each.why],
                    }
                    for each in found
                ],
                "versions": versions_data(result.kit),
            }
        )
    else:
        show(*trees(found, {need.id: need.title for need in shop.knowledge.needs.values()}))
    return 0
