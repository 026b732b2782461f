"""`tappetry measure`: what a measurement changes in proofs and lines."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show, stage
from tappetry.cli.working import declare_job

#: Where a measurement was stated, for complaints.
READING = "tappetry measure"


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument(
        "readings",
        nargs="+",
        metavar="NAME=VALUE",
        help="what was measured, of the engine (installed-height='1.812 in ±0.002') or of a part of the kit"
        " (valve_springs.solid_in='1.125 in')",
    )


def run(arguments: argparse.Namespace) -> int:
    """Print what changes."""
    from tappetry.jobs.reader import read_job
    from tappetry.presentation.differences import Teller
    from tappetry.services.measured import measured
    from tappetry.services.shop import open_shop

    shop = open_shop()
    job = read_job(arguments.job, shop.knowledge)
    with stage("the kit before and after"):
        found = measured(shop, job, arguments.readings, READING)
    teller = Teller(shop.knowledge, shop.catalogue.suppliers)
    if arguments.json:
        from tappetry.presentation.compared import measured_data, versions_of

        answer({"job": job.id, **measured_data(found, teller), "versions": versions_of(shop)})
    else:
        from tappetry.cli.measure_tables import measured_pages

        show(*measured_pages(found, teller))
    return 0
