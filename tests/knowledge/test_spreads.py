"""Assumed spreads are read in the unit of what they are of; what cannot be meant is told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.knowledge.loader import load
from tappetry.knowledge.spreads import ENGINE, PART
from tappetry.records.problems import BadInput
from tappetry.services.shop import demo_folder
from tests.knowledge.shops import plant

WHY = "why: it is so, source: shop"


@pytest.mark.slow
def test_a_distance_is_kept_in_the_unit_of_each_name(tmp_path: Path) -> None:
    text = f"- {{id: axle, engine: [converter-stall], unmeasured: 50 rpm, {WHY}}}\n"
    text += f"- {{id: tyres, engine: [tyre-diameter], unmeasured: 12.7 mm, measured: 0.1 in, {WHY}}}"
    spreads = load(plant(tmp_path, "spreads.yaml", text).folder).spreads
    tyres = spreads.rule(ENGINE, "tyre_diameter_in")
    assert tyres is not None
    assert tyres.unmeasured is not None
    assert tyres.measured is not None
    assert tyres.unmeasured.of(27.0) == pytest.approx(0.5, rel=1e-12)
    assert tyres.measured.of(27.0) == pytest.approx(0.1, rel=1e-12)


def test_a_share_grows_with_the_value_whatever_its_sign() -> None:
    rule = load(demo_folder()).spreads.rule(PART, "seat_lb")
    assert rule is not None
    assert rule.unmeasured is not None
    assert rule.unmeasured.of(125.0) == rule.unmeasured.of(-125.0) == pytest.approx(10.0, rel=1e-12)


def test_a_name_stands_before_its_kind() -> None:
    spreads = load(demo_folder()).spreads
    named, of_its_kind = spreads.rule(ENGINE, "bore_mm"), spreads.rule(ENGINE, "deck_height_mm")
    assert named is not None
    assert of_its_kind is not None
    assert (named.id, of_its_kind.id) == ("cylinder-bore", "any-length")


def test_without_either_figure_a_value_is_taken_as_exact() -> None:
    rule = load(demo_folder()).spreads.rule(ENGINE, "fuel_octane")
    assert rule is not None
    assert (rule.unmeasured, rule.measured) == (None, None)


def test_of_what_no_entry_speaks_nothing_is_assumed() -> None:
    spreads = load(demo_folder()).spreads
    assert spreads.rule(ENGINE, "mileage_km") is None
    assert spreads.rule(PART, "bore_km") is None


@pytest.mark.parametrize(
    ("entry", "field", "value", "message"),
    [
        ("{id: a, engine: [deck-heigth], WHY}", "engine[0]", "deck-heigth", "nothing has this name"),
        ("{id: a, engine: [block-casting], WHY}", "engine[0]", "block-casting", "nothing has this name"),
        ("{id: a, part: [seat_lb], unmeasured: 5 %, WHY}", "part[0]", "seat_lb", "the name stands twice"),
        ("{id: a, engine: [damper-diameter], unmeasured: 5 lb, WHY}", "unmeasured", "5 lb", "'5 lb'"),
    ],
)
def test_a_mistake_is_told_with_its_place(
    tmp_path: Path, entry: str, field: str, value: str, message: str
) -> None:
    planted = plant(tmp_path, "spreads.yaml", "- " + entry.replace("WHY", WHY))
    with pytest.raises(BadInput) as error:
        load(planted.folder)
    (told,) = error.value.complaints
    assert (told.where.file, told.where.line) == ("spreads.yaml", planted.line)
    assert told.where.field.endswith(f"].{field}")
    assert told.value == value
    assert message in told.message
