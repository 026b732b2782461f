"""The ten vehicles of the demo: application, engine, verdict, and what each teaches."""

from __future__ import annotations

from typing import Any

import pytest

from tappetry.identification.resolve import Identification, resolve
from tappetry.identification.vin import read_vin
from tappetry.records.evidence import Grade
from tappetry.records.verdict import Verdict
from tests.identification import shop_text as shop


def identify(vehicle: str) -> Identification:
    return resolve(shop.facts_of(vehicle), shop.families(), shop.attributes())


@pytest.mark.parametrize("vehicle", shop.vehicles(), ids=lambda vehicle: vehicle["id"])
def test_application_engine_and_verdict(vehicle: dict[str, Any]) -> None:
    result = identify(vehicle["id"])
    assert result.engine_as_built.application == vehicle["application"]
    assert result.engine_as_found.application == vehicle["engine"]
    assert [words for words in vehicle["verdict"] if words not in result.verdict] == []
    assert result.engine_as_found.verdict == result.verdict
    if "asks" in vehicle:
        assert result.next_question is not None
        assert result.next_question.attribute == vehicle["asks"]


def test_every_vin_of_the_demo_has_a_fitting_check_digit() -> None:
    numbers = [f["value"] for v in shop.vehicles() for f in v["facts"] if f["attribute"] == "vin"]
    assert len(numbers) == 9
    assert all(read_vin(number).check_digit_fits for number in numbers)


@pytest.mark.parametrize(
    ("vehicle", "year"),
    [("V1", 2004), ("V2", 2007), ("V3", 2006), ("V4", 2012), ("V5", 2012), ("V6", 2013), ("V7", 2019)],
)
def test_model_year_by_position_ten(vehicle: str, year: int) -> None:
    fact = identify(vehicle).engine_as_built.facts["model-year"]
    assert (fact.value, fact.grade) == (float(year), Grade.decoded)


def test_head_bolts_follow_the_casting_that_was_seen() -> None:
    for vehicle, bolts, depth in (("V2", "HB-B", 58.0), ("V3", "HB-A", 90.0)):
        facts = identify(vehicle).engine_as_found.facts
        assert facts["head-bolt-class"].value == bolts
        assert facts["head-bolt-class"].grade == Grade.seen
        assert facts["head-bolt-hole-bottom"].value == depth
        assert "block casting 4417" in facts["head-bolt-class"].source
        assert "head-bolt-class" not in identify(vehicle).engine_as_built.facts


def test_service_block_has_towers_and_its_sealing_is_asked() -> None:
    result = identify("V5")
    facts = result.engine_as_found.facts
    assert facts["deact-towers"].value is True
    assert facts["deact-hardware"].value is False
    assert "towers-sealed" not in facts
    assert "towers-sealed" in result.unknown
    (contradiction,) = facts.disagreements
    assert [fact.value for fact in contradiction.facts] == ["5128-D", "5128"]
    assert "engine swap" not in result.verdict


def test_swapped_transmission_switches_the_deactivation_off_but_leaves_its_hardware() -> None:
    facts = identify("V8").engine_as_found.facts
    assert facts["transmission"].value == "manual 6"
    assert facts["deact-hardware"].value is True
    assert facts["deact-calibrated"].value is False
    assert [f.id for f in identify("V8").findings] == [
        "transmission-swap",
        "contradiction-transmission",
        "deactivation-switched-off",
    ]


def test_swapped_engine_takes_parts_from_the_engine_and_law_from_the_vin() -> None:
    result = identify("V9")
    built, found = result.engine_as_built, result.engine_as_found.facts
    assert (built.facts["variant"].value, built.facts["head-type"].value) == ("B51", "S")
    assert (found["variant"].value, found["head-type"].value) == ("B56", "L")
    assert found["variant"].grade == Grade.seen  # nobody measured the variant, only the bore
    assert found["bore"].grade == Grade.measured
    assert found["gasket-bore"].value == 101.0
    assert (found["application"].value, result.engine_as_found.application) == ("A04", "A07")
    assert found["axle-ratio"].value == 3.73  # the van's, not the sedan's 3.27
    assert found["ecu"].value == "supported"
    assert "A04" in found["ecu"].source
    assert found["phaser-hardware"].grade == Grade.decoded  # deduced, not seen: to be looked at
    (swap,) = [f for f in result.findings if f.id == "vin-vs-engine"]
    assert (swap.verdict, swap.text) == (Verdict.WARN, "engine swap: VIN says variant B51, found B56")


def test_engine_without_a_vehicle_is_known_by_its_plate() -> None:
    result = identify("V10")
    assert result.vin is None
    assert result.engine_as_found.facts["variant"].source == (
        "follows from application A14 (decoded, engine serial CR63-01842)"
    )
    assert result.engine_as_found.facts["engine-origin"].value == "crate"


def test_the_chain_of_reasons_goes_back_to_the_number() -> None:
    facts = identify("V4").engine_as_found.facts
    assert facts["gasket-bore"].source == (
        "follows from variant B56 (decoded, follows from application A06 (decoded, VIN 9ZZW2SSE6CK051209))"
    )
    assert facts["gasket-bore"].unit == "mm"
    assert facts["gasket-bore"].si == pytest.approx(0.101, rel=1e-12)
