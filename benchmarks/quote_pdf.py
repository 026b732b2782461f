"""The quote of a job as PDF, beside an empty page of the same typesetter."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import typst

from benchmarks.demo_shop import jobs_of, shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_pdf
from tappetry.services.kits import kit_for_job


def measure(size: Size) -> Iterator[Pair]:
    with tempfile.TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.typ"
        empty.write_text("")
        for job in jobs_of(size):
            quote = quote_of(shop(), kit_for_job(shop(), job), job.date)
            assert quote_pdf(quote).startswith(b"%PDF")
            yield pair(
                f"quote of {job.id}",
                lambda quote=quote: quote_pdf(quote),
                "an empty page",
                lambda: typst.compile(empty, ignore_system_fonts=True),
                size.rounds,
            )
