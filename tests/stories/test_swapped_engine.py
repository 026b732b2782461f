"""An engine that is not the one of the papers: what stands there decides the parts, the VIN the law.

That a measurement beats a paper is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.kitting.support import Ask, bought
from tests.stories.telling import fact, grounds, of, refusal, result

pytestmark = pytest.mark.slow

SWAPPED = Ask(
    "A04",
    "B2",
    facts={
        "vin": fact("9ZZH4V4B89T060021", "seen", "dash plate"),
        "block-casting": fact("5128", "seen", "photo of the block's rear"),
        "bore": fact("99.0 mm", "measured", "through the plug hole of cylinder 1"),
        "phaser-hardware": fact("none", "seen", "front cover without a magnet"),
        "deact-hardware": fact(False, "seen", "no solenoids in the cover"),
    },
)


def test_the_engine_that_stands_there_decides_the_parts() -> None:
    swapped = result(SWAPPED)
    found = swapped.identification.engine_as_found.facts
    assert found["variant"].value == "B56"
    assert found["head-type"].value == "L"
    assert "engine swap: VIN says variant B51, found B56" in swapped.identification.verdict
    lines = bought(swapped.kit)
    assert lines.get("PG-101-130") == 2
    assert "PG-98-130" not in lines


def test_a_gasket_for_the_engine_of_the_papers_hangs_into_the_bore() -> None:
    """98.0 on a bore of 99.0 hangs 0.5 mm into each side; the least is 1.0 mm over the bore."""
    refused = refusal(replace(SWAPPED, plan={"pins": ["PG-98-130"]}))
    assert "overhanging fire ring" in grounds(refused)
    assert "-1 mm, at least 1 mm: 2 mm short" in str(refused)


def test_the_papers_stay_in_charge_of_the_vehicle() -> None:
    swapped = result(SWAPPED)
    built = swapped.identification.engine_as_built
    assert built.application == "A04"
    assert built.facts["variant"].value == "B51"
    assert swapped.kit.legal_note, "the law goes by the place of the car"


def test_a_head_of_the_papers_is_refused_by_its_valves() -> None:
    """The seen head decides: L heads span 94.80 mm, 2.10 mm inside a bore of 99.0."""
    kit = of(SWAPPED)
    span = next(proof for proof in kit.proofs if proof.id == "head-bore-span")
    assert span.value == pytest.approx(2.10)
    assert bought(kit)["PG-IN-1"] == 1


def test_an_automatic_that_is_a_manual_now_gets_no_converter() -> None:
    """Sold as an automatic, manual now: its deactivation is still there and was switched off."""
    coupe = Ask(
        "A13",
        "B2",
        "keep-limited",
        "remove",
        facts={
            "vin": fact("9ZZL3CSN3KP007188", "seen", "dash plate"),
            "transmission": fact("manual 6", "seen", "pedals and transmission tag"),
        },
    )
    swapped = result(coupe)
    verdict = swapped.identification.verdict
    assert "transmission swap: VIN says auto 8, found manual 6" in verdict
    assert "deactivation hardware present, calibration disabled" in verdict
    assert "converter-advice" not in [f.id for f in swapped.kit.findings if f.verdict.name != "PASS"]
