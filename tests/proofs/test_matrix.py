"""The result matrix from the shop's text and its proofs: every engine, camshaft and spring, with verdicts.

The same rows stand beside the handbook's own functions in the tests of the bench; here they go through parts,
named values and limits of the invented shop.
"""

from __future__ import annotations

from typing import Any

import pytest

from tappetry.records.verdict import Verdict
from tests.engineering.bench import BENCH, case_name
from tests.proofs.matrix import STANDS_IN, Bench, bench

pytestmark = pytest.mark.slow

Row = dict[str, Any]
TOLERANCE = BENCH["tolerances"]
LENGTH = TOLERANCE["lengths_in"]
PASS, STOP, SIGN = Verdict.PASS, Verdict.STOP, Verdict.SIGN


def passed(holds: bool, otherwise: Verdict = STOP) -> Verdict:
    return PASS if holds else otherwise


# ---- compression -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", BENCH["compression"], ids=case_name)
def test_compression(row: Row) -> None:
    found = bench(row["engine"], row["cam"])
    assert found.number("static_compression") == pytest.approx(
        row["static"], abs=TOLERANCE["compression_ratio"]
    )
    assert found.number("intake_closes_deg") == pytest.approx(row["intake_closes_deg"])
    assert found.number("effective_stroke_mm") == pytest.approx(
        row["stroke_mm"], abs=TOLERANCE["effective_stroke_mm"]
    )
    effective = found.proof("effective-compression-lazy")
    assert effective.value == pytest.approx(row["effective"], abs=TOLERANCE["compression_ratio"])
    assert effective.verdict is passed(row["effective"] >= 7.2, SIGN)
    assert found.number("cranking_psi") == pytest.approx(row["cranking_psi"], abs=TOLERANCE["cranking_psi"])
    static = found.proof("static-compression-fuel")
    assert static.value == pytest.approx(row["static"], abs=TOLERANCE["compression_ratio"])
    assert static.verdict is PASS


@pytest.mark.parametrize(
    ("name", "fuel", "limit"),
    [
        ("B56", 87, 10.0),
        ("B56", 89, 10.5),
        ("B56", 91, 11.0),
        ("B56", 93, 11.5),
        ("OS39", 91, 10.0),
        ("B67", 91, 11.5),
    ],
)
def test_static_compression_by_fuel_head_and_injection(name: str, fuel: int, limit: float) -> None:
    proof = Bench(STANDS_IN[name], facts={"fuel-octane": fuel}).proof("static-compression-fuel")
    assert proof.limit == pytest.approx(limit)
    assert proof.value is not None
    assert proof.verdict is passed(proof.value <= limit, SIGN)


# ---- piston to valve ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", BENCH["piston_to_valve"], ids=case_name)
def test_piston_to_valve_at_home(row: Row) -> None:
    found = bench(row["engine"], row["cam"])
    intake, exhaust = found.proof("pv-intake"), found.proof("pv-exhaust")
    assert intake.value == pytest.approx(row["intake"][0], abs=LENGTH)
    assert exhaust.value == pytest.approx(row["exhaust"][0], abs=LENGTH)
    assert (intake.verdict is PASS and exhaust.verdict is PASS) is row["passes"]
    assert {intake.verdict, exhaust.verdict} <= {PASS, STOP}


PHASED = [row for row in BENCH["piston_to_valve"] if "full" in row]


@pytest.mark.parametrize("row", PHASED, ids=case_name)
def test_piston_to_valve_behind_a_limiter(row: Row) -> None:
    clearance, degrees, passes = row["limited"]
    found = bench(row["engine"], row["cam"], "keep-limited").new(
        "phaser-limiter", degrees_left=float(degrees)
    )
    proof = found.proof("pv-exhaust")
    assert proof.value == pytest.approx(clearance, abs=LENGTH)
    assert proof.verdict is passed(passes)


