"""Every formula gives the same answer in other units of length, mass, time and temperature."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.calculations.model import TEXT, Calculation
from tappetry.calculations.registry import registry
from tests.calculations.scaling import Scale, dimensions, full_example

pytestmark = pytest.mark.slow

NOT_HOMOGENEOUS = {
    "property-class-strength": "a table of strengths in MPa",
    **dict.fromkeys(("inch-grade-strength", "coarse-pitch", "unified-pitch"), "a table by size"),
    "spring-wire-strength": "a table's constants by diameter",
    **dict.fromkeys(
        ("kinematic-viscosity", "temperature-at-viscosity", "walther-line"), "logarithms of mm2/s and K"
    ),
    **dict.fromkeys(
        ("viscosity-index", "index-references", "index-above-100"), "equations and logarithms of mm2/s"
    ),
    **dict.fromkeys(
        ("gas-properties", "burned-gas", "unburned-mixture", "air-transport", "equilibrium-products"),
        "published polynomials of a temperature in K",
    ),
    **dict.fromkeys(
        ("constant-pressure-flame", "constant-volume-flame"), "published polynomials of a temperature in K"
    ),
    **dict.fromkeys(
        ("hot-air-otto-cycle", "hot-air-otto-cycle-to-peak"), "published polynomials of a temperature in K"
    ),
    **dict.fromkeys(
        (
            "saturation-pressure",
            "dew-point",
            "relative-humidity",
            "vapour-pressure-from-wet-bulb",
            "humid-air",
        ),
        "published equations of water in K and Pa",
    ),
    **dict.fromkeys(
        ("standard-atmosphere", "altitude", "pressure-altitude", "density-altitude"), "the air of the Earth"
    ),
    **dict.fromkeys(
        (
            "woschni-velocities",
            "woschni-coefficient",
            "woschni-coefficient-in-bar",
            "hohenberg-coefficient",
            "total-friction-mean-pressure",
        ),
        "a correlation with constants in its own units",
    ),
    **dict.fromkeys(
        ("knock-delay", "knock-integral", "knock-angle"), "a correlation with constants in its own units"
    ),
    **dict.fromkeys(
        ("sae-j1349-factor", "sae-j607-factor", "iso-1585", "din-70020-factor", "power-corrections"),
        "the reference air of a standard",
    ),
    "road-load": "the gravity of the Earth",
    "correction-for-efficiency": "the reference air of a standard",
}
FACTORS = st.floats(0.95, 1.05)
SCALES = st.builds(Scale, FACTORS, FACTORS, FACTORS, FACTORS)

# Changes that are 0 in the example would hide a wrong term.
CHANGES = {
    "installed-height": {
        "seat_change": 4e-4,
        "shim_thickness": 4e-4,
        "lock_offset": 1e-3,
        "retainer_step": 3e-4,
    },
    "pushrod-length": {
        "gasket_change": -3e-4,
        "skim": 2e-4,
        "lifter_bore_angle": 0.1,
        "pedestal_rise": 3e-4,
        "valve_tip_rise": 2e-4,
        "rocker_ratio": 1.65,
        "cup_offset": 4e-3,
        "preload_change": -1e-4,
    },
    "clearance-volume": {"crevice_volume": 8e-7},
    "lift-at-valve": {"hot_lash": 4e-4},
    "piston-fall": {"pin_offset": 8e-4},
    "piston-travel": {"pin_offset": 8e-4},
    "piston-velocity": {"pin_offset": 8e-4},
    "piston-acceleration": {"pin_offset": 8e-4},
    "effective-stroke": {"pin_offset": 8e-4},
    "intake-piston-to-valve": {"hot_lash": 4e-4, "retard": 0.1, "pin_offset": 8e-4},
    "exhaust-piston-to-valve": {"hot_lash": 4e-4, "retard": 0.1, "pin_offset": 8e-4},
    "safe-retard": {"hot_lash": 1e-4, "pin_offset": 8e-4},
    "quarter-wave-frequency": {"end_correction": 0.012},
    "half-wave-frequency": {"end_correction": 0.024},
    "area-change": {"branch_area": 2e-3},
    "friction-mean-pressure": {"friction_square_factor": 200.0},
    "needed-retard": {"hot_lash": 1e-4, "pin_offset": 8e-4},
    "side-flow": {"eccentricity_ratio": 0.5},
    "gap-flow": {"eccentricity_ratio": 0.5},
    "pickup-state": {"suction_height": 0.05},
    "road-speed": {"converter_slip": 0.05},
    "engine-speed-on-road": {"converter_slip": 0.05},
    "final-drive-for-speeds": {"converter_slip": 0.05},
    "stoichiometric-ratio": {"oxygen_atoms": 1.0},
    "sum-uncertainty": {"correlation": 0.5},
    "coverage-factor": {"freedom": 12.0},
    "moved-timing": {"added_advance": 0.05},
    "overlap-area": {"hot_lash": 4e-4},
    "valve-duration": {"hot_lash": 4e-4},
    "piston-forces": {"pin_offset": 8e-4},
    "clay-clearance": {"checking_lash": 3e-4, "hot_lash": 4e-4},
    "checking-spring-clearance": {"checking_lash": 3e-4, "hot_lash": 4e-4},
    "rocker-motion": {"rod_lean": 0.05},
    "dual-spring": {"inner_step": 3e-3},
    "compression-ratio-with-doubt": {"other_clearance_uncertainty": 3e-7},
}

CALCULATIONS = [
    each
    for each in registry().calculations
    if each.name not in NOT_HOMOGENEOUS and any(number.kind != TEXT for number in each.inputs)
]


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda each: each.name)
@settings(max_examples=settings.default.max_examples // 10)
@given(scale=SCALES)
def test_same_in_other_units(calculation: Calculation, scale: Scale) -> None:
    inputs = {**full_example(calculation), **CHANGES.get(calculation.name, {})}
    plain = calculation.evaluate(inputs)
    scaled = calculation.evaluate(scale.inputs(calculation, inputs))
    for output in calculation.outputs:
        expected = plain[output.name] * scale.of(output.unit)
        np.testing.assert_allclose(
            scaled[output.name], expected, rtol=1e-8, atol=1e-12 * abs(scale.of(output.unit))
        )


def test_every_change_is_looked_at() -> None:
    for name, changes in CHANGES.items():
        accepted = {each.name: each.default for each in registry().get(name).inputs}
        assert changes.keys() <= accepted.keys()
        assert all(accepted[change] in (0.0, None) for change in changes)
    named = {
        (each.name, value.name)
        for each in CALCULATIONS
        for value in each.inputs
        if not value.required and value.default in (0.0, None)
    }
    assert named == {(name, change) for name, changes in CHANGES.items() for change in changes}


@pytest.mark.parametrize(
    ("unit", "expected"),
    [
        ("N/m", (0, 1, -2, 0)),
        ("m/rad2", (1, 0, 0, 0)),
        ("N.m", (2, 1, -2, 0)),
        ("kg/m3", (-3, 1, 0, 0)),
        ("Pa", (-1, 1, -2, 0)),
        ("J/kg.K", (2, 0, -2, -1)),
        ("W/m2.K", (0, 1, -3, -1)),
        ("1/rad", (0, 0, 0, 0)),
    ],
)
def test_dimensions_of_units(unit: str, expected: tuple[int, int, int, int]) -> None:
    assert dimensions(unit) == expected


def test_a_wrong_power_is_seen() -> None:
    good = registry().get("round-wire-rate")
    scale = Scale(1.03, 1.0, 1.0, 1.0)
    wrong = good.evaluate(good.example)["spring_rate"] / good.example["wire_diameter"]
    scaled_inputs = scale.inputs(good, dict(good.example))
    wrong_scaled = good.evaluate(scaled_inputs)["spring_rate"] / scaled_inputs["wire_diameter"]
    assert wrong_scaled != pytest.approx(wrong * scale.of("N/m"), rel=1e-3)
