"""Proofs beside the matrix: bands of spring load, surge, thrust, chain line, pump; speed and the kit."""

from __future__ import annotations

import pytest

from tappetry.records.verdict import Verdict
from tests.kitting.support import Ask, bought
from tests.proofs.matrix import Bench, bench
from tests.stories.telling import of, proof_of, refusal

PASS, STOP, SIGN, WARN = Verdict.PASS, Verdict.STOP, Verdict.SIGN, Verdict.WARN


# ---- spring loads ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("engine", "cam", "spring", "seat", "seat_limit_lb", "opened", "open_limit_lb"),
    [
        ("B56", "B1", "S2", PASS, 130, PASS, 350),
        ("B56", "B1", "S3", SIGN, 130, PASS, 350),
        ("B63L", "B3", "S4", SIGN, 130, SIGN, 350),
        ("OS39", "O1", "S6", PASS, 140, PASS, 370),
        ("ML55", "FML", "S6", PASS, 110, PASS, 320),
        ("ML55", "FML", "S3", SIGN, 110, SIGN, 320),
    ],
)
def test_load_bands_by_follower(
    engine: str,
    cam: str,
    spring: str,
    seat: Verdict,
    seat_limit_lb: float,
    opened: Verdict,
    open_limit_lb: float,
) -> None:
    found = bench(engine, cam).spring(spring)
    most, load = found.proof("seat-load-most"), found.proof("open-load")
    assert (most.limit, most.verdict) == (seat_limit_lb, seat)
    assert (load.limit, load.verdict) == (open_limit_lb, opened)


def test_new_rocker_bearings_bear_more() -> None:
    found = bench("B63L", "B3").spring("S4").put("rocker-bearing-kit", "BT-6150-16")
    most, load = found.proof("seat-load-most"), found.proof("open-load")
    assert (most.limit, most.verdict) == (160, PASS)
    assert (load.limit, load.verdict) == (430, PASS)


def test_a_spring_is_too_slow_for_a_high_speed() -> None:
    quick = Bench("A06", rpm=7300).grind("B2").spring("S2").proof("surge-ratio")
    slow = Bench("A06", rpm=7400).grind("B2").spring("S2").proof("surge-ratio")
    assert (quick.limit, quick.verdict, slow.verdict) == (8, PASS, WARN)


# ---- drive and oil -----------------------------------------------------------------------------------------


def thrust(application: str, cam: str, button: bool = False) -> Bench:
    found = Bench(application).grind(cam)
    return found.put("cam-thrust-button", "LX-3520") if button else found.gone("cam-thrust-button")


@pytest.mark.parametrize(
    ("application", "cam", "button", "count", "verdict"),
    [
        ("ML-E", "FML", False, 1, PASS),  # the taper of flat lobes
        ("ML-E", "M1", False, 0, STOP),  # a roller lobe has none
        ("ML-E", "M1", True, 1, PASS),
        ("ML-L", "M1", False, 1, PASS),  # the plate
        ("ML-L", "M1", True, 2, STOP),
    ],
)
def test_what_holds_the_camshaft_endways(
    application: str, cam: str, button: bool, count: int, verdict: Verdict
) -> None:
    proof = thrust(application, cam, button).proof("thrust-control")
    assert (proof.value, proof.verdict) == (count, verdict)


@pytest.mark.parametrize(
    ("sprocket", "cover_mm", "spread_mm", "verdict"),
    [("LX-3230", 0.0, 0, PASS), ("LX-3232", 0.0, 2, STOP), ("LX-3230", 2.0, 2, STOP)],
)
def test_the_chain_line(sprocket: str, cover_mm: float, spread_mm: float, verdict: Verdict) -> None:
    """A phaser of the later kind goes: gear, crank sprocket and cover all lose its two millimetres."""
    found = Bench("A12", "remove").grind("B3").gone("cam-phaser").new("cam-gear", offset_mm=0.0)
    found.put("crank-sprocket", sprocket).new("front-cover", offset_mm=cover_mm)
    proof = found.proof("chain-line")
    assert (proof.value, proof.verdict) == (spread_mm, verdict)


@pytest.mark.parametrize(("percent", "verdict"), [(100.0, SIGN), (112.0, PASS), (127.0, PASS)])
def test_a_kept_phaser_wants_its_pump(percent: float, verdict: Verdict) -> None:
    found = Bench("A06", "keep-limited").new("oil-pump", volume_percent=percent)
    assert found.proof("pump-class").verdict is verdict


# ---- what speed makes of a kit -----------------------------------------------------------------------------

STREET = Ask("A08", "B2", "keep-limited")


def test_a_higher_working_speed_buys_a_stronger_spring() -> None:
    slow, fast = of(STREET), of(Ask("A08", "B2", "keep-limited", plan={"rpm": 6900}))
    assert "QS-362.16" in bought(slow)
    assert proof_of(slow, "float-speed").limit == 6000
    assert "QS-362.16" not in bought(fast)
    proof = proof_of(fast, "float-speed")
    assert (proof.limit, proof.verdict) == (6900, PASS)


@pytest.mark.slow
def test_a_speed_that_no_spring_follows_is_refused_or_signed() -> None:
    refused = refusal(Ask("A08", "B2", "keep-limited", plan={"rpm": 8500}))
    assert "rule float-speed" in [ground.owner for ground in refused.grounds]
    signed = of(
        Ask(
            "A08", "B2", "keep-limited", plan={"rpm": 8500}, signatures={"float-speed": "limiter set at 6600"}
        )
    )
    proof = proof_of(signed, "float-speed")
    assert (proof.verdict, proof.signed) == (SIGN, "limiter set at 6600")
