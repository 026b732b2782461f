"""Drawings of proofs in the quote: what they say is what the proofs found, and they stand on the paper."""

from __future__ import annotations

import io
import json
import re

import pypdfium2
import pytest

from tappetry.presentation.drawn import drawings
from tappetry.presentation.measures import INCH, METRIC
from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_data, quote_pdf
from tappetry.quantities.units import from_si
from tappetry.services.drawings import closeness, spring_travel
from tappetry.services.kits import KitResult, kit_for_file
from tests.kitting.support import demo

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def result() -> KitResult:
    return kit_for_file(demo(), demo().jobs / "J1.yaml")


def test_words_tell_the_least_clearance_and_the_loads(result: KitResult) -> None:
    told = drawings(result, METRIC)
    valves = closeness(result)
    for sentence, found in zip(told["valves"][1], valves.values(), strict=True):
        least = from_si(float(found.approach.clearances.min()), "mm", "length")
        assert f"{least:.2f} mm" in sentence
    spring = spring_travel(result)
    assert spring is not None
    (sentence,) = told["spring"][1]
    assert f"{spring.load(0.0):,.0f} N" in sentence
    assert drawings(result, INCH)["spring"][1] != told["spring"][1]


def test_the_quote_shows_how_it_fits(result: KitResult) -> None:
    quote = quote_of(demo(), result, result.job.date)
    data = quote_data(quote)
    assert [each["title"] for each in data["drawings"]] == [
        "Valves and pistons around overlap",
        "Spring load over lift",
    ]
    assert "<path" not in json.dumps(data["drawings"]), "a picture is for the paper alone"
    paper = quote_pdf(quote)
    assert quote_pdf(quote) == paper
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(io.BytesIO(paper))]
    (page,) = [re.sub(r"\s+", " ", text) for text in pages if "How it fits" in text]
    for each in data["drawings"]:
        for sentence in each["told"]:
            assert sentence in page
    assert "crank angle after top dead centre of gas exchange" in page, "the words of a drawing are words"
