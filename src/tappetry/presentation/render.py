"""Data to PDF: a template set with typst, its data handed over as JSON, the same bytes for the same data."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from io import StringIO
from pathlib import Path
from typing import Any

from tappetry.records.problems import BadInput, OurFault, Where

TEMPLATES = Path(__file__).parent / "templates"

#: The papers a shop may print on, and their names in the template.
PAPERS = {"A4": "a4", "Letter": "us-letter"}


def pdf(template: str, data: Mapping[str, Any], on: date, paper: str = "A4") -> bytes:
    """Set a paper and return the PDF.

    Only the fonts inside typst are used, and the date is the given one: the same data give the
    same bytes on every machine.

    Parameters
    ----------
    template : str
        Name of a file in ``templates`` without its ending.
    data : mapping
        All that the template shows, JSON-able.
    on : date
        The date of the paper.
    paper : str
        ``A4`` or ``Letter``.

    Raises
    ------
    BadInput
        A paper size that is not known.
    OurFault
        The template cannot be set.
    """
    import typst

    if paper not in PAPERS:
        raise BadInput.at(Where(field="shop.paper"), "no such paper", paper, " or ".join(PAPERS))
    whole = {**data, "paper": PAPERS[paper], "date_parts": [on.year, on.month, on.day]}
    try:
        made = typst.compile(
            TEMPLATES / f"{template}.typ",
            root=TEMPLATES,
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(whole, ensure_ascii=False, sort_keys=True)},
            timestamp=datetime(on.year, on.month, on.day, tzinfo=UTC),
        )
    except typst.TypstError as error:
        raise OurFault(f"the paper '{template}' cannot be set: {error}", {"data": whole}) from error
    if not isinstance(made, bytes):
        raise OurFault(f"the paper '{template}' gave no PDF", {"data": whole})
    return made


def qr_svg(text: str) -> str:
    """A QR code (ISO/IEC 18004, error correction M) of a plain text as an SVG drawing."""
    import segno

    drawing = StringIO()
    code = segno.make_qr(text, error="m")
    drawing.write(code.svg_inline(border=0, omitsize=True, dark="#1d2b33"))
    return drawing.getvalue()