@pytest.mark.parametrize("row", PHASED, ids=case_name)
def test_piston_to_valve_over_the_whole_range(row: Row) -> None:
    clearance, degrees, passes = row["full"]
    found = bench(row["engine"], row["cam"], "keep-full")
    assert found.number("retard_range_deg") == degrees
    proof = found.proof("pv-exhaust")
    assert proof.value == pytest.approx(clearance, abs=LENGTH)
    assert proof.verdict is passed(passes)
    assert found.proof("phaser-range-pv").verdict is passed(passes)


# ---- springs -----------------------------------------------------------------------------------------------


def short_seals(found: Bench) -> Bench:
    """Short seals on a seat of their own, as thick as the factory's unless a dual spring brings another."""
    return found.new("valve-stem-seals", type="short", integral_seat=False)


@pytest.mark.parametrize("row", BENCH["spring_fit"], ids=case_name)
def test_spring_fit(row: Row) -> None:
    found = bench(row["engine"], row["cam"]).spring(row["spring"])
    assert found.number("lift_in") == pytest.approx(row["lift_in"], abs=LENGTH)
    bind = found.proof("spring-not-solid")
    assert bind.value == pytest.approx(row["margin_in"], abs=LENGTH)
    assert bind.verdict is passed(not row["binds"])
    assert found.number("seat_load_lb") == pytest.approx(row["seat_lb"], abs=TOLERANCE["loads_lb"])
    assert found.proof("open-load").value == pytest.approx(row["open_lb"], abs=TOLERANCE["loads_lb"])


@pytest.mark.parametrize("seal", ["stock", "short"])
@pytest.mark.parametrize("row", BENCH["spring_fit"], ids=case_name)
def test_retainer_to_seal(row: Row, seal: str) -> None:
    expected = row[f"seal_{seal}_in"]
    found = bench(row["engine"], row["cam"]).spring(row["spring"])
    if expected is None:  # this seal cannot stand under this spring
        assert (row["spring"], seal) == ("S4", "stock")
        return
    proof = (short_seals(found) if seal == "short" else found).proof("retainer-to-seal")
    assert proof.value == pytest.approx(expected, abs=LENGTH)
    assert proof.verdict is passed(expected >= 0.060)


def test_offset_locks_under_the_retrofit() -> None:
    found = bench("ML55", "M1").spring("S2").put("valve-locks", "QS-K87.32")
    assert found.number("installed_height_in") == pytest.approx(1.750, abs=LENGTH)
    assert found.proof("spring-not-solid").value == pytest.approx(0.104, abs=LENGTH)
    assert found.proof("retainer-to-seal").value == pytest.approx(0.084, abs=LENGTH)
    assert found.proof("seat-load").value == pytest.approx(139, abs=TOLERANCE["loads_lb"])
    assert found.proof("open-load").value == pytest.approx(338, abs=TOLERANCE["loads_lb"])


# ---- speed -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", BENCH["speed"], ids=case_name)
def test_working_speed(row: Row) -> None:
    percent = TOLERANCE["speed_percent"] / 100
    found = bench(row["engine"], row["cam"]).spring(row["spring"])
    assert found.number("seat_load_lb") == pytest.approx(row["seat_lb"], abs=TOLERANCE["loads_lb"])
    assert found.number("open_load_intake_lb") == pytest.approx(row["open_lb"], abs=TOLERANCE["loads_lb"])
    assert found.number("equivalent_mass_intake_g") == pytest.approx(row["mass_g"], abs=0.5)
    assert found.number("separation_intake_rpm") == pytest.approx(row["separation_rpm"], rel=percent)
    proof = found.proof("float-speed")
    assert proof.value == pytest.approx(row["working_rpm"], rel=percent)
    redline = found.values.fixed["engine"]["redline_rpm"]
    assert proof.limit == redline
    assert proof.verdict is passed(row["working_rpm"] >= redline, SIGN)


