"""`tappetry compare`: the packages of a job side by side, or two plans line by line."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, show, stage
from tappetry.cli.working import declare_job

if TYPE_CHECKING:
    from tappetry.services.compare import Difference, Side


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument(
        "other",
        nargs="*",
        type=Path,
        metavar="OTHER",
        help="other jobs beside it (default: the packages)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Print the kits side by side, each against the first."""
    from tappetry.cli.compare_tables import pages
    from tappetry.jobs.reader import read_job
    from tappetry.services.compare import difference, packages, plans
    from tappetry.services.shop import open_shop

    shop = open_shop()
    files = [arguments.job, *arguments.other]
    jobs = [read_job(file, shop.knowledge) for file in files]
    with stage("the kits side by side"):
        sides = plans(shop, jobs) if arguments.other else packages(shop, jobs[0])
        differences = [difference(sides[0], side) for side in sides[1:]]
    if arguments.json:
        answer(
            {
                "job": jobs[0].id,
                "sides": [_side_data(side) for side in sides],
                "differences": [_difference_data(each) for each in differences if each is not None],
            }
        )
    else:
        show(*pages(sides, differences))
    return 0


def _side_data(side: Side) -> dict[str, Any]:
    from tappetry.presentation.as_json import error_data, kit_data

    if side.result is None:
        refused = {} if side.refusal is None else error_data(side.refusal)
        return {"name": side.name, "title": side.title, "kit": None, **refused}
    return {"name": side.name, "title": side.title, "kit": kit_data(side.result.kit)}


def _difference_data(each: Difference) -> dict[str, Any]:
    from tappetry.presentation.as_json import proof_data

    return {
        "from": each.old,
        "to": each.new,
        "total": f"{each.lines.difference:.2f}",
        "hours": float(each.hours),
        "latest_days": [each.latest_old, each.latest_new],
        "lines": [
            {
                "part": line.part,
                "supplier": line.supplier,
                "description": line.description,
                "quantity": [line.old_quantity, line.new_quantity],
                "difference": f"{line.difference:.2f}",
            }
            for line in each.lines.lines
        ],
        "operations_added": list(each.operations_added),
        "operations_dropped": list(each.operations_dropped),
        "proofs": [
            {
                "id": change.id,
                "from": None if change.old is None else proof_data(change.old),
                "to": None if change.new is None else proof_data(change.new),
            }
            for change in each.proofs
        ],
    }
