"""`tappetry why`: the chain behind a line, from the need to who said so, and why not another part."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show, stage
from tappetry.cli.working import declare_job, worked


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument("name", nargs="?", default="", metavar="PART|NEED", help="one part number or need")


def run(arguments: argparse.Namespace) -> int:
    """Print the reasons, and what else there was."""
    shop, result = worked(arguments.job)
    from tappetry.cli.why_tables import left_out, overview, reasons, runners_up, trees
    from tappetry.presentation.as_json import because_data, versions_data
    from tappetry.presentation.why_not import why_not_data
    from tappetry.services.why import why_not

    found = reasons(result.kit, arguments.name, shop.knowledge.needs)
    needs = [need for reason in found for need in reason.needs] or [arguments.name]
    with stage("what else there was") as now:
        places = why_not(shop, result, dict.fromkeys(needs) if arguments.name else ())
        now.result = f"{sum(len(place.runners_up) for place in places)} parts, each forced in"
    found = found or left_out(places)
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
                "places": [why_not_data(place) for place in places],
                "versions": versions_data(result.kit),
            }
        )
    elif arguments.name:
        titles = {need.id: need.title for need in shop.knowledge.needs.values()}
        show(*trees(found, titles), *runners_up(places))
    else:
        show(*overview(result.kit, places))
    return 0
