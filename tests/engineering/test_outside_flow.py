"""Steady flow against printed tables, conservation laws, a flow library and geometry laid out by points."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from fluids.compressible import P_critical_flow, T_critical_flow, stagnation_energy
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from tappetry.engineering import compressible, flow_bench, lobe, nozzles, shocks, valve_area
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, INCH, MM, RPM

GAMMAS = st.floats(1.05, 1.67)
MACHS = st.floats(0.01, 10.0)
CFM = 0.3048**3 / 60.0
INCH_OF_WATER = 249.08891  # NIST SP 811
AIR = {"heat_capacity_ratio": 1.4, "isobaric_heat_capacity": 1005.0, "gas_constant": 287.0}


# --- perfect gas ---------------------------------------------------------------------------------------

ISENTROPIC = {  # M: p0/p, T0/T, A/A*; Anderson, Modern Compressible Flow, appendix A, from memory
    0.5: (1.186, 1.050, 1.340),
    1.0: (1.893, 1.200, 1.000),
    2.0: (7.824, 1.800, 1.688),
}


@pytest.mark.parametrize(("mach", "row"), ISENTROPIC.items())
def test_isentropic_table(mach: float, row: tuple[float, float, float]) -> None:
    got = compressible.stagnation_ratios(mach, 1.4)
    assert got.stagnation_pressure_ratio == pytest.approx(row[0], abs=0.0006)
    assert got.stagnation_temperature_ratio == pytest.approx(row[1], abs=0.0006)
    assert compressible.sonic_area_ratio(mach, 1.4) == pytest.approx(row[2], abs=0.0006)


@given(mach=MACHS, gamma=GAMMAS)
def test_stagnation_follows_the_energy_and_the_isentrope(mach: float, gamma: float) -> None:
    """Textbook: h0 = h + u^2/2 with cp = gamma R/(gamma - 1), and p/rho^gamma stays."""
    got = compressible.stagnation_ratios(mach, gamma)
    velocity = compressible.sound_speed(300.0, gamma, 287.0) * mach
    rise = stagnation_energy(velocity) / (gamma * 287.0 / (gamma - 1.0))
    assert got.stagnation_temperature_ratio == pytest.approx(1.0 + rise / 300.0)
    assert got.stagnation_pressure_ratio == pytest.approx(got.stagnation_density_ratio**gamma)
    back = compressible.mach_from_pressure_ratio(got.stagnation_pressure_ratio, gamma)
    assert back == pytest.approx(mach, rel=1e-6, abs=1e-6)


@given(gamma=GAMMAS)
def test_sonic_state_is_that_of_the_library(gamma: float) -> None:
    ratios = compressible.critical_ratios(gamma)
    assert ratios.critical_pressure_ratio == pytest.approx(P_critical_flow(1.0, gamma), rel=1e-12)
    assert ratios.critical_temperature_ratio == pytest.approx(T_critical_flow(1.0, gamma), rel=1e-12)
    state = compressible.critical_state(2e5, 400.0, gamma)
    assert state.critical_pressure == pytest.approx(P_critical_flow(2e5, gamma), rel=1e-12)
    assert state.critical_temperature == pytest.approx(T_critical_flow(400.0, gamma), rel=1e-12)
    density = ratios.critical_pressure_ratio / ratios.critical_temperature_ratio
    assert ratios.critical_density_ratio == pytest.approx(density)


def test_sonic_state_of_carbon_dioxide() -> None:
    """Cengel and Boles, Thermodynamics, example 17-4, from memory: 413 K and 767 kPa."""
    state = compressible.critical_state(1.4e6, 473.0, 1.289)
    assert state.critical_temperature == pytest.approx(413.0, abs=0.5)
    assert state.critical_pressure == pytest.approx(767e3, abs=500.0)


def test_speed_of_a_diffuser() -> None:
    """Cengel and Boles, Thermodynamics, example 17-2, from memory: 349 m/s and Mach 0.573."""
    got = compressible.mach_number(-200.0, 303.0, 1.4, 287.0)
    assert got.sound_speed == pytest.approx(349.0, abs=0.5)
    assert got.mach_number == pytest.approx(0.573, abs=0.0005)


@given(gamma=GAMMAS, ratio=st.floats(1.0001, 50.0))
def test_both_machs_of_an_area(gamma: float, ratio: float) -> None:
    pair = compressible.mach_from_area_ratio(ratio, gamma)
    slow = brentq(lambda mach: compressible.sonic_area_ratio(mach, gamma) - ratio, 1e-4, 1.0)
    fast = brentq(lambda mach: compressible.sonic_area_ratio(mach, gamma) - ratio, 1.0, 99.0)
    assert pair.subsonic_mach == pytest.approx(slow, rel=1e-7)
    assert pair.supersonic_mach == pytest.approx(fast, rel=1e-7)


def test_the_sonic_area_has_one_mach() -> None:
    pair = compressible.mach_from_area_ratio(1.0, 1.4)
    assert (pair.subsonic_mach, pair.supersonic_mach) == (pytest.approx(1.0), pytest.approx(1.0))


@given(mach=st.floats(1.0, 20.0), gamma=GAMMAS)
def test_a_shock_keeps_mass_momentum_and_energy(mach: float, gamma: float) -> None:
    shock = shocks.normal_shock(mach, gamma)
    ahead, behind = mach, shock.downstream_mach  # velocities in terms of each side's speed of sound
    speed = behind / ahead * math.sqrt(shock.shock_temperature_ratio)
    assert shock.shock_density_ratio * speed == pytest.approx(1.0)
    momentum = shock.shock_pressure_ratio * (1.0 + gamma * behind**2)
    assert momentum == pytest.approx(1.0 + gamma * ahead**2)
    energy = shock.shock_temperature_ratio * (1.0 + (gamma - 1.0) / 2.0 * behind**2)
    assert energy == pytest.approx(1.0 + (gamma - 1.0) / 2.0 * ahead**2)
    lost = compressible.stagnation_ratios(behind, gamma).stagnation_pressure_ratio
    had = compressible.stagnation_ratios(ahead, gamma).stagnation_pressure_ratio
    assert shock.shock_stagnation_ratio == pytest.approx(lost / had * shock.shock_pressure_ratio)
    assert shock.shock_stagnation_ratio <= 1.0 + 1e-12


def test_shock_table() -> None:
    """Anderson, Modern Compressible Flow, appendix B, Mach 2, from memory."""
    got = shocks.normal_shock(2.0, 1.4)
    assert got.downstream_mach == pytest.approx(0.5774, abs=0.00006)
    assert got.shock_pressure_ratio == pytest.approx(4.500, abs=0.0006)
    assert got.shock_density_ratio == pytest.approx(2.667, abs=0.0006)
    assert got.shock_temperature_ratio == pytest.approx(1.687, abs=0.0006)
    assert got.shock_stagnation_ratio == pytest.approx(0.7209, abs=0.00006)


# --- orifices and nozzles ------------------------------------------------------------------------------


@given(gamma=GAMMAS, ratio=st.floats(0.0, 1.0))
def test_orifice_flow_is_density_times_velocity_in_the_throat(gamma: float, ratio: float) -> None:
    """Textbook: the throat's state by the isentrope, its velocity by the energy, at most choked."""

    def flux(throat: float) -> float:
        density = 2e5 / (287.0 * 400.0) * throat ** (1.0 / gamma)
        heat = gamma / (gamma - 1.0) * 287.0 * 400.0 * (1.0 - throat ** ((gamma - 1.0) / gamma))
        return density * math.sqrt(2.0 * max(heat, 0.0))

    best = minimize_scalar(lambda throat: -flux(throat), bounds=(1e-6, 1.0), options={"xatol": 1e-10})
    expected = flux(max(ratio, best.x))
    got = nozzles.orifice_flow(2e5, 400.0, ratio * 2e5, 1e-3, gamma, 287.0, 0.7)
    assert got.mass_flow == pytest.approx(0.7e-3 * expected, rel=1e-7, abs=1e-9)
    assert got.throat_mach <= 1.0
    parameter = compressible.flow_parameter(max(got.throat_mach, 1e-12), gamma)
    from_mach = 0.7e-3 * 2e5 / math.sqrt(287.0 * 400.0) * parameter
    assert from_mach == pytest.approx(got.mass_flow, rel=1e-6, abs=1e-8)


