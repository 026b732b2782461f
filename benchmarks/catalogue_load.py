"""Reading and checking a list of a hundred thousand parts, beside splitting its text into cells alone."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from benchmarks.demo_shop import shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, Pair, Size, pair
from tappetry.catalogue.reader import known_to, parse_parts
from tappetry.catalogue.writer import write_parts


def measure(size: Size) -> Iterator[Pair]:
    catalogue = large_catalogue(shop().catalogue, size.parts, SEED)
    text = write_parts(catalogue.parts)
    known = known_to(shop().knowledge)
    parts = parse_parts(text, "parts.csv", known, catalogue.suppliers)
    assert parts == catalogue.parts
    yield pair(
        f"{len(parts)} parts",
        lambda: parse_parts(text, "parts.csv", known, catalogue.suppliers),
        "csv.DictReader alone",
        lambda: list(csv.DictReader(io.StringIO(text))),
        min(size.rounds, 3),
    )
