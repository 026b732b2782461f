"""Proofs of receiving, bench and hand-off: silent in a quote, open when half measured, then a verdict."""

from __future__ import annotations

from typing import Any

import pytest

from tappetry.records.verdict import Proof, Verdict
from tests.kitting.support import Ask, demo
from tests.proofs.matrix import Bench
from tests.stories.telling import finding_of, no_paper, of, of_job, proof_of, refusal

pytestmark = pytest.mark.slow

LATER = {proof.id: proof for proof in demo().knowledge.proofs.values() if proof.stage != "order"}
PV_READ = {"pv-read-gasket": "1.30 mm", "pv-read-ratio": 1.65, "pv-read-centreline": "109 deg"}
KEYED = {"correction-key": "2 deg", "correction-bushing": "0 deg", "correction-trim": "0 deg"}

#: Of each proof what is measured when it holds, and when not, on a B56 with camshaft B2 and spring S2.
READINGS: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("core-journals", {"cam-journal-measured": "57.99 mm"}, {"cam-journal-measured": "57.50 mm"}),
    ("spring-lot", {"spring-load-spread": "10 %"}, {"spring-load-spread": "11 %"}),
    ("card-duration", {"duration-measured": "219.5 deg"}, {"duration-measured": "221 deg"}),
    ("card-lift", {"lobe-lift-measured": "0.3415 in"}, {"lobe-lift-measured": "0.340 in"}),
    ("card-separation", {"separation-measured": "112.5 deg"}, {"separation-measured": "111 deg"}),
    ("spring-not-solid-measured", {"height-shortest": "1.745 in"}, {"height-shortest": "1.735 in"}),
    ("seat-load-measured", {"height-tallest": "1.860 in"}, {"height-tallest": "1.870 in"}),
    ("retainer-to-seal-measured", {"seal-distance-least": "0.632 in"}, {"seal-distance-least": "0.628 in"}),
    ("lift-at-valve", {"lift-measured": "0.560 in"}, {"lift-measured": "0.555 in"}),
    ("pushrod-length", {"pushrod-measured": "7.440 in"}, {"pushrod-measured": "7.450 in"}),
    ("pushrod-readings", {"pushrod-readings-spread": "0.015 in"}, {"pushrod-readings-spread": "0.025 in"}),
    ("preload-least", {"preload-turns-least": 0.8}, {"preload-turns-least": 0.7}),
    ("preload-most", {"preload-turns-most": 1.25}, {"preload-turns-most": 1.3}),
    ("rocker-pattern-width", {"rocker-pattern-width": "0.080 in"}, {"rocker-pattern-width": "0.085 in"}),
    ("rocker-pattern-offset", {"rocker-pattern-offset": "-0.040 in"}, {"rocker-pattern-offset": "-0.045 in"}),
    ("oil-band", {"oil-band-land": "1.5 mm"}, {"oil-band-land": "1.2 mm"}),
    ("pv-intake-measured", {"pv-intake-measured": "0.081 in"}, {"pv-intake-measured": "0.079 in"}),
    ("pv-exhaust-measured", {"pv-exhaust-measured": "0.101 in"}, {"pv-exhaust-measured": "0.099 in"}),
    ("pv-pocket", {"pv-pocket-measured": "0.055 in"}, {"pv-pocket-measured": "0.045 in"}),
    ("pv-stale", PV_READ, {**PV_READ, "pv-read-ratio": 1.75}),
    (
        "degree",
        {"degree-opening": "68 deg", "degree-closing": "151 deg"},
        {"degree-opening": "68 deg", "degree-closing": "146 deg"},
    ),
    ("one-correction", KEYED, {**KEYED, "correction-trim": "-1 deg"}),
    (
        "correlation",
        {"correlation-shift": "-4 deg", "correlation-limit": "4 deg"},
        {"correlation-shift": "-5 deg", "correlation-limit": "4 deg"},
    ),
    (
        "pickup-ring-measured",
        {"ring-section": "2.5 mm", "pump-inlet-measured": "20.8 mm"},
        {"ring-section": "3.1 mm", "pump-inlet-measured": "20.8 mm"},
    ),
    ("pickup-gap", {"pickup-to-pan": "8 mm"}, {"pickup-to-pan": "4 mm"}),
    ("cover-flush", {"cover-below-rail": "0.3 mm"}, {"cover-below-rail": "-0.1 mm"}),
    (
        "damper-depth",
        {"damper-depth": "2.6 mm", "damper-depth-min": "2.4 mm", "damper-depth-max": "4.5 mm"},
        {"damper-depth": "2.2 mm", "damper-depth-min": "2.4 mm", "damper-depth-max": "4.5 mm"},
    ),
    (
        "phaser-calibration-limit",
        {"calibration-phaser-limit": "14 deg"},
        {"calibration-phaser-limit": "30 deg"},
    ),
]  # fmt: skip


