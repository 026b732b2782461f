"""`tappetry compare`: packages, plans or days side by side, and what changes between them in words."""

from __future__ import annotations

import argparse
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.streams import answer, note, show, stage
from tappetry.cli.working import declare_job

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tappetry.records.job import Job
    from tappetry.services.shop import Shop
    from tappetry.services.sides import Side

WITH = "--with"


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
    parser.add_argument(
        WITH,
        dest="changes",
        nargs="+",
        action="append",
        default=[],
        metavar="name=value",
        help="the same job with another plan beside it, such as phaser=remove heads=off; may be repeated",
    )
    parser.add_argument(
        "--days",
        action="store_true",
        help="what each day costs: the best kit whose last part is here by then",
    )
    parser.add_argument(
        "--chart", type=Path, metavar="FILE", help="with --days: cost by day as a .svg or .png picture"
    )


def run(arguments: argparse.Namespace) -> int:
    """Print the kits side by side."""
    from tappetry.jobs.reader import read_job
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.shop import open_shop
    from tappetry.services.what_if import what_if

    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import require_picture

        if not arguments.days:
            raise BadInput.at(Where("--chart"), "only days are drawn", arguments.chart, "--days beside it")
        require_picture(arguments.chart)
    shop = open_shop()
    job = read_job(arguments.job, shop.knowledge)
    if arguments.days:
        if arguments.other:
            raise BadInput.at(
                Where("--days"), "days are compared for one job", arguments.other[0], "no OTHER"
            )
        for changes in arguments.changes:
            job = what_if(job, changes, shop.knowledge, WITH)
        return _days(shop, job, arguments.chart, as_data=arguments.json)
    with stage("the kits side by side"):
        sides = _sides(shop, job, arguments)
    plans = bool(arguments.other or arguments.changes)
    pairs = [(sides[0] if plans else before, after) for before, after in pairwise(sides)]
    return _show(shop, job, sides, pairs, as_data=arguments.json)


def _sides(shop: Shop, job: Job, arguments: argparse.Namespace) -> tuple[Side, ...]:
    """The plans that are asked for, else the packages."""
    from tappetry.jobs.reader import read_job
    from tappetry.services.sides import packages, plans
    from tappetry.services.what_if import what_if

    if not arguments.other and not arguments.changes:
        return packages(shop, job)
    jobs = [job, *(read_job(file, shop.knowledge) for file in arguments.other)]
    stated = [(each.id, each) for each in jobs]
    stated += [
        (" ".join(changes), what_if(job, changes, shop.knowledge, WITH)) for changes in arguments.changes
    ]
    return plans(shop, stated)


def _show(
    shop: Shop, job: Job, sides: Sequence[Side], pairs: Sequence[tuple[Side, Side]], *, as_data: bool
) -> int:
    from tappetry.cli.compare_tables import pages
    from tappetry.presentation.compared import difference_data, side_data, versions_of
    from tappetry.presentation.differences import Teller
    from tappetry.services.differences import difference

    teller = Teller(shop.knowledge, shop.catalogue.suppliers)
    differences = [difference(shop.knowledge, before, after) for before, after in pairs]
    if as_data:
        answer(
            {
                "job": job.id,
                "sides": [side_data(side) for side in sides],
                "differences": [difference_data(each, teller) for each in differences if each is not None],
                "versions": versions_of(shop),
            }
        )
    else:
        show(*pages(sides, list(zip(pairs, differences, strict=True)), teller))
    return 0


def _days(shop: Shop, job: Job, chart: Path | None, *, as_data: bool) -> int:
    """Print what each day costs."""
    from tappetry.cli.compare_tables import days_pages
    from tappetry.presentation.compared import front_data, versions_of
    from tappetry.presentation.differences import Teller
    from tappetry.services.front import front

    with stage("the best kit for each day"):
        found = front(shop, job)
    if chart is not None:
        from tappetry.presentation.charts.chart import write
        from tappetry.presentation.charts.front import cost_by_day

        note(f"  {write(cost_by_day(found, job.id), chart)}")
    teller = Teller(shop.knowledge, shop.catalogue.suppliers)
    if as_data:
        answer({"job": job.id, **front_data(found, teller), "versions": versions_of(shop)})
    else:
        show(*days_pages(found, teller))
    return 0
