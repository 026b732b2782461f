"""The books as a table for the shop's accountant: CSV (RFC 4180) in UTF-8."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from io import StringIO

from tappetry.presentation.words import decimal_text
from tappetry.services.journal import JournalEntry

COLUMNS = (
    "posting",
    "date",
    "account",
    "debit",
    "credit",
    "currency",
    "what",
    "paper",
    "job",
    "supplier",
    "written by",
    "takes back",
)
#: With these a table program begins a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def books_csv(entries: Iterable[JournalEntry]) -> bytes:
    """One row for each line of a posting; no text that somebody typed is read as a formula."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for each in entries:
        writer.writerow(
            (
                each.posting,
                each.day.isoformat(),
                plain_cell(each.account),
                decimal_text(each.debit),
                decimal_text(each.credit),
                each.currency,
                plain_cell(each.what),
                plain_cell(each.paper),
                plain_cell(each.job),
                plain_cell(each.supplier),
                plain_cell(each.who),
                "" if each.takes_back is None else each.takes_back,
            )
        )
    return out.getvalue().encode()


def plain_cell(text: str) -> str:
    """A text that table programs show as it is; where it would begin a formula, an apostrophe before it."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA) else text