def measured(facts: dict[str, Any]) -> Bench:
    """A sedan with its phaser behind a limiter, at the bench."""
    found = Bench("A06", "keep-limited", facts).grind("B2").spring("S2")
    found.new("phaser-limiter", degrees_left=14.0).put("lifters-standard", "BT-7350-16")
    return found.new("pushrods", length_in=7.425)


def test_every_proof_of_a_later_stage_is_tried() -> None:
    assert [name for name, _, _ in READINGS] == list(LATER)


@pytest.mark.parametrize(("name", "good", "bad"), READINGS, ids=[name for name, _, _ in READINGS])
def test_a_measurement_has_its_verdict(name: str, good: dict[str, Any], bad: dict[str, Any]) -> None:
    assert measured({}).silent(name)
    assert measured(good).proof(name).verdict is Verdict.PASS
    failed = measured(bad).proof(name)
    assert failed.verdict is Verdict[LATER[name].severity]
    assert failed.advice
    assert set(good) <= facts_of(failed)


def facts_of(proof: Proof) -> set[str]:
    """The facts about the engine that a proof rests on, by the ids that a job uses."""
    ids = {f"engine.{each.name_in_conditions}": each.id for each in demo().knowledge.attributes.values()}
    return {ids[item.name] for item in proof.inputs if item.name in ids}


@pytest.mark.parametrize("name", sorted(LATER))
def test_what_is_measured_is_a_finding(name: str) -> None:
    attributes = demo().knowledge.attributes
    assert {attributes[each].about for each in LATER[name].measured} == {"finding"}


@pytest.mark.parametrize("job", ["J1", "J3", "J5"])
def test_a_quote_hears_nothing_of_the_bench(job: str) -> None:
    kit = of_job(job).kit
    assert {proof.id for proof in kit.proofs} & LATER.keys() == set()
    assert kit.unknowns == ()


def at_the_bench(**facts: Any) -> Ask:
    """The sedan of the bench as a job, with what was measured."""
    plan = {"pins": ["LX-3170"]}
    return Ask(
        "A06",
        "B2",
        "keep-limited",
        "remove",
        facts={k.replace("_", "-"): v for k, v in facts.items()},
        plan=plan,
    )


def test_half_of_a_measurement_is_open_and_asks_for_the_rest() -> None:
    kit = of(at_the_bench(degree_opening="68 deg", tensioner_released=True))
    assert proof_of(kit, "degree").verdict is Verdict.UNKNOWN
    asked = {unknown.attribute: unknown for unknown in kit.unknowns}
    assert asked["degree-closing"].hangs_on_it == ("degree",)
    assert asked["degree-closing"].question == "Which reading does the closing side give?"


def test_a_measured_clearance_that_is_too_small_stops_the_job() -> None:
    refused = refusal(at_the_bench(pv_intake_measured="0.071 in"))
    assert refused.arithmetic == (
        "least reading over the overlap and the phaser's range = 0.071 in, at least 0.08 in: 0.009 in short"
    )
    assert refused.grounds[1].text == "engine.pv_intake_measured_in = 0.071"
    assert refused.ways_out == ["retard, deeper pockets, or a smaller cam"]


def test_a_camshaft_off_its_card_is_signed_or_no_paper_leaves() -> None:
    late = {"degree_opening": "68 deg", "degree_closing": "146 deg", "tensioner_released": True}
    ask = at_the_bench(**late)
    assert proof_of(of(ask), "degree").said == "measured 107.0 deg, card 109 deg"
    assert "check degree" in [ground.owner for ground in no_paper(ask).grounds]


def test_degree_readings_ask_whether_the_tensioner_was_let_go() -> None:
    readings = {"degree_opening": "68 deg", "degree_closing": "150 deg"}
    kit = of(at_the_bench(**readings))
    assert finding_of(kit, "tensioner-released").verdict is Verdict.UNKNOWN
    assert [unknown.attribute for unknown in kit.unknowns] == ["tensioner-released"]
    held = refusal(at_the_bench(**readings, tensioner_released=False))
    assert [ground.owner for ground in held.grounds] == ["gate tensioner-released"]


def test_a_rod_measured_on_a_lifter_of_another_kind_is_no_measurement() -> None:
    refused = refusal(at_the_bench(pushrod_measured="7.455 in", pushrod_lifter="deactivating"))
    assert [ground.owner for ground in refused.grounds] == ["gate pushrod-mix"]
    kit = of(at_the_bench(pushrod_measured="7.428 in", pushrod_lifter="standard"))
    assert finding_of(kit, "pushrod-mix").verdict is Verdict.PASS
