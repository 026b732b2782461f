"""`tappetry order`: the order to each supplier as files."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, stage
from tappetry.cli.working import declare_job, declare_out, worked


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    declare_out(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the orders and name their files."""
    from tappetry.services.files import require_folder

    require_folder(arguments.out)
    shop, result = worked(arguments.job)
    from tappetry.presentation.papers import write_orders

    with stage("the orders") as now:
        files = write_orders(shop, result, arguments.out)
        now.result = f"{len(dict.fromkeys(line.supplier for line in result.kit.lines))} suppliers"
    if arguments.json:
        answer({"job": result.job.id, "files": [str(file) for file in files]})
    else:
        print(*files, sep="\n")
    return 0