def test_choked_flow_of_air() -> None:
    """Textbook, from memory: m sqrt(T0)/(A p0) is 0.0404 for air."""
    got = nozzles.choked_mass_flow(101325.0, 288.15, 1e-4, 1.4, 287.05)
    assert got == pytest.approx(0.0404 * 1e-4 * 101325.0 / math.sqrt(288.15), rel=0.001)
    assert got == pytest.approx(nozzles.orifice_flow(101325.0, 288.15, 0.0, 1e-4, 1.4, 287.05).mass_flow)


def test_converging_nozzle() -> None:
    """Cengel and Boles, Thermodynamics, example 17-5, from memory; it rounds Mach to 0.778."""
    open_wide = nozzles.nozzle_flow(1e6, 873.0, 150.0, 0.7e6, 5e-3, **AIR)
    choked = nozzles.nozzle_flow(1e6, 873.0, 150.0, 0.4e6, 5e-3, **AIR)
    assert open_wide.stagnation_temperature == pytest.approx(884.0, abs=0.5)
    assert open_wide.stagnation_pressure == pytest.approx(1.045e6, rel=0.001)
    assert open_wide.throat_mach == pytest.approx(0.778, abs=0.002)
    assert open_wide.mass_flow == pytest.approx(6.77, rel=0.003)
    assert choked.mass_flow == pytest.approx(7.10, rel=0.001)
    assert choked.throat_mach == pytest.approx(1.0)


