"""`tappetry prices`: what a supplier's price list would change; taking it whole or row by row."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.cli.database import declare_database
from tappetry.cli.streams import answer, note, show, stage

if TYPE_CHECKING:
    from tappetry.catalogue.price_columns import PriceColumns
    from tappetry.catalogue.price_list import Proposal
    from tappetry.services.ledger import Ledger
    from tappetry.services.prices import Taken
    from tappetry.services.shop import Shop
    from tappetry.services.text_check import Checked

#: Who does it, as it stands in the trail.
WHO = "command line"
ALL = "all"


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("file", type=Path, metavar="FILE", help="the list: CSV in UTF-8, or XLSX")
    parser.add_argument("--supplier", required=True, metavar="CODE", help="whose list it is")
    parser.add_argument(
        "--reading",
        type=Path,
        metavar="FILE",
        help="how this supplier's lists are read, as YAML; it is kept for later lists",
    )
    parser.add_argument(
        "--take",
        default="",
        metavar="all|LINES",
        help="take all rows about which nothing is odd, or the rows of these lines: 2,5,7",
    )
    parser.add_argument(
        "--gone", action="append", default=[], metavar="NUMBER", help="a part that is sold no longer"
    )
    parser.add_argument(
        "--look",
        action="store_true",
        help="take nothing; say what it would change in the kits of the open jobs",
    )
    parser.add_argument(
        "--stand",
        action="store_true",
        help="the list changes nothing: write down that its prices stand as of today",
    )
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Show what the list would change, or take it."""
    from tappetry.services import prices
    from tappetry.services.files import read_most
    from tappetry.services.shop import open_shop

    shop = open_shop()
    how = _reading(shop, arguments)
    with stage(arguments.file.name) as now:
        text = prices.text_of(read_most(arguments.file, prices.LARGEST, "a price list"), arguments.file.name)
        proposed = prices.proposal(shop, text, arguments.file.name, how, date.today())
        now.result = f"{proposed.count} rows"
    found, taken = None, None
    if arguments.stand:
        ledger = _ledger(shop, arguments)
        prices.stand(ledger, arguments.supplier, proposed, ledger.today, WHO)
    if arguments.look or arguments.take or arguments.gone:
        ledger, lines = _ledger(shop, arguments), _lines(proposed, arguments)
        found = _look(ledger, shop, proposed, lines, arguments.gone)
        if not arguments.look:
            taken = prices.take(
                ledger, arguments.supplier, proposed, lines, arguments.gone, ledger.today, WHO
            )
    if arguments.json:
        answer(_data(proposed, found, taken))
        return 0
    from tappetry.cli.prices_tables import kit_tables, proposal_tables

    if taken is None:
        show(*proposal_tables(proposed))
    if found is not None:
        show(*kit_tables(found))
    if arguments.stand:
        stand = "1 price stands" if proposed.count == 1 else f"{proposed.count} prices stand"
        note(f"written down: {stand} as of today")
    elif taken is None:
        note(f"nothing was taken; --take all takes the {len(prices.undoubted(proposed))} without doubts")
    else:
        note(f"taken: {taken.new} new, {taken.changed} changed, {taken.gone} sold no longer")
        note(
            f"this is version {taken.text} of the shop's text; the parts of before stay in the one before it"
        )
    return 0


def _reading(shop: Shop, arguments: argparse.Namespace) -> PriceColumns:
    from tappetry.catalogue.price_columns import read_price_columns
    from tappetry.records.problems import BadInput, Where
    from tappetry.services import prices

    if arguments.reading is not None:
        return prices.keep_reading(shop, arguments.supplier, read_price_columns(arguments.reading))
    how = prices.reading(shop, arguments.supplier)
    if how is None:
        said = f"nobody has said yet how the lists of {arguments.supplier} are read"
        raise BadInput.at(
            Where("--reading"), said, "", "--reading FILE, or the page of price lists in the app"
        )
    return how


def _ledger(shop: Shop, arguments: argparse.Namespace) -> Ledger:
    from tappetry.presentation.kept import papers
    from tappetry.services.ledger import ledger_of

    return ledger_of(shop, papers(), arguments.database)


def _lines(proposed: Proposal, arguments: argparse.Namespace) -> tuple[int, ...]:
    """The rows that are meant; without any word, all about which nothing is odd."""
    from tappetry.services.prices import undoubted

    if arguments.take == ALL or not (arguments.take or arguments.gone):
        return undoubted(proposed)
    return tuple(_line(word) for word in arguments.take.split(",") if word.strip())


def _look(ledger: Ledger, shop: Shop, proposed: Proposal, lines: tuple[int, ...], gone: list[str]) -> Checked:
    from tappetry.services.price_look import look_now

    with stage("kits of the open jobs") as now:
        found = look_now(ledger, shop, proposed, lines, gone, lambda share, message: None)
        now.result = f"{len(found.jobs)} looked at, {len(found.effects)} would change"
    return found


def _line(word: str) -> int:
    from tappetry.records.problems import BadInput, Where

    if not word.strip().isdecimal():
        raise BadInput.at(Where("--take"), "this is no line", word.strip(), "all, or lines such as 2,5,7")
    return int(word)


def _data(proposed: Proposal, found: Checked | None, taken: Taken | None) -> dict[str, Any]:
    """The proposal, what it would change in kits, and what was taken of it, as data."""
    from tappetry.services.prices import undoubted
    from tappetry.services.text_check import plain

    return {
        "file": proposed.file,
        "catalogue": proposed.catalogue_version,
        "rows": [
            {
                "line": row.line,
                "kind": row.kind.value,
                "supplier": row.part.supplier,
                "part": row.part.number,
                "changes": [
                    {
                        "field": change.field,
                        "before": change.before,
                        "after": change.after,
                        "percent": None if change.percent is None else str(change.percent),
                    }
                    for change in row.changes
                ],
                "remarks": [
                    {"id": remark.id, "weight": remark.weight.value, "text": remark.text}
                    for remark in row.remarks
                ],
                "refused": row.refused,
                "suspicious": row.suspicious,
            }
            for row in proposed.rows
        ],
        "unreadable": [
            {"line": row.line, "cells": list(row.cells), "complaints": [str(each) for each in row.complaints]}
            for row in proposed.unreadable
        ],
        "gone": [part.number for part in proposed.gone],
        "undoubted": list(undoubted(proposed)),
        "kits": None
        if found is None
        else {
            "looked_at": sorted(found.jobs),
            "left": found.left,
            "effects": [plain(each) for each in found.effects],
        },
        "taken": None
        if taken is None
        else {
            "new": taken.new,
            "changed": taken.changed,
            "gone": taken.gone,
            "text": taken.text,
            "catalogue": taken.catalogue,
        },
    }
