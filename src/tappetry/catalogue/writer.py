"""Writes a list of parts; reading what was written gives the same parts."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from tappetry.catalogue.attributes import plain_text
from tappetry.catalogue.cells import attribute_text, content_text, fill_text, fits_text
from tappetry.catalogue.columns import COLUMNS
from tappetry.records.part import Part


def write_parts(parts: Iterable[Part]) -> str:
    """The parts as the text of a list, in the order given.

    Raises
    ------
    ValueError
        A value that would be read as something else.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(part_row(part) for part in parts)
    return text.getvalue()


def part_row(part: Part) -> tuple[str, ...]:
    """The cells of one part, in the order of the columns."""
    return (
        plain_text(part.number, ""),
        plain_text(part.supplier, ""),
        fill_text(part.fills),
        plain_text(part.description, ""),
        fits_text(part.fits),
        attribute_text(part.attributes, spreads=part.spreads),
        content_text(part.contents),
        plain_text(part.unit, ""),
        str(part.pieces),
        f"{part.cost:.2f}",
        f"{part.price:.2f}",
        str(part.lead_days),
        f"{part.core_charge:.2f}",
        "yes" if part.returnable else "no",
        part.tax_class,
        part.status,
        part.superseded_by and plain_text(part.superseded_by, ""),
        part.note and plain_text(part.note, ""),
    )