def test_gas_constant_has_to_fit() -> None:
    with pytest.raises(OutOfRange) as refusal:
        nozzles.nozzle_flow(1e6, 873.0, 150.0, 0.7e6, 5e-3, 1005.0, 1.3, 287.0)
    assert refusal.value.value == pytest.approx(287.0 / (1005.0 * 0.3 / 1.3))
    assert "a perfect gas has R = cp - cv" in str(refusal.value)


def test_backward_flow_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        nozzles.orifice_flow(90e3, 300.0, 100e3, 5e-4, 1.4, 287.0)
    assert str(refusal.value) == (
        "downstream pressure over stagnation pressure = 1.11111 must be 0..1 (gas flows from the higher "
        "pressure to the lower). Exchange the two sides for the flow backwards; both pressures are absolute"
    )


@given(area=st.floats(1e-5, 1e-2), ratio=st.floats(0.1, 0.999))
def test_effective_area_gives_back_the_flow(area: float, ratio: float) -> None:
    flow = nozzles.orifice_flow(1e5, 300.0, ratio * 1e5, area, 1.35, 290.0).mass_flow
    assert nozzles.effective_area(flow, 1e5, 300.0, ratio * 1e5, 1.35, 290.0) == pytest.approx(area)


def test_no_drop_has_no_effective_area() -> None:
    with pytest.raises(OutOfRange, match="without a pressure difference nothing flows"):
        nozzles.effective_area(0.01, 1e5, 300.0, 1e5, 1.4, 287.0)


def test_small_drops_flow_alike_with_and_without_compression() -> None:
    density = 1e5 / (287.0 * 300.0)
    drops = np.array([10.0, 1e3, 7e3])
    simple = nozzles.incompressible_mass_flow(drops, density, 5e-4)
    exact = nozzles.orifice_flow(1e5, 300.0, 1e5 - drops, 5e-4, 1.4, 287.0).mass_flow
    np.testing.assert_allclose(simple / exact - 1.0, [0.0, 0.0054, 0.039], atol=0.001)


# --- flow bench, valves and ports ----------------------------------------------------------------------


def test_a_bench_by_hand() -> None:
    """Worked by hand: 28 inH2O is 6974.5 Pa; at 1.2 kg/m3 the air reaches 107.8 m/s."""
    depression = 28 * INCH_OF_WATER
    assert flow_bench.bench_velocity(depression, 1.2) == pytest.approx(107.8, abs=0.05)
    area = valve_area.curtain_area(2.05 * INCH, 0.5 * INCH)
    assert area == pytest.approx(math.pi * 2.05 * 0.5 * INCH**2)
    flow = 260 * CFM
    got = flow_bench.bench_discharge_coefficient(flow, depression, area, 1.2)
    assert got == pytest.approx(flow / area / 107.8, rel=0.001)


def test_flow_goes_with_the_root_of_the_depression() -> None:
    """Worked by hand: sqrt(28/10) = 1.6733."""
    flow = flow_bench.flow_at_depression(100 * CFM, 10 * INCH_OF_WATER, 28 * INCH_OF_WATER)
    assert flow / CFM == pytest.approx(167.33, abs=0.005)


@given(coefficient=st.floats(0.1, 0.9), depression=st.floats(500.0, 2e4))
def test_the_coefficient_of_the_bench_is_that_of_the_orifice(coefficient: float, depression: float) -> None:
    gas: tuple[Any, ...] = (1.4, 287.05)
    mass = nozzles.orifice_flow(1e5, 295.0, 1e5 - depression, 1.5e-3, *gas, coefficient).mass_flow
    flow = mass * 287.05 * 295.0 / 1e5
    got = flow_bench.compressible_discharge_coefficient(flow, depression, 1.5e-3, 1e5, 295.0, *gas)
    assert got == pytest.approx(coefficient)
    plain = flow_bench.bench_discharge_coefficient(flow, depression, 1.5e-3, 1e5 / 287.05 / 295.0)
    assert 0.85 * got < plain < got


def laid_out(lift: float, head: float, angle: float, width: float) -> float:
    """The cone from the inner edge of the valve's face to the nearest point of the seat, point by point."""
    radii = np.linspace(head / 2 - width, head / 2, 20_001)
    heights = (radii - radii[0]) * math.tan(angle)
    lengths = np.hypot(radii - radii[0], heights - lift)
    nearest = int(np.argmin(lengths))
    return float(math.pi * (radii[0] + radii[nearest]) * lengths[nearest])


