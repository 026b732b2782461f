"""Valve trains of the invented shop: put together from its tables, turned at speed, and what is refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tappetry.engineering.pushrod import pushrod_compression
from tappetry.knowledge.motion import FILE, read_motion
from tappetry.records.problems import BadInput
from tappetry.services.kits import kit_for_file
from tappetry.services.shop import Shop
from tappetry.services.train_sources import source_of_job, source_of_variant
from tappetry.services.trains import Candidate, Trains, describe_trains
from tappetry.services.valve_motion import RPM, ValveMotion, at_speed, simulate_valves
from tappetry.services.variants import variant_facts


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop(Path(__file__).parents[2] / "src/tappetry/demo/shop")


@pytest.fixture(scope="module")
def found(shop: Shop) -> ValveMotion:
    return simulate_valves(source_of_variant(shop, "B56", "B2"), ["S2", "S3"])


def trains_of(shop: Shop, variant: str, cam: str = "", springs: tuple[str, ...] = ()) -> Trains:
    return describe_trains(source_of_variant(shop, variant, cam), springs)


def by_name(candidates: tuple[Candidate, ...]) -> dict[str, Candidate]:
    return {each.spring: each for each in candidates}


def test_a_train_is_that_of_the_proofs(shop: Shop) -> None:
    """Loads, lift and rigid separation are those that the shop's worked example of this cam states."""
    intake, exhaust = by_name(trains_of(shop, "B56", "B2").candidates)["S2"].sides
    assert (intake.side, exhaust.side) == ("intake", "exhaust")
    assert intake.open_load / 4.448222 == pytest.approx(332, abs=0.5)
    assert intake.separation_speed / RPM == pytest.approx(7391, abs=1.0)
    train = intake.train
    assert train.coils.seat_load / 4.448222 == pytest.approx(120.0)
    assert train.coils.surge_frequency == pytest.approx(490.0)
    assert train.coils.travel == pytest.approx((1.8 - 1.11) * 0.0254)
    assert train.valve_mass == pytest.approx(0.106 + 0.022 + 0.005)
    gives = float(pushrod_compression(1.0, 8e-3, 2e-3, 7.4 * 0.0254)) + 1.0 / 40e6
    assert train.joints.rod == pytest.approx(1.0 / gives)
    assert train.plunger is not None
    assert train.plunger.leak == pytest.approx(3e-3 / 30.0 / 220.0)
    assert train.plunger.refill * train.plunger.load == pytest.approx(30e-3)


def test_solid_tappets_have_lash_and_no_plunger(shop: Shop) -> None:
    candidates = by_name(trains_of(shop, "OS39", "O1").candidates)
    for side in candidates["S6"].sides:
        assert side.train.plunger is None
        assert side.train.lash > 0.3e-3
        assert side.train.coils.damping_ratio == 0.05
    assert trains_of(shop, "ML55").follower == "hydraulic flat"


def test_a_spring_that_cannot_be_turned_says_why(shop: Shop) -> None:
    """The spring in the engine stands first; one that goes solid, or is hardly known, is told."""
    first = trains_of(shop, "B56", "B2").candidates[0]
    assert (first.spring, first.part, first.sides) == ("S1", "", ())
    assert first.why_not == "goes solid at the intake and exhaust"
    first = trains_of(shop, "OS39").candidates[0]
    assert (first.spring, first.why_not) == ("PO", "not stated: surge_cpm")


def test_a_retainer_goes_with_its_spring_and_its_locks(shop: Shop) -> None:
    candidates = by_name(trains_of(shop, "B56").candidates)
    assert candidates["S1"].retainer == ""
    assert candidates["S4"].retainer == "QS-R41.16"
    assert candidates["S3"].retainer_mass == pytest.approx(0.013)


def test_limits_hang_together(found: ValveMotion) -> None:
    assert [each.candidate.spring for each in found.springs] == ["S2", "S3"]
    for spring in found.springs:
        assert spring.onset == min(side.parts.speed for side in spring.sides)
        assert found.limit(spring) == pytest.approx(0.95 * spring.onset)
        for side in spring.sides:
            before = side.motion.engine_speed < side.parts.speed
            assert not side.motion.apart[before].any()
            assert side.parts.within <= 5.0 * RPM
            assert side.parts.speed < side.side.separation_speed
        assert found.order(spring, spring.onset) * spring.onset / (4.0 * math.pi) == pytest.approx(
            spring.sides[0].side.train.coils.surge_frequency
        )
    soft, stiff = found.springs
    assert stiff.onset > soft.onset + 200.0 * RPM


def test_one_speed_is_that_of_all(found: ValveMotion) -> None:
    one = at_speed(found, 6000.0)
    place = 100
    assert found.speeds[place] == pytest.approx(6000.0 * RPM)
    assert (
        one.springs[0].sides[0].motion.least_force[0] == found.springs[0].sides[0].motion.least_force[place]
    )
    assert found.limit(found.springs[0]) == one.limit(one.springs[0])


@pytest.mark.parametrize("rpm", [900.0, 8100.0, math.nan])
def test_a_speed_that_is_not_turned_is_refused(found: ValveMotion, rpm: float) -> None:
    with pytest.raises(BadInput, match=r"no valve train is turned at this speed.*1000 to 8000 rpm"):
        at_speed(found, rpm)


def test_what_is_not_there_is_refused(shop: Shop) -> None:
    with pytest.raises(BadInput, match=r"no family has such a variant.*B99.*B51"):
        variant_facts(shop, "B99")
    with pytest.raises(BadInput, match=r"no such camshaft for .*O1.*B2"):
        trains_of(shop, "B56", "O1")
    with pytest.raises(BadInput, match=r"no such spring fits this engine.*S6.*S1, S2"):
        trains_of(shop, "B56", "B2", ("S2", "S6"))


def test_the_train_of_a_job_is_made_of_its_kit(shop: Shop) -> None:
    """Spring, retainer, made-up pushrod and rockers of the kit; what was planned in place of the redline."""
    result = kit_for_file(shop, shop.jobs / "J5.yaml")
    source = source_of_job(shop, result)
    first = describe_trains(source).candidates[0]
    spring = result.resolution.views["valve_springs"]
    assert (first.spring, first.part) == ("S2", spring["key"].split("/")[-1])
    (proof,) = [each for each in result.kit.proofs if each.id == "float-speed"]
    rigid = min(side.separation_speed for side in first.sides) / RPM
    assert proof.value == pytest.approx(0.9 * rigid)
    assert source.speed == proof.limit
    assert source.cam == result.job.plan.cam
    length = result.resolution.values.named("pushrod_order_in", result.resolution.views)
    gives = float(pushrod_compression(1.0, 0.007938, 0.12 * 0.0254, length * 0.0254))
    assert source.rod == pytest.approx(1.0 / gives, rel=0.05)


def test_a_shop_that_assumes_nothing_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="does not say what it assumes of valve trains") as told:
        read_motion(tmp_path)
    assert FILE in str(told.value)


def test_pushrods_of_unknown_wall_are_refused(shop: Shop, tmp_path: Path) -> None:
    folder = tmp_path / "motion"
    folder.mkdir()
    text = (shop.folder / FILE).read_text("utf-8")
    (folder / "motion.yaml").write_text(text.replace("pushrod_wall_mm: {ML: 1.5}", ""), "utf-8")
    other = Shop(tmp_path)
    other.__dict__.update(knowledge=shop.knowledge, catalogue=shop.catalogue)
    assert trains_of(other, "B56").candidates
    with pytest.raises(BadInput, match=r"diameter, wall or length of the pushrods.*ML"):
        trains_of(other, "ML55")
