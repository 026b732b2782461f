"""The handbook's pages: up to date, every calculation on one of them, and drawings that are sound."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from scripts.drawings import DRAWINGS
from scripts.handbook import FOLDER, PICTURES, pages
from tappetry.calculations.registry import registry

WRITTEN = {file.name: file.read_text(encoding="utf-8") for file in sorted(FOLDER.iterdir())}
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.slow
def test_the_pages_are_up_to_date() -> None:
    made = pages()
    assert sorted(WRITTEN) == sorted(made)
    old = [name for name, text in made.items() if WRITTEN[name] != text]
    assert old == [], "the pages are old: run 'python -m scripts.handbook'"


def test_every_calculation_stands_there_once() -> None:
    headings = [name for text in WRITTEN.values() for name in re.findall(r"^## (\S+)$", text, re.MULTILINE)]
    assert sorted(headings) == sorted(registry().names)


def test_every_chapter_and_every_drawing_is_shown() -> None:
    assert PICTURES.keys() <= registry().chapters.keys()
    assert sorted(name for drawings in PICTURES.values() for name in drawings) == sorted(DRAWINGS)
    index = WRITTEN["README.md"]
    assert [name for name in WRITTEN if name.endswith(".md") and f"({name})" not in index] == ["README.md"]


def test_pages_of_calculations_that_were_judged_say_so() -> None:
    assert "Judged by the outside checks BJ-07, BJ-17." in WRITTEN["joints.md"]
    assert "Judged by the outside checks VT-07." in WRITTEN["timing.md"]


def kinds_with_a_stroke(style: str) -> set[str]:
    """The classes of shapes to which a style sheet gives a colour."""
    rules = re.findall(r"([^{}]+){([^{}]*)}", style)
    return {
        kind for selectors, said in rules if "stroke: #" in said for kind in re.findall(r"\.(\w+)", selectors)
    }


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_stay_within_their_frame_and_show_in_the_dark(name: str) -> None:
    root = ElementTree.fromstring(WRITTEN[f"{name}.svg"])
    width, height = (float(end) for end in root.attrib["viewBox"].split()[2:])
    used = {shape.attrib["class"] for shape in root if "class" in shape.attrib} - {"small"}
    light, dark = (root.findtext(f"{SVG}style") or "").split("@media (prefers-color-scheme: dark)")
    assert used
    assert used <= kinds_with_a_stroke(light)
    assert used <= kinds_with_a_stroke(dark)
    assert "text { fill: #" in dark
    for shape in root.iter(f"{SVG}path"):
        numbers = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", shape.attrib["d"])]
        assert all(0 <= x <= width for x in numbers[0::2])
        assert all(0 <= y <= height for y in numbers[1::2])
    for text in root.iter(f"{SVG}text"):
        assert 0 <= float(text.attrib["x"]) <= width
        assert 0 <= float(text.attrib["y"]) <= height
