"""The page of outside sources names every standard and textbook that tests and calculations name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tappetry.calculations.registry import registry

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")
DESIGNATION = re.compile(
    r"\b(?:ISO(?:/IEC)? \d+(?:-\d+)?|EN \d{4,}(?:-\d+)?|DIN \d+|(?:ANSI/)?ASME [A-Z]\d+(?:\.\d+)?"
    r"|NIST SP \d+|GS1 General Specifications|JCGM \d+|IEEE 1788|49 CFR \d+|Regulation \(EC\) \d+/\d+"
    r"|VDI \d+(?:-\d+)?|SAE J\d+|ASTM D\d+|UN Regulation \d+"
    r"|NACA Report \d+|NASA TM-\d+|NASA Reference Publication \d+|IAPWS R\d+-\d+"
    r"|US Standard Atmosphere 1976|CODATA|WMO-No\. \d+"
    r"|Shigley|Heywood|Wahl|Norton|Hertz|Johnson, Contact Mechanics|Hare quota"
    r"|Anderson|Cengel|Moran|Taylor|Toro|Kinsler|Blair|Turns, An Introduction to Combustion"
    r"|Rodriguez|Gillespie|Wahba|Hagen-Poiseuille|Blasius"
    r"|Mardia|Esposito|Wiebe|Woschni|Hohenberg|Chen and Flynn|Barnes-Moss|Douaud|Kalghatgi|Livengood)"
)


def named_in(text: str) -> set[str]:
    return set(DESIGNATION.findall(text))


def test_every_source_that_a_test_names_is_listed() -> None:
    missing = {
        name: str(file.relative_to(ROOT))
        for file in sorted((ROOT / "tests").rglob("*.py"))
        if file.parent != Path(__file__).parent
        for name in named_in(file.read_text(encoding="utf-8"))
        if name not in PAGE
    }
    assert missing == {}, "docs/sources.md does not name them"


def test_every_source_that_a_calculation_names_is_listed() -> None:
    sources = {source for calculation in registry().calculations for source in calculation.sources}
    quoted = {source.text for source in sources if source.kind == "standard" or source.from_memory}
    assert quoted
    # A source quoted without its name being known to DESIGNATION would be missed.
    assert [text for text in sorted(quoted) if not named_in(text)] == []
    assert [text for text in sorted(quoted) if not named_in(text) <= named_in(PAGE)] == []


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("ISO 898-1, least values", {"ISO 898-1"}),
        ("ANSI/ASME Y14.1; ASME B1.1", {"ANSI/ASME Y14.1", "ASME B1.1"}),
        ("as 49 CFR 565.15(c) says", {"49 CFR 565"}),
        ("nothing of the sort, 12", set()),
    ],
)
def test_a_source_is_seen(text: str, names: set[str]) -> None:
    assert named_in(text) == names