def test_the_exhaust_train_counts_where_it_parts_first() -> None:
    found = bench("B56", "B2").spring("S2")
    assert found.number("separation_rpm") == found.number("separation_intake_rpm")
    heavy = Bench("A06", facts={"mass-exhaust-valve": "230 g"}, rpm=6000).grind("B2").spring("S2")
    assert heavy.number("separation_rpm") == heavy.number("separation_exhaust_rpm")
    assert heavy.proof("float-speed").verdict is SIGN


def test_a_planned_speed_is_the_limit() -> None:
    found = Bench("A06", rpm=6700).grind("B2").spring("S2")
    proof = found.proof("float-speed")
    assert (proof.limit, proof.verdict) == (6700, SIGN)
    assert proof.said == "parts at 7391 rpm; moving mass at the intake valve 266 g"
    assert Bench("A06", rpm=6600).grind("B2").spring("S2").proof("float-speed").verdict is PASS


# ---- contact -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "cam", "spring", "pressure_mpa", "nose_mm"),
    [("B56", "B2", "S2", 1210, 14.08), ("B56", "B3", "S4", 1340, 14.58)],
)
def test_contact_pressure(name: str, cam: str, spring: str, pressure_mpa: float, nose_mm: float) -> None:
    found = bench(name, cam).spring(spring)
    proof = found.proof("contact-stress")
    assert proof.value == pytest.approx(pressure_mpa, rel=0.005)
    assert found.number("nose_radius_intake_mm") == pytest.approx(nose_mm, abs=0.01)
    assert (proof.limit, proof.verdict) == (1700, PASS)
    soft = {**found.views["camshaft"], "material": "chilled iron"}
    found.views["camshaft"] = soft
    assert found.proof("contact-stress").limit == 1400


def test_a_flat_lobe_has_a_nose_that_a_tappet_can_follow() -> None:
    found = bench("OS39", "O1").spring("S6")
    assert found.number("flat_nose_radius_intake_mm") == pytest.approx(7.23, abs=0.01)
    assert found.number("flat_nose_radius_exhaust_mm") == pytest.approx(8.22, abs=0.01)
    assert found.proof("nose-not-hollow").verdict is PASS
    assert found.silent("contact-stress")


# ---- pushrods ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", BENCH["pushrods"], ids=case_name)
def test_preload_of_a_pushrod(row: Row) -> None:
    found = bench("B67" if row["head"] == "R" else "B56", row["cam"])
    found.new("pushrods", length_in=row["rod_in"])
    proof = found.proof("preload-window")
    assert proof.value == pytest.approx(row["preload_in"], abs=TOLERANCE["pushrod_in"])
    assert proof.verdict is passed(row["ok"])


def test_a_thinner_gasket_adds_to_the_preload() -> None:
    thick = bench("B56", "B2").new("pushrods", length_in=7.425)
    before = thick.number("preload_in")
    thick.new("head-gaskets", thickness_mm=1.0, bore_mm=101.0)
    assert thick.number("preload_in") - before == pytest.approx(0.0118, abs=TOLERANCE["pushrod_in"])


def retrofit() -> Bench:
    return bench("ML55", "M1").put("lifters-standard", "BT-7610-08").spring("S2")


def test_the_rod_of_the_list_is_not_the_rod_of_this_retrofit() -> None:
    found = retrofit().put("pushrods", "BT-8680-16")
    assert found.number("pushrod_computed_in") == pytest.approx(7.8326, abs=TOLERANCE["pushrod_in"])
    proof = found.proof("pushrod-catalogue")
    assert proof.value == pytest.approx(0.153, abs=TOLERANCE["pushrod_in"])
    assert proof.verdict is STOP


def test_the_rod_made_to_length_for_this_retrofit() -> None:
    found = retrofit().put("pushrods", "BT-9CUST")
    assert found.number("pushrod_order_in") == pytest.approx(7.835)
    preload = found.proof("preload-window")
    assert preload.value == pytest.approx(0.0374, abs=TOLERANCE["pushrod_in"])
    assert preload.verdict is PASS
    assert found.silent("pushrod-catalogue")


