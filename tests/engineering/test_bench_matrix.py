"""The result matrix of the bench: every engine, cam and spring within the tolerances stated with the data."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tappetry.engineering import (
    clearances,
    compression,
    crank,
    joints,
    lobe,
    phaser,
    piston_to_valve,
    pushrod,
    springs,
    valvetrain,
)
from tests.engineering.bench import (
    BENCH,
    CC,
    DEG,
    EXHAUST,
    GRAM,
    INCH,
    INTAKE,
    LBF,
    MM,
    PSI,
    RPM,
    case_name,
    lobe_shape,
)

Row = dict[str, Any]
TOLERANCE = BENCH["tolerances"]
ENGINES, CAMS, SPRINGS, HEADS = (BENCH[key] for key in ("engines", "cams", "springs", "heads"))
LENGTH = TOLERANCE["lengths_in"]


def clearance_volume(engine: Row) -> float:
    gasket = compression.gasket_volume(engine["gasket_bore_mm"] * MM, engine["gasket_mm"] * MM)
    return float(
        compression.clearance_volume(
            chamber_volume=engine["chamber_cc"] * CC,
            gasket_volume=gasket,
            bore=engine["bore_mm"] * MM,
            deck_clearance=engine["deck_clearance_mm"] * MM,
            piston_volume=engine["piston_cc"] * CC,
        )
    )


@pytest.mark.parametrize("name", ENGINES)
def test_volumes(name: str) -> None:
    engine = ENGINES[name]
    clearance = clearance_volume(engine)
    swept = crank.swept_volume(engine["bore_mm"] * MM, engine["stroke_mm"] * MM)
    assert clearance / CC == pytest.approx(engine["clearance_cc"], abs=0.0051)
    assert swept / CC == pytest.approx(engine["swept_cc"], abs=0.0051)
    assert compression.static_compression_ratio(swept, clearance) == pytest.approx(
        engine["static_ratio"], abs=0.0051
    )
    deck = compression.deck_clearance(
        engine["deck_mm"] * MM, engine["stroke_mm"] * MM, engine["rod_mm"] * MM, engine["pin_height_mm"] * MM
    )
    assert deck / MM == pytest.approx(engine["deck_clearance_mm"], abs=1e-9)


@pytest.mark.parametrize("row", BENCH["compression"], ids=case_name)
def test_compression(row: Row) -> None:
    engine, card = ENGINES[row["engine"]], CAMS[row["cam"]]
    closes = card["events_006_deg"][1] * DEG
    stroke = compression.effective_stroke(closes, engine["stroke_mm"] * MM, engine["rod_mm"] * MM)
    clearance = clearance_volume(engine)
    ratio = compression.effective_compression_ratio(stroke, engine["bore_mm"] * MM, clearance)
    pressure = compression.cranking_pressure(ratio, BENCH["ambient_psi"] * PSI, 1.20)
    assert closes / DEG == pytest.approx(row["intake_closes_deg"])
    assert stroke / MM == pytest.approx(row["stroke_mm"], abs=TOLERANCE["effective_stroke_mm"])
    assert ratio == pytest.approx(row["effective"], abs=TOLERANCE["compression_ratio"])
    assert pressure / PSI == pytest.approx(row["cranking_psi"], abs=TOLERANCE["cranking_psi"])


def valve_inputs(row: Row, side: int) -> dict[str, float]:
    engine, card = ENGINES[row["engine"]], CAMS[row["cam"]]
    shape = lobe_shape(row["cam"], side)
    return {
        "valve_drop": engine["drop_in"][side] * INCH,
        "valve_angle": engine["valve_angle_deg"] * DEG,
        "stroke": engine["stroke_mm"] * MM,
        "rod_length": engine["rod_mm"] * MM,
        "lobe_lift": card["lobe_lift_in"][side] * INCH,
        "lobe_exponent": float(shape.lobe_exponent),
        "lobe_half_width": float(shape.lobe_half_width),
        "rocker_ratio": engine["rocker_ratio"],
        "hot_lash": float(card["hot_lash_in"][side] * INCH),
        ("intake_centreline", "exhaust_centreline")[side]: (
            card[("intake_centreline_deg", "exhaust_centreline_deg")[side]] * DEG
        ),
    }


@pytest.mark.parametrize("row", BENCH["piston_to_valve"], ids=case_name)
def test_piston_to_valve(row: Row) -> None:
    intake = piston_to_valve.intake_piston_to_valve(**valve_inputs(row, INTAKE))
    exhaust = piston_to_valve.exhaust_piston_to_valve(**valve_inputs(row, EXHAUST))
    for tight, (clearance, angle) in ((intake, row["intake"]), (exhaust, row["exhaust"])):
        assert tight.minimum_clearance / INCH == pytest.approx(clearance, abs=LENGTH)
        assert tight.angle_of_minimum / DEG == pytest.approx(angle, abs=TOLERANCE["angles_deg"])
    passes = intake.minimum_clearance >= 0.080 * INCH and exhaust.minimum_clearance >= 0.100 * INCH
    assert passes == row["passes"]


@pytest.mark.parametrize("row", [row for row in BENCH["piston_to_valve"] if "full" in row], ids=case_name)
def test_piston_to_valve_over_the_phaser(row: Row) -> None:
    positions = np.array([row["limited"][1], row["full"][1]]) * DEG
    tight = piston_to_valve.exhaust_piston_to_valve(**valve_inputs(row, EXHAUST), retard=positions)
    expected = [row["limited"][0], row["full"][0]]
    np.testing.assert_allclose(tight.minimum_clearance / INCH, expected, rtol=0, atol=LENGTH)
    assert list(tight.minimum_clearance >= 0.100 * INCH) == [row["limited"][2], row["full"][2]]


@pytest.mark.parametrize("row", [row for row in BENCH["piston_to_valve"] if "full" in row], ids=case_name)
def test_safe_retard_is_where_the_clearance_is_reached(row: Row) -> None:
    inputs = valve_inputs(row, EXHAUST)
    whole = row["full"][1] * DEG
    retard = phaser.safe_retard(required_clearance=0.100 * INCH, phaser_range=whole, **inputs)
    tight = piston_to_valve.exhaust_piston_to_valve(**inputs, retard=retard)
    if row["full"][2]:
        assert retard == whole
    else:
        assert tight.minimum_clearance == pytest.approx(0.100 * INCH, abs=1e-12)


def test_safe_retard_and_its_half_degree() -> None:
    row = next(row for row in BENCH["piston_to_valve"] if (row["engine"], row["cam"]) == ("B56", "B2"))
    retard = phaser.safe_retard(
        required_clearance=0.100 * INCH, phaser_range=30 * DEG, **valve_inputs(row, EXHAUST)
    )
    assert retard / DEG == pytest.approx(20.99, abs=0.0051)
    assert phaser.floored_retard(retard, 0.5 * DEG) / DEG == pytest.approx(20.5)


def test_retard_gives_an_intake_its_clearance() -> None:
    row = next(row for row in BENCH["piston_to_valve"] if (row["engine"], row["cam"]) == ("B56", "B3"))
    inputs = valve_inputs(row, INTAKE)
    tight = piston_to_valve.intake_piston_to_valve(**inputs, retard=np.array([2.0, 4.0]) * DEG)
    np.testing.assert_allclose(tight.minimum_clearance / INCH, [0.077, 0.088], rtol=0, atol=LENGTH)
    retard = phaser.needed_retard(required_clearance=0.080 * INCH, **inputs)
    assert 2.0 < retard / DEG < 4.0
    at_retard = piston_to_valve.intake_piston_to_valve(**inputs, retard=retard)
    assert at_retard.minimum_clearance == pytest.approx(0.080 * INCH, abs=1e-12)


def lift_at_valve(row: Row) -> float:
    engine, card = ENGINES[row["engine"]], CAMS[row["cam"]]
    return max(
        float(
            valvetrain.lift_at_valve(
                card["lobe_lift_in"][side] * INCH,
                engine["rocker_ratio"],
                float(card["hot_lash_in"][side] * INCH),
            )
        )
        for side in (INTAKE, EXHAUST)
    )


@pytest.mark.parametrize("row", BENCH["spring_fit"], ids=case_name)
def test_spring_fit(row: Row) -> None:
    head, spring = HEADS[ENGINES[row["engine"]]["head"]], SPRINGS[row["spring"]]
    own_seat = 0.015 * INCH if row["spring"] == "S4" else 0.0
    height = springs.installed_height(head["height_in"] * INCH, seat_change=own_seat)
    lift = lift_at_valve(row)
    fit = springs.spring_fit(
        installed_height=height,
        reference_height=spring["height_in"] * INCH,
        reference_load=spring["seat_lb"] * LBF,
        spring_rate=spring["rate_lb_in"] * LBF / INCH,
        solid_height=spring["solid_in"] * INCH,
        lift_at_valve=lift,
    )
    assert lift / INCH == pytest.approx(row["lift_in"], abs=LENGTH)
    assert fit.seat_load / LBF == pytest.approx(row["seat_lb"], abs=TOLERANCE["loads_lb"])
    assert fit.open_load / LBF == pytest.approx(row["open_lb"], abs=TOLERANCE["loads_lb"])
    assert fit.coil_bind_margin / INCH == pytest.approx(row["margin_in"], abs=LENGTH)
    assert (fit.coil_bind_margin < spring["least_margin_in"] * INCH) == row["binds"]
    for seal in ("stock", "short"):
        if row[f"seal_{seal}_in"] is not None:
            left = valvetrain.retainer_to_seal(head[f"seal_{seal}_in"] * INCH, lift)
            assert left / INCH == pytest.approx(row[f"seal_{seal}_in"], abs=LENGTH)


def test_offset_locks_lift_the_retainer() -> None:
    height = springs.installed_height(1.700 * INCH, lock_offset=0.050 * INCH)
    spring = SPRINGS["S2"]
    fit = springs.spring_fit(
        height,
        spring["height_in"] * INCH,
        spring["seat_lb"] * LBF,
        spring["rate_lb_in"] * LBF / INCH,
        spring["solid_in"] * INCH,
        0.536 * INCH,
    )
    assert height / INCH == pytest.approx(1.750, abs=LENGTH)
    assert fit.seat_load / LBF == pytest.approx(139, abs=1)
    assert fit.open_load / LBF == pytest.approx(338, abs=1)
    assert fit.coil_bind_margin / INCH == pytest.approx(0.104, abs=LENGTH)
    left = valvetrain.retainer_to_seal((0.570 + 0.050) * INCH, 0.536 * INCH)
    assert left / INCH == pytest.approx(0.084, abs=LENGTH)


@pytest.mark.parametrize("name", [name for name in SPRINGS if "free_in" in SPRINGS[name]])
def test_free_length(name: str) -> None:
    spring = SPRINGS[name]
    length = springs.free_length(
        spring["height_in"] * INCH, spring["seat_lb"] * LBF, spring["rate_lb_in"] * LBF / INCH
    )
    assert length / INCH == pytest.approx(spring["free_in"], abs=0.00051)


@pytest.mark.parametrize("row", BENCH["speed"], ids=case_name)
def test_limit_speed(row: Row) -> None:
    engine, card, spring = ENGINES[row["engine"]], CAMS[row["cam"]], SPRINGS[row["spring"]]
    head = HEADS[engine["head"]]
    shape = lobe_shape(row["cam"], INTAKE)
    lobe_lift = card["lobe_lift_in"][INTAKE] * INCH
    lash = float(card["hot_lash_in"][INTAKE] * INCH)
    fit = springs.spring_fit(
        head["height_in"] * INCH,
        spring["height_in"] * INCH,
        spring["seat_lb"] * LBF,
        spring["rate_lb_in"] * LBF / INCH,
        spring["solid_in"] * INCH,
        valvetrain.lift_at_valve(lobe_lift, engine["rocker_ratio"], lash),
    )
    mass = valvetrain.equivalent_mass(
        valve_mass=head["intake_valve_g"] * GRAM,
        retainer_mass=spring.get("retainer_g", head["retainer_g"]) * GRAM,
        lock_mass=head["locks_g"] * GRAM,
        spring_mass=spring["mass_g"] * GRAM,
        rocker_mass_at_valve=head["rocker_g"] * GRAM,
        pushrod_mass=head["pushrod_g"] * GRAM,
        lifter_mass=head["lifter_g"] * GRAM,
        rocker_ratio=engine["rocker_ratio"],
    )
    acceleration = lobe.nose_acceleration(lobe_lift, shape.lobe_exponent, shape.lobe_half_width)
    speed = valvetrain.separation_speed(fit.open_load, mass, acceleration, engine["rocker_ratio"])
    percent = TOLERANCE["speed_percent"] / 100
    assert fit.seat_load / LBF == pytest.approx(row["seat_lb"], abs=1)
    assert fit.open_load / LBF == pytest.approx(row["open_lb"], abs=1)
    assert mass / GRAM == pytest.approx(row["mass_g"], abs=0.5)
    at_valve = -acceleration * engine["rocker_ratio"] * DEG**2 / INCH
    assert at_valve == pytest.approx(row["nose_in_per_deg2"], rel=percent)
    assert speed / RPM == pytest.approx(row["separation_rpm"], rel=percent)
    assert valvetrain.working_speed(speed) / RPM == pytest.approx(row["working_rpm"], rel=percent)


@pytest.mark.parametrize("row", BENCH["pushrods"], ids=case_name)
def test_pushrod_preload(row: Row) -> None:
    factory = {"S/L": 7.400, "R": 7.805}[row["head"]] * INCH
    card = CAMS[row["cam"]]
    required = pushrod.pushrod_length(factory, 40.0 * MM, card["base_circle_mm"] * MM)
    preload = pushrod.preload(row["rod_in"] * INCH, required, 0.080 * INCH)
    tolerance = TOLERANCE["pushrod_in"]
    assert (required - factory) / INCH == pytest.approx(row["base_circle_in"], abs=tolerance)
    assert preload / INCH == pytest.approx(row["preload_in"], abs=tolerance)
    assert (0.060 * INCH <= preload <= 0.100 * INCH) == row["ok"]


@pytest.mark.parametrize(
    ("change", "preload_gain_in"),
    [
        ({"gasket_change": -0.30 * MM}, 0.0118),
        ({"skim": 0.25 * MM}, 0.0098),
        ({"valve_tip_rise": 0.010 * INCH, "rocker_ratio": 1.65}, 0.0061),
        ({"pedestal_rise": 0.010 * INCH, "rocker_ratio": 1.65}, -0.0161),
    ],
)
def test_other_changes_move_the_preload(change: dict[str, float], preload_gain_in: float) -> None:
    required = pushrod.pushrod_length(7.400 * INCH, 0.040, 0.040, **change)
    gain = pushrod.preload(7.400 * INCH, required, 0.080 * INCH) - 0.080 * INCH
    assert gain / INCH == pytest.approx(preload_gain_in, abs=TOLERANCE["pushrod_in"])


def test_retrofit_pushrod() -> None:
    required = pushrod.pushrod_length(
        7.990 * INCH,
        33.00 * MM,
        31.60 * MM,
        cup_offset=0.180 * INCH,
        preload_change=(0.035 - 0.040) * INCH,
    )
    assert required / INCH == pytest.approx(7.8326, abs=TOLERANCE["pushrod_in"])
    assert required / INCH - 7.680 == pytest.approx(0.153, abs=TOLERANCE["pushrod_in"])
    ordered = pushrod.preload(7.835 * INCH, required, 0.035 * INCH)
    assert ordered / INCH == pytest.approx(0.0374, abs=TOLERANCE["pushrod_in"])


HOLES = {"HB-A": (42.0, 90.0), "HB-B": (22.0, 58.0)}


@pytest.mark.parametrize("row", BENCH["bolts"], ids=lambda row: f"{row['bolt_class']}-{row['row']}")
def test_bolt_depth(row: Row) -> None:
    start, bottom = HOLES[row["bolt_class"]]
    depth = joints.bolt_depth(row["bolt_mm"] * MM, row["clamped_mm"] * MM, start * MM, bottom * MM)
    assert bottom == row["bottom_mm"]
    assert depth.bolt_penetration / MM == pytest.approx(row["penetration_mm"], abs=1e-9)
    assert depth.engaged_thread / MM == pytest.approx(row["engaged_mm"], abs=1e-9)
    assert depth.bottom_clearance / MM == pytest.approx(row["clear_mm"], abs=1e-9)


@pytest.mark.parametrize(
    ("bolt_mm", "clamped_mm", "hole", "engaged_mm", "clear_mm"),
    [
        (175.0, 92.0, "HB-B", 36.0, -25.0),  # bottoms 25 mm early
        (140.0, 92.0, "HB-A", 6.0, 42.0),  # six millimetres of thread
        (140.0, 62.0, "HB-B", 36.0, -20.0),  # bottoms 20 mm early
        (110.0, 92.0, "HB-B", 0.0, 40.0),  # no thread at all
    ],
)
def test_bolt_in_the_wrong_hole(
    bolt_mm: float, clamped_mm: float, hole: str, engaged_mm: float, clear_mm: float
) -> None:
    start, bottom = HOLES[hole]
    depth = joints.bolt_depth(bolt_mm * MM, clamped_mm * MM, start * MM, bottom * MM)
    assert depth.engaged_thread / MM == pytest.approx(engaged_mm, abs=1e-9)
    assert depth.bottom_clearance / MM == pytest.approx(clear_mm, abs=1e-9)


@pytest.mark.parametrize("name", HEADS)
def test_valve_to_valve(name: str) -> None:
    head = HEADS[name]
    gap = clearances.valve_to_valve(
        head["centres_mm"] * MM, head["intake_valve_mm"] * MM, head["exhaust_valve_mm"] * MM
    )
    assert gap / MM == pytest.approx(head["gap_mm"], abs=1e-9)


@pytest.mark.parametrize(("bore_mm", "left_mm"), [(96.0, 0.60), (99.0, 2.10)])
def test_valve_edge_to_bore(bore_mm: float, left_mm: float) -> None:
    left = clearances.valve_edge_to_bore(bore_mm * MM, HEADS["L"]["span_mm"] * MM)
    assert left / MM == pytest.approx(left_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("inlet_mm", "section_mm", "squeeze"),
    [
        (20.8, 2.50, 0.200),
        (20.8, 3.10, 0.355),
        (20.8, 3.80, 0.474),
        (21.8, 3.10, 0.194),
        (21.8, 3.80, 0.342),
        (23.0, 3.80, 0.184),
    ],
)
def test_ring_squeeze(inlet_mm: float, section_mm: float, squeeze: float) -> None:
    gap = clearances.ring_gap(inlet_mm * MM, 16.8 * MM)
    assert clearances.ring_squeeze(section_mm * MM, gap) == pytest.approx(squeeze, abs=0.00051)


@pytest.mark.parametrize(("inlet_mm", "section_mm"), [(21.8, 2.50), (23.0, 2.50), (23.0, 3.10)])
def test_ring_without_contact(inlet_mm: float, section_mm: float) -> None:
    gap = clearances.ring_gap(inlet_mm * MM, 16.8 * MM)
    assert clearances.ring_squeeze(section_mm * MM, gap) <= 1e-12
