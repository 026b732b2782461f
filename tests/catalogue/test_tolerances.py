"""A list may state how far a size of a part may be off: it is kept beside the value, and written back."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.reader import known_to, parse_parts
from tappetry.catalogue.writer import write_parts
from tappetry.jobs.reader import read_job
from tappetry.records.part import Part
from tappetry.services.doubts import doubted
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop, demo_folder


@cache
def shop() -> Shop:
    return Shop(demo_folder())


@cache
def kit() -> KitResult:
    return kit_for_job(shop(), read_job(shop().jobs / "J1.yaml", shop().knowledge))


def spring() -> Part:
    (line,) = [line for line in kit().kit.lines if any(f.need == "valve-springs" for f in line.needs)]
    part = shop().catalogue.find(line.supplier, line.part)
    assert part is not None
    return part


def read_back(text: str) -> tuple[Part, ...]:
    return parse_parts(text, "parts.csv", known_to(shop().knowledge), shop().catalogue.suppliers)


@pytest.mark.parametrize(
    ("written", "value", "spread"),
    [
        ("120 ±9", 120.0, (9.0, 9.0)),
        ("120 +4/-9", 120.0, (4.0, 9.0)),
        ("120", 120.0, None),
    ],
)
def test_value_and_tolerance_are_read(written: str, value: float, spread: tuple[float, float] | None) -> None:
    plain = write_parts([spring()])
    text = plain.replace(f"seat_lb={spring().attributes['seat_lb']:g}", f"seat_lb={written}")
    (part,) = read_back(text)
    assert part.attributes["seat_lb"] == value
    assert part.spreads.get("seat_lb") == spread


def test_a_tolerance_in_another_unit_becomes_the_attribute_s_own() -> None:
    text = write_parts([spring()]).replace(
        f"solid_in={spring().attributes['solid_in']:g}", "solid_in=28.194 mm ±0.254"
    )
    (part,) = read_back(text)
    assert part.attributes["solid_in"] == pytest.approx(1.11)
    assert part.spreads["solid_in"] == pytest.approx((0.01, 0.01))


def test_what_was_written_is_read_back() -> None:
    part = replace(spring(), spreads={"seat_lb": (9.0, 9.0), "solid_in": (0.01, 0.005)})
    assert read_back(write_parts([part])) == (part,)


def test_a_tolerance_changes_the_mark_of_a_catalogue() -> None:
    stated = replace(spring(), spreads={"seat_lb": (9.0, 9.0)})
    marks = {Catalogue((part,), shop().catalogue.suppliers).version for part in (spring(), stated)}
    assert len(marks) == 2


def test_the_proofs_of_a_kit_reckon_with_it() -> None:
    parts = [
        replace(part, spreads={"seat_lb": (2.0, 3.0)}) if part == spring() else part
        for part in shop().catalogue.parts
    ]
    (proof,) = [
        each for each in doubted(shop().with_parts(parts), kit()).kit.proofs if each.id == "seat-load"
    ]
    assert proof.doubt is not None
    (share,) = [each for each in proof.doubt.shares if each.name == "valve_springs.seat_lb"]
    assert (share.plus, share.minus, share.origin, share.source) == (
        2.0,
        3.0,
        "stated",
        "the supplier's list",
    )
    assert proof.doubt.estimate