@given(
    lift=st.floats(1e-5, 12 * MM),
    head=st.floats(30 * MM, 55 * MM),
    angle=st.floats(0.0, 50 * DEG),
    width=st.floats(0.5 * MM, 3 * MM),
)
def test_valve_area_is_the_geometry_laid_out(lift: float, head: float, angle: float, width: float) -> None:
    port = 0.88 * head
    got = valve_area.valve_flow_area(lift, head, angle, width, port, 8 * MM)
    expected = min(laid_out(lift, head, angle, width), valve_area.port_area(port, 8 * MM))
    assert got == pytest.approx(expected, rel=5e-4)


def test_the_port_takes_over_where_curtain_and_port_are_equal() -> None:
    lift = valve_area.curtain_lift(52 * MM, 45 * MM, 8 * MM)
    assert valve_area.curtain_area(52 * MM, lift) == pytest.approx(valve_area.port_area(45 * MM, 8 * MM))
    assert valve_area.lift_over_diameter(lift, 52 * MM) == pytest.approx(lift / 0.052)


def test_a_stem_as_thick_as_its_port_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        valve_area.port_area(8 * MM, 7.9 * MM)
    assert str(refusal.value) == (
        "stem diameter over port diameter = 0.9875 must be 0..0.9 (the stem leaves room in the port). "
        "Check the units of both"
    )


def test_a_depression_beyond_the_air_is_refused() -> None:
    with pytest.raises(OutOfRange, match="a bench cannot pull more than a vacuum"):
        flow_bench.compressible_discharge_coefficient(0.1, 4e4, 1e-3, 3e4, 290.0, 1.4, 287.0)


def test_a_seat_as_wide_as_the_head_is_refused() -> None:
    with pytest.raises(OutOfRange, match="a seat is a narrow ring"):
        valve_area.valve_flow_area(1e-3, 40 * MM, 45 * DEG, 11 * MM, 36 * MM, 8 * MM)


LIFTS, COEFFICIENTS = [0.0025, 0.005, 0.0075, 0.010, 0.0125], [0.13, 0.26, 0.37, 0.45, 0.49]


@given(lift=st.floats(0.002, 0.0125), exponent=st.floats(3.5, 12.0))
def test_mean_flow_coefficient_is_the_integral(lift: float, exponent: float) -> None:
    angles = np.linspace(0.0, 2.0, 20_001)
    opened = lobe.lobe_lift_at_angle(angles, lift, exponent, 2.0)
    expected = np.trapezoid(np.interp(opened, [0.0, *LIFTS], [0.0, *COEFFICIENTS]), angles) / 2.0
    got = flow_bench.mean_flow_coefficient(lift, exponent, LIFTS, COEFFICIENTS)
    assert got == pytest.approx(expected, rel=2e-4)


def test_a_head_is_not_flowed_beyond_its_sheet() -> None:
    with pytest.raises(OutOfRange) as refusal:
        flow_bench.mean_flow_coefficient(0.0126, 5.5, LIFTS, COEFFICIENTS)
    assert str(refusal.value) == (
        "lift at valve over the last of flow lifts = 1.008 must be 0..1 (beyond the last lift nothing was "
        "measured). Flow the head at a higher lift"
    )
    with pytest.raises(OutOfRange, match="the lifts of a bench rise"):
        flow_bench.mean_flow_coefficient(0.01, 5.5, LIFTS[::-1], COEFFICIENTS)
    with pytest.raises(
        OutOfRange, match="number of flow coefficients = 1 must be 5, as many as of flow_lifts"
    ):
        flow_bench.mean_flow_coefficient(0.01, 5.5, LIFTS, [0.3])


def test_inlet_mach_index_by_hand() -> None:
    """Taylor, The Internal-Combustion Engine, volume 1, from memory: Z = (b/D)^2 s/(Ci a)."""
    got = flow_bench.inlet_mach_index(0.1, 0.046, 1.0, 0.35, 15.0, 343.0)
    assert got == pytest.approx((100 / 46) ** 2 * 15 / (0.35 * 343))
    assert flow_bench.inlet_mach_index(0.1, 0.046, 2.0, 0.35, 15.0, 343.0) == pytest.approx(got / 2)
    speed = flow_bench.speed_for_mach_index(got, 0.1, 0.09, 0.046, 1.0, 0.35, 343.0)
    assert speed / RPM == pytest.approx(15.0 * 30 / 0.09)


def test_mean_port_velocity_by_hand() -> None:
    """Worked by hand: the piston's 7854 mm2 through 1500 mm2 at 15 m/s."""
    assert flow_bench.mean_port_velocity(0.1, 15.0, 1.5e-3) == pytest.approx(78.54, abs=0.01)
