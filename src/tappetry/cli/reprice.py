"""`tappetry reprice`: an old quote at the prices of today."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.streams import answer, show, stage

if TYPE_CHECKING:
    from tappetry.services.reprice import Repriced


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument(
        "kit", type=Path, metavar="KIT", help="what `tappetry kit JOB --json` printed for the quote"
    )
    parser.add_argument(
        "--on", type=_day, metavar="DATE", default=None, help="the day to price it on (default: today)"
    )


def run(arguments: argparse.Namespace) -> int:
    """Print whether the quote stands, and every line whose price has changed."""
    from tappetry.services.reprice import reprice_file
    from tappetry.services.shop import open_shop

    shop = open_shop()
    with stage("the old quote at other prices"):
        found = reprice_file(shop, arguments.kit, arguments.on or date.today())
    if arguments.json:
        answer(_data(found, shop.knowledge.version, shop.catalogue.version))
    else:
        from tappetry.cli.reprice_tables import pages

        show(*pages(found))
    return 0


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text} is no day; expected year-month-day") from None


def _data(found: Repriced, knowledge: str, catalogue: str) -> dict[str, object]:
    from tappetry.presentation.as_json import totals_data, versions_data

    return {
        "job": found.old.job,
        "quoted": found.quoted.isoformat(),
        "valid_until": found.last.isoformat(),
        "today": found.today.isoformat(),
        "stands": found.stands,
        "lines": [
            {
                "part": line.part,
                "supplier": line.supplier,
                "description": line.description,
                "quantity": line.new_quantity,
                "unit_price": [f"{old.unit_price:.2f}", f"{new.unit_price:.2f}"],
                "unit_cost": [f"{old.unit_cost:.2f}", f"{new.unit_cost:.2f}"],
                "difference": f"{line.difference:.2f}",
                "cost_difference": f"{line.cost_difference:.2f}",
            }
            for line in found.changes
            if (old := line.old) is not None and (new := line.new) is not None
        ],
        "difference": f"{found.now.total - found.then.total:.2f}",
        "cost_difference": f"{found.now.parts_cost - found.then.parts_cost:.2f}",
        "totals": {"old": totals_data(found.then), "new": totals_data(found.now)},
        "versions": {
            "old": versions_data(found.old),
            "new": {"knowledge": knowledge, "catalogue": catalogue},
        },
    }
