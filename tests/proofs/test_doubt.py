"""Bands, chances and what to measure: by hand, by another library, by drawing, and by trying."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from uncertainties import ufloat

from tappetry.proofs import doubt as doubt_module
from tappetry.proofs.doubt import FIRST_ORDER, MONTE_CARLO, with_doubt
from tappetry.proofs.leaves import Leaf
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.quantities.units import to_si
from tappetry.records.evidence import Fact, Grade
from tappetry.records.verdict import Doubt, Proof
from tappetry.services.doubts import doubted
from tappetry.services.kits import KitResult
from tests.proofs.engines import JOBS, leaves_of, result_of, shop

pytestmark = pytest.mark.slow


def proofs_of(result: KitResult) -> dict[str, Proof]:
    return {proof.id: proof for proof in doubted(shop(), result).kit.proofs}


def doubt_of(proof: Proof) -> Doubt:
    assert proof.doubt is not None
    return proof.doubt


def measured(attribute: str, value: float, unit: str, plus: float | None = None) -> Fact:
    """A fact measured at the bench, in millimetres or inches, with limits where they were stated."""
    si = to_si(value, unit, "length")
    limits = None
    if plus is not None:
        width = to_si(plus, unit, "length")
        limits = Toleranced(si, width, width, Spread.LIMITS, Origin.STATED)
    return Fact(attribute, value, Grade.measured, "measured at the bench", "", unit, si, limits)


# ---- by hand -----------------------------------------------------------------------------------------------


def test_a_sum_of_two_limits_by_hand() -> None:
    """Deck 0.10 mm and gasket 0.05 mm to either side, each anywhere between its limits."""
    proof = proofs_of(result_of("J1"))["quench-least"]
    uncertainty = math.sqrt(0.10**2 + 0.05**2) / math.sqrt(3)
    assert doubt_of(proof).method == FIRST_ORDER
    assert doubt_of(proof).uncertainty == pytest.approx(uncertainty, rel=1e-9)
    assert proof.band == pytest.approx(1.96 * uncertainty, rel=1e-9)
    assert proof.chance_of_failing == 0.0
    shares = {share.name: share.share for share in doubt_of(proof).shares}
    assert shares == {
        "engine.deck_clearance_mm": pytest.approx(0.8),
        "head_gaskets.thickness_mm": pytest.approx(0.2),
    }


def test_a_band_is_never_wider_than_the_limits_themselves() -> None:
    """The valves' span alone makes nearly all of this doubt: 1.96 deviations would lie outside its limits."""
    proof = proofs_of(result_of("J1"))["head-bore-span"]
    assert proof.band == pytest.approx(min(1.96 * doubt_of(proof).uncertainty, (0.20 + 0.03) / 2))


def test_an_input_that_several_values_share_is_counted_once() -> None:
    """The bore is in the swept volume and twice in the clearance volume; another library follows it."""
    found = proofs_of(result_of("J1"))["effective-compression-lazy"]
    engine = result_of("J1").resolution.values.fixed["engine"]
    named = {share.name: share for share in doubt_of(found).shares}

    def off(name: str, value: float) -> object:
        return ufloat(value, named[name].plus / math.sqrt(3))

    bore, stroke = off("engine.bore_mm", engine["bore_mm"]), off("engine.stroke_mm", engine["stroke_mm"])
    deck = off("engine.deck_clearance_mm", engine["deck_clearance_mm"])
    gasket, gasket_bore = off("head_gaskets.thickness_mm", 1.3), off("head_gaskets.bore_mm", 101.0)
    chamber, dish = off("engine.chamber_cc", engine["chamber_cc"]), off("engine.piston_dish_cc", 3.0)
    rod = off("engine.rod_length_mm", engine["rod_length_mm"])
    closes = off("camshaft.duration_006_intake_deg", 270.0) / 2 + off("camshaft.icl_deg", 109.0) - 180  # type: ignore[operator]

    from uncertainties import umath

    angle = closes * math.pi / 180
    throw = stroke / 2  # type: ignore[operator]
    up = (rod**2 - (throw * umath.sin(angle)) ** 2) ** 0.5  # type: ignore[operator]
    left = throw + rod + throw * umath.cos(angle) - up  # type: ignore[operator]
    area = math.pi / 4 * bore**2  # type: ignore[operator]
    clearance = chamber + dish + (math.pi / 4 * gasket_bore**2 * gasket + area * deck) / 1000  # type: ignore[operator]
    expected = 1 + area * left / 1000 / clearance
    assert found.value == pytest.approx(expected.nominal_value, abs=1e-6)
    assert doubt_of(found).uncertainty == pytest.approx(expected.std_dev, rel=2e-3)


