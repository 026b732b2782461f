"""`tappetry identify`: which engine it is, and what to ask next."""

from __future__ import annotations

import argparse
from pathlib import Path

from tappetry.cli.streams import answer, show


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("job", nargs="?", type=Path, metavar="JOB", help="a job whose facts count too")
    parser.add_argument("--vin", default="", help="the number on the plate")
    parser.add_argument(
        "--casting",
        action="append",
        default=[],
        help="a casting number, or attribute=number; may be repeated",
    )
    parser.add_argument(
        "--fact",
        action="append",
        default=[],
        metavar="id=value@grade",
        help="anything else that is known; told where no grade is stated; may be repeated",
    )


def run(arguments: argparse.Namespace) -> int:
    """Print the identification."""
    from tappetry.cli import identification as shown
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.identify import identify_facts, identify_file, stated_facts
    from tappetry.services.shop import open_shop

    shop = open_shop()
    stated = stated_facts(shop.knowledge, arguments.vin, arguments.casting, arguments.fact)
    if arguments.job is not None:
        found = identify_file(shop, arguments.job, stated)
    elif stated:
        found = identify_facts(shop, stated)
    else:
        raise BadInput.at(
            Where("tappetry identify"), "nothing is stated", "", "--vin, --casting, --fact or a job"
        )
    if arguments.json:
        answer(shown.identification_data(found))
        return 0
    show(*shown.identification_tables(found), *shown.findings_tables("Findings", found.findings))
    show(*shown.candidates_table(found), *shown.question_tables(found))
    return 0
