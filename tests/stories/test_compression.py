"""Too little compression and too much: flagged, with what would mend it and what that does to the valves.

Ratios are of the seat timing at 0.006 in; ceilings by fuel and head, and 7.2 as the least, are common
practice, no source. No job is refused outright, and nothing that breaks the piston-to-valve clearance is
offered by itself.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_data
from tappetry.records.verdict import Proof, Remedy, Verdict
from tests.kitting.support import Ask, demo
from tests.stories.telling import fact, grounds, no_paper, of, of_job, proof_of, result

pytestmark = pytest.mark.slow

ON_91 = {"fuel-octane": fact(91, "told", "customer")}
HIGH = Ask("A12", "B2", "remove", facts=ON_91)


def tried(proof: Proof, name: str) -> Remedy:
    return next(remedy for remedy in proof.remedies if remedy.id == name)


def clearance(remedy: Remedy, valve: str) -> float | None:
    """What a remedy makes of the clearance of a valve; None where it changes nothing."""
    return next((effect.value for effect in remedy.effects if effect.id == f"pv-{valve}"), None)


# ---- too little -------------------------------------------------------------------------------------------


def test_too_much_cam_for_the_compression_is_flagged() -> None:
    proof = proof_of(of_job("J5").kit, "effective-compression-lazy")
    assert proof.verdict is Verdict.SIGN
    assert proof.value == pytest.approx(6.81, abs=0.005)
    assert proof.said == "cranking about 132 psi"
    assert proof.signed.startswith("owner told that the engine is lazy")


@pytest.mark.parametrize(
    ("name", "ratio", "intake", "good"),
    [
        ("pistons-with-less-volume", 7.52, None, True),
        ("advance-2-deg", 6.92, 0.076, False),
        ("advance-4-deg", 7.02, 0.065, False),
        ("skim-10-cc", 7.52, 0.042, False),
    ],
)
def test_what_would_mend_it_has_its_own_clearance(
    name: str, ratio: float, intake: float | None, good: bool
) -> None:
    """0.087 in as it stands; under 0.080 in a fix is not offered by itself."""
    kit = of_job("J5").kit
    assert proof_of(kit, "pv-intake").value == pytest.approx(0.087, abs=0.0005)
    remedy = tried(proof_of(kit, "effective-compression-lazy"), name)
    assert remedy.value == pytest.approx(ratio, abs=0.005)
    assert remedy.good is good
    found = clearance(remedy, "intake")
    assert (found is None) == (intake is None)
    if intake is not None:
        assert found == pytest.approx(intake, abs=0.0005)


def test_only_what_stands_by_itself_is_offered_to_the_customer() -> None:
    data = quote_data(quote_of(demo(), of_job("J5"), of_job("J5").job.date))
    (row,) = [each for each in data["proofs"] if each["title"] == "effective compression is not lazy"]
    assert len(row["remedies"]) == 1
    assert row["remedies"][0].startswith("pistons with 10 cc less volume")
    assert "a smaller cam, or a signed 'lazy below mid-range'" in row["advice"]


def test_without_the_owners_signature_there_is_a_kit_and_no_paper() -> None:
    unsigned = Ask("ML-E", "M1", use="street-strip")
    assert proof_of(of(unsigned), "effective-compression-lazy").verdict is Verdict.SIGN
    assert "effective compression is not lazy: needs the owner's written reason" in grounds(
        no_paper(unsigned)
    )


# ---- too much ---------------------------------------------------------------------------------------------


def test_too_much_compression_for_the_fuel_is_flagged() -> None:
    """8.85 with 91 AKI under an alloy head, whose ceiling is 8.8."""
    proof = proof_of(of(HIGH), "effective-compression-fuel")
    assert proof.verdict is Verdict.SIGN
    assert proof.value == pytest.approx(8.85, abs=0.005)
    assert proof.limit == 8.8


def test_a_retarded_cam_mends_it_and_gives_the_intake_room() -> None:
    kit = of(HIGH)
    assert proof_of(kit, "pv-intake").value == pytest.approx(0.155, abs=0.0005)
    assert proof_of(kit, "pv-exhaust").value == pytest.approx(0.306, abs=0.0005)
    remedy = tried(proof_of(kit, "effective-compression-fuel"), "retard-2-deg")
    assert remedy.good
    assert remedy.value == pytest.approx(8.71, abs=0.005)
    assert clearance(remedy, "intake") == pytest.approx(0.166, abs=0.0005)
    assert clearance(remedy, "exhaust") == pytest.approx(0.296, abs=0.0005)


def test_a_better_fuel_mends_it_too() -> None:
    remedy = tried(proof_of(of(HIGH), "effective-compression-fuel"), "better-fuel")
    assert (remedy.good, remedy.limit) == (True, 9.1)
    kit = of(replace(HIGH, facts={"fuel-octane": fact(93, "told", "customer")}))
    assert proof_of(kit, "effective-compression-fuel").verdict is Verdict.PASS


def test_a_retard_that_eats_the_exhaust_clearance_is_not_offered() -> None:
    """With a phaser at its limiter the exhaust has less room: the remedy is proved over the whole range."""
    kit = of(replace(HIGH, phaser="keep-limited"))
    remedy = tried(proof_of(kit, "effective-compression-fuel"), "retard-2-deg")
    assert clearance(remedy, "exhaust") == pytest.approx(0.212, abs=0.0005), "0.225 at 14 deg, less 2 deg"


def test_a_fuel_that_nobody_stated_is_asked_for() -> None:
    unasked = replace(HIGH, facts={"fuel-octane": fact(None, "told", "nobody")})
    kit = of(unasked)
    assert proof_of(kit, "effective-compression-fuel").verdict is Verdict.UNKNOWN
    assert "fuel-octane" in [unknown.attribute for unknown in kit.unknowns]
    assert result(unasked).kit.totals is not None


@pytest.mark.parametrize(("fuel", "ceiling"), [(87, 8.2), (89, 8.4), (91, 8.8), (93, 9.1), (95, 9.1)])
def test_the_ceiling_follows_the_fuel(fuel: int, ceiling: float) -> None:
    kit = of(replace(HIGH, facts={"fuel-octane": fact(fuel, "told", "customer")}))
    assert proof_of(kit, "effective-compression-fuel").limit == ceiling
