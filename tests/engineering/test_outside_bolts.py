"""Bolted joints against examples of a textbook and a standard, springs in series, threads turn by turn."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from tappetry.engineering import (
    bolt_losses,
    clamped_joint,
    fatigue,
    joint_stiffness,
    joints,
    thread_tables,
    threads,
    tightening,
)
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import INCH, LBF, MM, PSI

KSI = 1e3 * PSI
MLBF_IN = 1e6 * LBF / INCH


def test_factors_of_a_textbook_joint() -> None:
    """Shigley's Mechanical Engineering Design, example 8-3 (from memory): 3/4-16 grade 5, 25 kip, 6 kip.

    C = 0.320, 72.17 kpsi in the bolt; yield 1.18, overload 3.44 to 3.49, parting 6.13.
    """
    loads = clamped_joint.joint_loads(25e3 * LBF, 6e3 * LBF, 6.5 * MLBF_IN, 13.8 * MLBF_IN)
    assert loads.joint_constant == pytest.approx(0.320, abs=0.0005)
    area = 0.373 * INCH**2
    assert clamped_joint.bolt_stress(loads.bolt_load, area) / KSI == pytest.approx(72.17, abs=0.01)
    found = clamped_joint.joint_factors(25e3 * LBF, loads.joint_constant, 6e3 * LBF, area, 85 * KSI)
    assert found.yield_factor == pytest.approx(1.18, abs=0.005)
    assert found.separation_factor == pytest.approx(6.13, abs=0.005)
    at_overload = clamped_joint.joint_loads(
        25e3 * LBF, found.overload_factor * 6e3 * LBF, 6.5 * MLBF_IN, 13.8 * MLBF_IN
    )
    assert at_overload.bolt_load == pytest.approx(85 * KSI * area)


def test_a_joint_that_has_parted_hangs_on_its_bolt() -> None:
    shut = clamped_joint.joint_loads(40e3, 20e3, 300e6, 900e6)
    assert shut.bolt_load - shut.clamp_load == pytest.approx(20e3)
    parted = clamped_joint.joint_loads(40e3, 60e3, 300e6, 900e6)
    assert (parted.bolt_load, parted.clamp_load) == (60e3, 0.0)
    at = clamped_joint.joint_loads(40e3, shut.separation_load, 300e6, 900e6)
    assert at.clamp_load == pytest.approx(0.0, abs=1e-6)
    none = clamped_joint.joint_factors(40e3, 0.25, 0.0, 84.3e-6, 830e6)
    assert none.overload_factor == none.separation_factor == math.inf


def test_a_cone_is_its_slices_in_series() -> None:
    """Oracle: flexibility dx/(E A) of each ring of the cone, integrated with SciPy."""
    bolt, narrow, thickness, modulus = 12 * MM, 18 * MM, 20 * MM, 70e9
    slope = math.tan(math.radians(30))

    def flexibility(x: float) -> float:
        return 1 / (modulus * math.pi / 4 * ((narrow + 2 * x * slope) ** 2 - bolt**2))

    wanted = 1 / quad(flexibility, 0.0, thickness)[0]
    assert joint_stiffness.frustum_stiffness(bolt, thickness, narrow, modulus) == pytest.approx(wanted)
    whole = joint_stiffness.joint_stiffness(bolt, 2 * thickness, narrow, modulus)
    assert whole == pytest.approx(joint_stiffness.series_stiffness((wanted, wanted)))
    with pytest.raises(OutOfRange, match="frustum diameter over nominal diameter = 1 must be above 1"):
        joint_stiffness.frustum_stiffness(bolt, thickness, bolt, modulus)


@pytest.mark.parametrize("grip", [1.0, 2.0, 4.0])
def test_the_fit_is_near_the_cones(grip: float) -> None:
    """Shigley, section 8-5 (from memory): the two ways differ by some percent at usual grips."""
    cones = joint_stiffness.joint_stiffness(12 * MM, grip * 12 * MM, 18 * MM)
    fit = joint_stiffness.joint_stiffness_fit(12 * MM, grip * 12 * MM, "steel")
    assert fit == pytest.approx(cones, rel=0.12)


def test_a_soft_gasket_decides_the_joint() -> None:
    """One behind the other the softer counts; its stiffness is its modulus over its thickness."""
    plates = joint_stiffness.joint_stiffness(12 * MM, 40 * MM, 18 * MM)
    gasket = joint_stiffness.layer_stiffness(800e-6, 1.5 * MM, 100e6)
    together = joint_stiffness.series_stiffness((plates, gasket))
    assert together == pytest.approx(gasket, rel=0.05)
    assert gasket * 1.5 * MM / 800e-6 == pytest.approx(100e6)


def test_stiffness_of_a_bolt_without_thread_in_the_grip() -> None:
    area = math.pi / 4 * (12 * MM) ** 2
    assert joint_stiffness.bolt_stiffness(12 * MM, 84.3e-6, 60 * MM, 0.0) == pytest.approx(
        207e9 * area / (60 * MM)
    )
    with pytest.raises(OutOfRange, match="shank length and grip thread length together = 0 m"):
        joint_stiffness.bolt_stiffness(12 * MM, 84.3e-6, 0.0, 0.0)


def test_angle_and_heat_move_the_same_two_springs() -> None:
    """Stretch and squeeze add up to the travel of the nut; to the difference of the expansions."""
    travel = joints.tightening_travel(math.pi / 2, 1.5 * MM)
    gain = clamped_joint.preload_gain(math.pi / 2, 1.5 * MM, 270e6, 950e6)
    assert clamped_joint.bolt_stretch(gain, 270e6) + gain / 950e6 == pytest.approx(travel)
    heat = clamped_joint.thermal_load_change(23.1e-6, 11.7e-6, 80.0, 60 * MM, 260e6, 800e6)
    assert heat / 260e6 + heat / 800e6 == pytest.approx((23.1e-6 - 11.7e-6) * 80 * 60 * MM)


VDI_ROWS = {  # VDI 2230-1, table A1 (from memory), friction 0.12: size, pitch, dw, dh [mm]: kN, N.m by class
    (6, 1.0, 8.9, 6.6): {"8.8": (10.2, 10.1), "10.9": (14.9, 14.9), "12.9": (17.5, 17.4)},
    (8, 1.25, 11.63, 9): {"8.8": (18.6, 24.6), "10.9": (27.3, 36.1), "12.9": (32.0, 42.2)},
    (10, 1.5, 14.63, 11): {"8.8": (29.6, 48), "10.9": (43.4, 71), "12.9": (50.8, 83)},
    (12, 1.75, 16.63, 13.5): {"8.8": (43.0, 84), "10.9": (63.2, 123), "12.9": (74.0, 144)},
    (14, 2.0, 19.64, 15.5): {"8.8": (59.1, 133), "10.9": (86.7, 195), "12.9": (101.5, 229)},
    (16, 2.0, 22.49, 17.5): {"8.8": (80.9, 206), "10.9": (118.8, 302), "12.9": (139.0, 354)},
    (20, 2.5, 28.19, 22): {"8.8": (130, 415), "10.9": (186, 592), "12.9": (217, 692)},
}


@pytest.mark.parametrize("mark", ["8.8", "10.9", "12.9"])
@pytest.mark.parametrize("bolt", VDI_ROWS, ids=lambda bolt: f"M{bolt[0]}")
def test_preloads_and_torques_of_a_standards_table(bolt: tuple[float, ...], mark: str) -> None:
    size, pitch, outer, hole = (each * MM for each in bolt)
    preload, torque = VDI_ROWS[bolt][mark]
    strength = threads.property_class_strength(mark, size).yield_strength
    found = tightening.assembly_preload(size, pitch, strength, 0.12, 0.12, outer, hole)
    assert found.bolt_preload / 1e3 == pytest.approx(preload, rel=0.005)
    assert found.torque == pytest.approx(torque, rel=0.01)
    back = tightening.preload_from_torque(found.torque, size, pitch, 0.12, 0.12, outer, hole)
    assert back == pytest.approx(found.bolt_preload)


def test_a_tightened_bolt_is_at_its_share_of_yield() -> None:
    """Pull and twist of the core added by the shape-change hypothesis, the twist as in a yielding core."""
    size, pitch, strength, share, friction = 12 * MM, 1.75 * MM, 940e6, 0.8, 0.14
    found = tightening.assembly_preload(size, pitch, strength, friction, 0.1, 18 * MM, 13.5 * MM, share)
    thread = threads.thread_diameters(size, pitch)
    core = (thread.pitch_diameter + thread.root_diameter) / 2
    pull = found.bolt_preload / (math.pi / 4 * core**2)
    torque = found.bolt_preload * thread.pitch_diameter / 2
    torque *= pitch / (math.pi * thread.pitch_diameter) + friction / math.cos(math.radians(30))
    twist = torque / (math.pi / 12 * core**3)
    assert math.hypot(pull, math.sqrt(3) * twist) == pytest.approx(share * strength)


def test_stress_while_tightening_is_what_the_preload_was_chosen_by() -> None:
    """VDI 2230-1 (from memory): a yielding core has 3/4 of the elastic twist, and 0.9 of yield in all."""
    size = (10 * MM, 1.5 * MM)
    rings = (0.12, 0.12, 14.63 * MM, 11 * MM)
    preload = tightening.assembly_preload(*size, 940e6, *rings).bolt_preload
    torque = tightening.assembly_torque(preload, *size, *rings).thread_torque
    found = tightening.tightening_stress(preload, torque, *size)
    assert math.hypot(found.pull_stress, math.sqrt(3) * 0.75 * found.twist_stress) == pytest.approx(
        0.9 * 940e6
    )
    assert found.combined_stress > 0.9 * 940e6


def test_lead_and_height_of_a_thread() -> None:
    """One turn climbs one pitch; ISO 68-1: the height is 0.866025 pitches."""
    thread = threads.thread_diameters(10 * MM, 1.5 * MM)
    assert math.tan(thread.lead_angle) * math.pi * thread.pitch_diameter == pytest.approx(1.5 * MM)
    assert thread.thread_height / (1.5 * MM) == pytest.approx(0.866025, abs=1e-6)


def test_wedge_and_screw_give_nearly_the_same_torque() -> None:
    """The two formulas take the friction at slightly other radii: within 2 %."""
    thread = threads.thread_diameters(10 * MM, 1.5 * MM)
    root = math.pi / 4 * thread.root_diameter**2
    wedge = tightening.torque_from_friction(43e3, 10 * MM, 1.5 * MM, root, 0.12, 0.12, (14.63 + 11) / 2 * MM)
    screw = tightening.assembly_torque(43e3, 10 * MM, 1.5 * MM, 0.12, 0.12, 14.63 * MM, 11 * MM)
    assert wedge.torque == pytest.approx(screw.torque, rel=0.02)
    for each in (wedge, screw):
        assert each.thread_torque + each.head_torque == pytest.approx(each.torque)
        assert joints.torque_for_tension(43e3, each.nut_factor, 10 * MM) == pytest.approx(each.torque)


def test_without_friction_torque_only_lifts() -> None:
    bare = tightening.assembly_torque(1e4, 10 * MM, 1.5 * MM, 1e-12, 1e-12, 15 * MM, 11 * MM)
    assert bare.torque == pytest.approx(1e4 * 1.5 * MM / (2 * math.pi), rel=1e-6)


def test_shear_areas_are_the_flanks_turn_by_turn() -> None:
    """Basic profile of ISO 68-1, from memory: 3/4 and 7/8 of the pitch wide where the other thread ends."""
    size, pitch, length = 10 * MM, 1.5 * MM, 15 * MM
    thread = threads.thread_diameters(size, pitch)
    width_bolt = pitch / 2 + math.tan(math.radians(30)) * (thread.pitch_diameter - thread.minor_diameter)
    width_hole = pitch / 2 + math.tan(math.radians(30)) * (size - thread.pitch_diameter)
    assert (width_bolt / pitch, width_hole / pitch) == pytest.approx((0.75, 0.875))
    found = tightening.thread_strip(size, pitch, length, 1040e6, 250e6)
    assert found.bolt_shear_area == pytest.approx(0.75 * math.pi * thread.minor_diameter * length)
    assert found.hole_shear_area == pytest.approx(0.875 * math.pi * size * length)
    assert found.hole_strip_load == pytest.approx(found.hole_shear_area * 250e6 / math.sqrt(3))


def test_fatigue_of_a_bolt_is_the_line_to_the_ultimate() -> None:
    """The factor put on the outer load alone ends on Goodman's line, and on Gerber's parabola."""
    case = (60e3, 0.25, 0.0, 30e3, 84.3e-6, 1040e6, 162e6)
    found = fatigue.bolt_fatigue(*case)
    start = 60e3 / 84.3e-6
    for factor, power in ((found.goodman_factor, 1), (found.gerber_factor, 2)):
        mean = start + factor * (found.mean_stress - start)
        assert factor * found.stress_amplitude / 162e6 + (mean / 1040e6) ** power == pytest.approx(1.0)
    with pytest.raises(OutOfRange, match="tensile strength less preload stress = -"):
        fatigue.bolt_fatigue(100e3, *case[1:])


@pytest.mark.parametrize(
    ("size", "area"), [(8, 36.6), (12, 84.3), (20, 245), (24, 353), (30, 561), (36, 817)]
)
def test_coarse_pitches_lead_to_the_tabulated_areas(size: int, area: float) -> None:
    """ISO 898-1, nominal stress areas (from memory), from the pitches of ISO 261."""
    found = threads.metric_stress_area(size * MM, thread_tables.coarse_pitch(size * MM)) / MM**2
    assert found == pytest.approx(area, rel=0.002, abs=1e-5)


@pytest.mark.parametrize(
    ("size", "series", "area"),
    [
        (0.06, "UNF", 0.00180),
        (0.073, "UNC", 0.00263),
        (0.086, "UNC", 0.00370),
        (0.099, "UNC", 0.00487),
        (0.112, "UNC", 0.00604),
        (0.112, "UNF", 0.00661),
        (0.125, "UNC", 0.00796),
        (0.125, "UNF", 0.00830),
        (0.138, "UNC", 0.00909),
        (0.138, "UNF", 0.01015),
        (0.164, "UNC", 0.0140),
        (0.164, "UNF", 0.01474),
        (0.19, "UNC", 0.0175),
        (0.19, "UNF", 0.0200),
        (0.216, "UNC", 0.0242),
        (0.216, "UNF", 0.0258),
        (0.25, "UNC", 0.0318),
        (0.25, "UNF", 0.0364),
        (0.5, "UNF", 0.1599),
        (0.75, "UNC", 0.334),
        (1.0, "UNF", 0.663),
        (1.125, "UNC", 0.763),
        (1.125, "UNF", 0.856),
        (1.25, "UNC", 0.969),
        (1.25, "UNF", 1.073),
        (1.375, "UNC", 1.155),
        (1.375, "UNF", 1.315),
        (1.5, "UNC", 1.405),
        (1.5, "UNF", 1.581),
    ],
)
def test_inch_pitches_lead_to_the_tabulated_areas(size: float, series: str, area: float) -> None:
    """ASME B1.1, tensile stress areas (from memory)."""
    pitch = thread_tables.unified_pitch(size * INCH, series)
    assert threads.unified_stress_area(size * INCH, pitch) / INCH**2 == pytest.approx(
        area, rel=0.002, abs=1e-5
    )


FINE = {  # ISO 898-1, stress areas of fine threads (from memory): size, pitch [mm]: area [mm2]
    (8, 1): 39.2, (10, 1.25): 61.2, (10, 1): 64.5, (12, 1.25): 92.1, (12, 1.5): 88.1, (14, 1.5): 125,
    (16, 1.5): 167, (18, 1.5): 216, (20, 1.5): 272, (22, 1.5): 333, (24, 2): 384, (27, 2): 496, (30, 2): 621,
}  # fmt: skip


@pytest.mark.parametrize(("thread", "area"), FINE.items())
def test_areas_of_fine_metric_threads(thread: tuple[float, float], area: float) -> None:
    size, pitch = (each * MM for each in thread)
    assert threads.metric_stress_area(size, pitch) / MM**2 == pytest.approx(
        area, rel=0.0025, abs=0.5 if area >= 100 else 0.05
    )


PROOF_LOADS = {  # ISO 898-1, proof loads (from memory): size, pitch [mm], class: load [N]
    (6, 1, "8.8"): 11_600, (8, 1.25, "8.8"): 21_200, (8, 1.25, "10.9"): 30_400, (10, 1.5, "8.8"): 33_700,
    (10, 1.5, "10.9"): 48_100, (12, 1.75, "8.8"): 48_900, (12, 1.75, "10.9"): 70_000,
    (12, 1.75, "12.9"): 81_800, (14, 2, "8.8"): 66_700, (16, 2, "8.8"): 91_000, (20, 2.5, "8.8"): 147_000,
    (8, 1, "8.8"): 22_700, (10, 1.25, "10.9"): 50_800, (12, 1.25, "8.8"): 53_400,
}  # fmt: skip


@pytest.mark.parametrize(("bolt", "load"), PROOF_LOADS.items())
def test_proof_loads_of_the_standards_table(bolt: tuple[float, float, str], load: float) -> None:
    size, pitch, mark = bolt[0] * MM, bolt[1] * MM, bolt[2]
    proof = threads.property_class_strength(mark, size).proof_stress
    found = joints.bolt_load(threads.metric_stress_area(size, pitch), proof)
    assert found == pytest.approx(load, rel=0.0065)  # the table rounds area and load to three digits


def test_settling_takes_what_both_springs_give_back() -> None:
    """The settlement is what the bolt shortens and the parts grow, each by its own stiffness."""
    lost = bolt_losses.settling_loss(8e-6, 260e6, 800e6)
    assert lost / 260e6 + lost / 800e6 == pytest.approx(8e-6)


def test_least_preload_and_pressure_below_a_head() -> None:
    """Worked by hand: 48 kN over 1.6; 60 kN over pi/4 (18^2 - 13.5^2) = 111.3 mm2 is 539 MPa."""
    assert bolt_losses.least_bolt_preload(48e3, 1.6) == pytest.approx(30e3)
    pressure = bolt_losses.head_bearing_pressure(60e3, 18 * MM, 13.5 * MM)
    assert pressure / 1e6 == pytest.approx(539, abs=0.5)
    with pytest.raises(OutOfRange) as refusal:
        bolt_losses.head_bearing_pressure(60e3, 13 * MM, 13.5 * MM)
    assert str(refusal.value) == (
        "through hole diameter over head outer diameter = 1.03846 must be 0..0.999 (without a ring nothing "
        "bears). Take the bearing ring's outside, not the width across flats or the thread"
    )


def test_sizes_that_no_table_has() -> None:
    with pytest.raises(OutOfRange) as refusal:
        thread_tables.coarse_pitch(np.array([0.012, 0.011]))
    assert str(refusal.value) == (
        "nominal diameter at 1 = 0.011 m must be a size of the table, 0.0016..0.064 m "
        "(ISO 261, coarse pitches). Measure the thread's pitch with a gauge"
    )
    with pytest.raises(OutOfRange, match=r"nominal diameter = 0.0381 m must be .* for grade 5.2"):
        thread_tables.inch_grade_strength("5.2", 1.5 * INCH)
    with pytest.raises(OutOfRange, match="inch grade '3' must be one of 1, 2, 4, 5"):
        thread_tables.inch_grade_strength("3", 0.5 * INCH)


def test_large_grade_fives_are_weaker() -> None:
    """SAE J429, secondary transcriptions: 85 kpsi to 1 in, 74 above."""
    small, large = (thread_tables.inch_grade_strength("5", size * INCH) for size in (1.0, 1.125))
    assert (small.proof_stress / KSI, large.proof_stress / KSI) == pytest.approx((85, 74))


@pytest.mark.parametrize("mark", threads.PROPERTY_CLASSES)
def test_what_a_mark_spells_is_near_the_least(mark: str) -> None:
    spelt = thread_tables.nominal_class_strength(mark)
    least = threads.property_class_strength(mark, 10 * MM)
    assert spelt.nominal_tensile_strength <= least.tensile_strength <= 1.07 * spelt.nominal_tensile_strength


def test_a_stud_that_has_grown_is_not_used_again() -> None:
    good = tightening.bolt_reuse(175.03 * MM, 175 * MM, 0.05 * MM)
    assert (good.permanent_stretch / MM, good.stretch_left / MM) == pytest.approx((0.03, 0.02))
    assert tightening.bolt_reuse(175.06 * MM, 175 * MM, 0.05 * MM).stretch_left < 0.0