# ---- by drawing --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", JOBS)
def test_first_order_and_monte_carlo_agree_where_both_apply(
    job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    straight = proofs_of(result_of(job))
    monkeypatch.setattr(doubt_module, "STRAIGHT", -1.0)
    drawn = proofs_of(result_of(job))
    both = [name for name, proof in straight.items() if proof.doubt and proof.doubt.method == FIRST_ORDER]
    assert len(both) > 5
    for name in both:
        one, other = straight[name], drawn[name]
        assert doubt_of(other).method == MONTE_CARLO
        assert doubt_of(other).uncertainty == pytest.approx(doubt_of(one).uncertainty, rel=0.03), name
        assert one.band is not None
        assert other.band is not None
        assert 0.98 * other.band <= one.band <= 1.22 * other.band, name
        if doubt_of(one).shares[0].share < 0.6:
            assert other.band == pytest.approx(one.band, rel=0.08), name
        assert other.chance_of_failing == pytest.approx(one.chance_of_failing, abs=0.012), name


def test_what_bends_is_drawn() -> None:
    """The larger of two like lifts, and a retard that is rounded down, do not follow their slopes."""
    proofs = proofs_of(result_of("J1"))
    assert doubt_of(proofs["retainer-to-seal"]).method == MONTE_CARLO
    assert doubt_of(proofs["phaser-range-pv"]).method == MONTE_CARLO
    assert doubt_of(proofs["seat-load"]).method == FIRST_ORDER


# ---- what to measure ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", JOBS)
def test_the_measurement_that_is_named_narrows_most(job: str) -> None:
    """Each input in turn as well known as the shop can measure it: none gives a narrower margin."""
    result = result_of(job)
    known = leaves_of(result)
    for proof in proofs_of(result).values():
        if proof.doubt is None or proof.doubt.measure is None:
            continue
        narrowed = {share.name: _with_measured(result, proof, share.name) for share in proof.doubt.shares[:6]}
        named = proof.doubt.measure
        assert narrowed[named.name] <= min(narrowed.values()) * 1.02, proof.id
        left = 1.96 * narrowed[named.name]
        if proof.doubt.method == FIRST_ORDER:
            assert left == pytest.approx(named.band, rel=0.05), proof.id
        else:  # what is left of a value that bends is told by slopes, rather too wide than too narrow
            assert 0.7 * named.band <= left <= 1.15 * named.band, proof.id
        assert known(named.name, 1.0) is not None


def _with_measured(result: KitResult, proof: Proof, name: str) -> float:
    """One standard deviation of a margin when one input is measured as well as it can be."""
    known = leaves_of(result)

    def narrow(of: str, value: float) -> Leaf | None:
        leaf = known(of, value)
        if of != name or leaf is None or leaf.best is None or leaf.spread is None:
            return leaf
        width = leaf.best * math.sqrt(3.0)
        return replace(leaf, spread=replace(leaf.spread, plus=width, minus=width))

    (found,) = with_doubt(result.resolution.values, result.resolution.views, [proof], narrow)
    return doubt_of(found).uncertainty


def test_what_is_measured_as_well_as_can_be_is_not_asked_for_again() -> None:
    before = proofs_of(result_of("J1"))["pv-intake"]
    names = {doubt_of(before).measure.name} if doubt_of(before).measure else set()  # type: ignore[union-attr]
    assert names == {"camshaft.icl_deg"}
    drop = proofs_of(result_of("J3"))["pv-intake"]
    assert doubt_of(drop).measure is not None
    assert doubt_of(drop).measure.name == "engine.valve_drop_intake_in"  # type: ignore[union-attr]
    after = proofs_of(result_of("J3", measured("valve-drop-intake", 0.195, "in")))["pv-intake"]
    assert doubt_of(after).measure is not None
    assert doubt_of(after).measure.name == "camshaft.icl_deg"  # type: ignore[union-attr]
    assert (after.value, after.limit) == (drop.value, drop.limit)
    assert drop.band is not None
    assert after.band is not None
    assert after.band == pytest.approx(doubt_of(drop).measure.band, rel=0.03)  # type: ignore[union-attr]


# ---- what it rests on --------------------------------------------------------------------------------------


def test_a_measurement_replaces_the_catalogue_value_in_every_proof_at_once() -> None:
    before = proofs_of(result_of("J1"))
    after = proofs_of(result_of("J1", measured("installed-height", 1.812, "in", 0.001)))
    moved = {name for name in before if before[name].value != after[name].value}
    assert {"spring-not-solid", "bind-excess", "seat-load"} <= moved
    for name in moved:
        (share,) = [
            each for each in doubt_of(after[name]).shares if each.name == "engine.installed_height_in"
        ]
        assert (share.value, share.plus, share.minus) == pytest.approx((1.812, 0.001, 0.001))
        assert (share.means, share.origin) == ("limits", "stated")
    assert after["spring-not-solid"].value == pytest.approx(before["spring-not-solid"].value + 0.012)  # type: ignore[operator]


def test_spreads_that_nobody_stated_are_labelled_and_so_are_estimates() -> None:
    for proof in proofs_of(result_of("J1")).values():
        if proof.doubt is not None:
            assert proof.doubt.assumed
            assert proof.doubt.estimate
            assert {share.origin for share in proof.doubt.shares} == {"assumed"}


def test_all_measured_is_no_estimate() -> None:
    facts = (measured("deck-clearance", 0.5, "mm", 0.01), measured("gasket-thickness", 1.3, "mm", 0.01))
    found = doubt_of(proofs_of(result_of("J3", *facts))["quench-least"])
    assert (found.assumed, found.estimate, found.measure) == (False, False, None)


def test_one_standard_deviation_is_spread_normally() -> None:
    si = to_si(0.5, "mm", "length")
    width = to_si(0.04, "mm", "length")
    spread = Toleranced(si, width, width, Spread.STANDARD_DEVIATION, Origin.STATED)
    deck = Fact("deck-clearance", 0.5, Grade.measured, "eight readings", "", "mm", si, spread)
    found = proofs_of(result_of("J3", deck))["quench-least"]
    uncertainty = math.hypot(0.04, 0.05 / math.sqrt(3))
    assert doubt_of(found).uncertainty == pytest.approx(uncertainty, rel=1e-9)
    assert found.band == pytest.approx(1.96 * uncertainty, rel=1e-9)


def test_lopsided_limits_move_the_chance_and_not_the_margin() -> None:
    si, width = to_si(0.195, "in", "length"), to_si(0.020, "in", "length")
    facts = [
        Fact(
            "valve-drop-intake", 0.195, Grade.measured, "dial", "", "in", si,
            Toleranced(si, plus, minus, Spread.LIMITS, Origin.STATED),
        )
        for plus, minus in ((width, 0.0), (width / 2, width / 2), (0.0, width))
    ]  # fmt: skip
    high, even, low = (proofs_of(result_of("J3", fact))["pv-intake"] for fact in facts)
    assert high.margin == even.margin == low.margin
    assert high.band == pytest.approx(low.band)
    assert (high.chance_of_failing or 0) <= (even.chance_of_failing or 0) <= (low.chance_of_failing or 0)


def test_an_input_of_which_nothing_is_known_is_named() -> None:
    result = result_of("J1")
    known = leaves_of(result)

    def nothing_of_the_deck(name: str, value: float) -> Leaf | None:
        return None if name == "engine.deck_clearance_mm" else known(name, value)

    proof = proofs_of(result)["quench-least"]
    (found,) = with_doubt(result.resolution.values, result.resolution.views, [proof], nothing_of_the_deck)
    assert doubt_of(found).exact == ("engine.deck_clearance_mm",)
    assert doubt_of(found).uncertainty == pytest.approx(0.05 / math.sqrt(3))


def test_where_nothing_is_known_of_any_spread_there_is_no_band() -> None:
    result = result_of("J1")
    proofs = result.kit.proofs
    assert with_doubt(result.resolution.values, result.resolution.views, proofs, lambda *_: None) == proofs


def test_a_spread_that_leaves_what_can_be_worked_out_takes_the_band_of_its_own_proofs_alone() -> None:
    result = result_of("J1")
    known = leaves_of(result)

    def lost(name: str, value: float) -> Leaf | None:
        leaf = known(name, value)
        if name != "engine.rod_length_mm" or leaf is None or leaf.spread is None:
            return leaf
        return replace(leaf, spread=replace(leaf.spread, plus=500.0, minus=500.0))

    proofs = with_doubt(result.resolution.values, result.resolution.views, result.kit.proofs, lost)
    bands = {proof.id: proof.band for proof in proofs}
    sound = proofs_of(result)
    assert bands["pv-intake"] is None
    assert bands["effective-compression-lazy"] is None
    assert bands["seat-load"] == sound["seat-load"].band
    assert bands["retainer-to-seal"] == sound["retainer-to-seal"].band


def test_the_same_inputs_give_the_same_figures() -> None:
    assert proofs_of(result_of("J1")) == proofs_of(result_of("J1"))


def test_a_kit_is_made_without_doubt() -> None:
    """It is worked out for those proofs alone that somebody is shown."""
    assert all(proof.doubt is None and proof.band is None for proof in result_of("J1").kit.proofs)