def test_buckling_of_a_production_rod() -> None:
    found = bench("B56", "B2").spring("S2").new("pushrods", length_in=7.425, od_mm=8.0, wall_mm=2.0)
    assert found.number("pushrod_buckling_lb") == pytest.approx(2430, rel=0.005)
    assert found.proof("pushrod-buckling").verdict is PASS
    thin = found.new("pushrods", length_in=7.425, od_mm=7.0, wall_mm=1.5).proof("pushrod-buckling")
    assert thin.verdict is Verdict.WARN


# ---- bolts in their holes ----------------------------------------------------------------------------------

BLOCK = {"HB-A": ("A01", "4417-A"), "HB-B": ("A06", "5128-D")}


def holes(bolt_class: str) -> Bench:
    """A block whose head bolt holes are of this class."""
    application, casting = BLOCK[bolt_class]
    found = Bench(application)
    assert found.values.fixed["engine"]["block_casting"] == casting
    assert found.values.fixed["engine"]["head_bolt_class"] == bolt_class
    return found


@pytest.mark.parametrize("row", BENCH["bolts"], ids=lambda row: f"{row['bolt_class']}-{row['row']}")
def test_a_bolt_in_its_own_hole(row: Row) -> None:
    found = holes(row["bolt_class"])
    lengths = {
        each["row"]: each["bolt_mm"] for each in BENCH["bolts"] if each["bolt_class"] == row["bolt_class"]
    }
    found.new("head-bolts-main", **{f"{name}_length_mm": length for name, length in lengths.items()})
    bottom, thread = found.proof(f"bolt-bottom-{row['row']}"), found.proof(f"bolt-thread-{row['row']}")
    assert (bottom.value, bottom.limit, bottom.verdict) == (row["clear_mm"], 3, PASS)
    assert (thread.value, thread.verdict) == (row["engaged_mm"], PASS)
    assert thread.limit == {"A01": 18, "A06": 24}[BLOCK[row["bolt_class"]][0]]


@pytest.mark.parametrize(
    ("hole", "upper_mm", "lower_mm", "proof", "value_mm"),
    [
        ("HB-B", 175.0, 145.0, "bolt-bottom-upper", -25.0),
        ("HB-A", 140.0, 110.0, "bolt-thread-upper", 6.0),
        ("HB-B", 110.0, 140.0, "bolt-bottom-lower", -20.0),
        ("HB-B", 110.0, 140.0, "bolt-thread-upper", -4.0),
    ],
)
def test_a_bolt_in_the_wrong_hole(
    hole: str, upper_mm: float, lower_mm: float, proof: str, value_mm: float
) -> None:
    found = holes(hole).new("head-bolts-main", upper_length_mm=upper_mm, lower_length_mm=lower_mm)
    made = found.proof(proof)
    assert (made.value, made.verdict) == (value_mm, STOP)


# ---- heads -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", STANDS_IN)
def test_valves_clear_each_other_and_the_wall(name: str) -> None:
    found = Bench(STANDS_IN[name])
    head = BENCH["heads"][BENCH["engines"][name]["head"]]
    gap = found.proof("valve-valve")
    assert gap.value == pytest.approx(head["gap_mm"] / 25.4, abs=LENGTH)
    assert gap.verdict is PASS
    wall = found.proof("head-bore-span")
    assert wall.value == pytest.approx((BENCH["engines"][name]["bore_mm"] - head["span_mm"]) / 2)
    assert wall.verdict is PASS


def test_larger_valves_meet_and_hit_the_wall() -> None:
    found = Bench("A06", facts={"intake-valve-diameter": "53 mm", "valve-span": "97.5 mm"})
    assert found.proof("valve-valve").verdict is STOP
    assert found.proof("head-bore-span").verdict is STOP


def test_a_head_on_a_bore_that_is_too_small() -> None:
    proof = Bench("A04", facts={"valve-span": "94.80 mm"}).proof("head-bore-span")
    assert proof.value == pytest.approx(0.60)
    assert proof.verdict is STOP
