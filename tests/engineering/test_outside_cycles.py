"""Air-standard cycles against textbook examples, a property library and cycles worked state by state."""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from tappetry.engineering import air_cycles, dual_cycles, hot_air_cycles
from tappetry.engineering.ranges import OutOfRange

PSI = 6894.757293168361  # NIST SP 811
RATIOS, GAMMAS = st.floats(4.0, 16.0), st.floats(1.1, 1.6)


def work_by_states(gamma: float, corners: list[tuple[float, float]]) -> tuple[float, float]:
    """Work and heat added of a closed cycle from volume and pressure at its corners, in cv = 1.

    Between two corners the change is at constant volume, at constant pressure, or along an isentrope.
    """
    work = heat = 0.0
    for (v1, p1), (v2, p2) in zip(corners, corners[1:] + corners[:1], strict=True):
        inner = (p2 * v2 - p1 * v1) / (gamma - 1.0)
        if v1 == v2:
            done = 0.0
        elif p1 == p2:
            done = p1 * (v2 - v1)
        else:
            assert p1 * v1**gamma == pytest.approx(p2 * v2**gamma)
            done = -inner
        work += done
        heat += max(inner + done, 0.0) if v1 == v2 or p1 == p2 else 0.0
    return work, heat


@given(
    ratio=RATIOS,
    rise=st.just(1.0) | st.floats(1.01, 4.0),
    cutoff=st.just(1.0) | st.floats(1.01, 3.0),
    gamma=GAMMAS,
)
def test_dual_cycle_state_by_state(ratio: float, rise: float, cutoff: float, gamma: float) -> None:
    compressed = ratio**gamma
    peak = rise * compressed
    if rise == cutoff == 1.0:
        return
    corners = [
        (1.0, 1.0),
        (1.0 / ratio, compressed),
        (1.0 / ratio, peak),
        (cutoff / ratio, peak),
        (1.0, peak * (cutoff / ratio) ** gamma),
    ]
    work, heat = work_by_states(gamma, corners)
    got = air_cycles.dual_efficiency(ratio, rise, cutoff, gamma)
    assert got == pytest.approx(work / heat, rel=1e-6, abs=1e-6)


@given(ratio=RATIOS, rise=st.floats(1.0, 4.0), cutoff=st.floats(1.01, 3.0), gamma=GAMMAS)
def test_states_of_the_dual_cycle(ratio: float, rise: float, cutoff: float, gamma: float) -> None:
    cycle = dual_cycles.dual_cycle(ratio, rise, cutoff, 300.0, 1e5, 718.0, gamma)
    volume = 718.0 * (gamma - 1.0) * 300.0 / 1e5
    corners = [
        (volume, 1e5),
        (volume / ratio, cycle.compressed_pressure),
        (volume / ratio, cycle.burned_pressure),
        (volume / ratio * cutoff, cycle.burned_pressure),
        (volume, cycle.expanded_pressure),
    ]
    if rise == 1.0:
        del corners[2]
    work, heat = work_by_states(gamma, corners)
    assert cycle.net_work == pytest.approx(work, rel=1e-6)
    assert cycle.heat_added == pytest.approx(heat, rel=1e-6)
    assert cycle.thermal_efficiency == pytest.approx(work / heat, rel=1e-6)
    assert cycle.cycle_mean_pressure == pytest.approx(work / (volume * (1.0 - 1.0 / ratio)), rel=1e-6)
    assert cycle.risen_temperature / cycle.compressed_temperature == pytest.approx(rise)
    assert cycle.burned_temperature / cycle.risen_temperature == pytest.approx(cutoff)


def test_heat_beyond_the_stroke_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        dual_cycles.dual_cycle(4.0, 1.0, 6.0, 300.0, 1e5, 718.0, 1.4)
    assert str(refusal.value) == (
        "cutoff ratio over compression ratio = 1.5 must be 0..1 (the heat ends before the stroke does). "
        "Both are ratios of volumes"
    )


def test_printed_diesel_cycle() -> None:
    """Cengel and Boles, Thermodynamics, example 9-3 (from memory), per pound: 1716, 3432 and 1425 R.

    Heat 411.6 and work 260.1 Btu/lb with cv = 0.171 and cp = 0.240 Btu/lb.R; 63.2 %; 110 psi from 14.7.
    """
    rankine, capacity, psi = 5 / 9, 0.1715 * 4186.8, 6894.757
    cycle = dual_cycles.dual_cycle(18.0, 1.0, 2.0, 540 * rankine, 14.7 * psi, capacity, 1.4)
    temperatures = (cycle.compressed_temperature, cycle.burned_temperature, cycle.expanded_temperature)
    assert temperatures == pytest.approx((1716 * rankine, 3432 * rankine, 1425 * rankine), rel=3e-4)
    assert cycle.heat_added / 2326 == pytest.approx(411.6, rel=0.003)
    assert cycle.net_work / 2326 == pytest.approx(260.1, rel=0.003)
    assert cycle.thermal_efficiency == pytest.approx(0.632, abs=0.0005)
    assert cycle.cycle_mean_pressure / psi == pytest.approx(110, abs=1.0)


@given(ratio=RATIOS, longer=st.floats(1.0, 1.6), rise=st.floats(3.0, 6.0), gamma=GAMMAS)
def test_longer_expansion_state_by_state(ratio: float, longer: float, rise: float, gamma: float) -> None:
    compressed = ratio**gamma
    corners = [
        (1.0, 1.0),
        (1.0 / ratio, compressed),
        (1.0 / ratio, rise * compressed),
        (longer, rise * longer**-gamma),
        (longer, 1.0),
    ]
    work, heat = work_by_states(gamma, corners)
    got = air_cycles.overexpanded_efficiency(ratio, ratio * longer, rise, gamma)
    assert got == pytest.approx(work / heat)


@given(ratio=RATIOS, gamma=GAMMAS)
def test_diesel_and_dual_cycle_become_the_otto_cycle(ratio: float, gamma: float) -> None:
    otto = air_cycles.otto_efficiency(ratio, gamma)
    assert air_cycles.dual_efficiency(ratio, 2.0, 1.0, gamma) == pytest.approx(otto)
    assert air_cycles.dual_efficiency(ratio, 1.0, 1.0, gamma) == pytest.approx(otto)
    assert air_cycles.diesel_efficiency(ratio, 1.0 + 1e-12, gamma) == pytest.approx(otto)
    assert air_cycles.overexpanded_efficiency(ratio, ratio, 3.0, gamma) == pytest.approx(otto)


def test_printed_efficiencies() -> None:
    """Cengel and Boles, Thermodynamics, from memory: 56.5 and 60.2 %, and 63.2 % of example 9-3."""
    assert air_cycles.otto_efficiency(8.0, 1.4) == pytest.approx(0.565, abs=0.0005)
    assert air_cycles.otto_efficiency(10.0, 1.4) == pytest.approx(0.602, abs=0.0005)
    assert air_cycles.diesel_efficiency(18.0, 2.0, 1.4) == pytest.approx(0.632, abs=0.0005)


@given(ratio=RATIOS, gamma=GAMMAS, heat=st.floats(1e5, 3e6), capacity=st.floats(600.0, 1200.0))
def test_otto_cycle_closes(ratio: float, gamma: float, heat: float, capacity: float) -> None:
    cycle = air_cycles.otto_cycle(ratio, 300.0, 1e5, heat, capacity, gamma)
    assert cycle.thermal_efficiency == pytest.approx(air_cycles.otto_efficiency(ratio, gamma))
    assert cycle.temperature_product_ratio == pytest.approx(1.0)
    assert cycle.heat_added == pytest.approx(heat)
    volume = capacity * (gamma - 1.0) * 300.0 / 1e5
    swept = volume * (1.0 - 1.0 / ratio)
    assert cycle.cycle_mean_pressure * swept == pytest.approx(cycle.net_work)
    corners = [
        (volume, 1e5),
        (volume / ratio, cycle.compressed_pressure),
        (volume / ratio, cycle.burned_pressure),
        (volume, cycle.expanded_pressure),
    ]
    work, _ = work_by_states(gamma, corners)
    assert work == pytest.approx(cycle.net_work)
    if cycle.burned_temperature > 6000.0:
        return
    same = air_cycles.otto_cycle_to_peak(ratio, 300.0, 1e5, cycle.burned_temperature, capacity, gamma)
    assert same.net_work == pytest.approx(cycle.net_work)
    bare = air_cycles.otto_temperatures(ratio, 300.0, cycle.burned_temperature, gamma)
    assert bare.expanded_temperature == pytest.approx(cycle.expanded_temperature)
    assert bare.thermal_efficiency == pytest.approx(cycle.thermal_efficiency)


def test_variable_specific_heats_of_the_book() -> None:
    """Cengel and Boles, Thermodynamics, example 9-2, with tables of air, from memory."""
    cycle = hot_air_cycles.hot_air_otto_cycle(8.0, 290.0, 100e3, 800e3)
    assert cycle.compressed_temperature == pytest.approx(652.4, rel=0.003)
    assert cycle.compressed_pressure == pytest.approx(1799.7e3, rel=0.003)
    assert cycle.burned_temperature == pytest.approx(1575.1, rel=0.003)
    assert cycle.burned_pressure == pytest.approx(4345e3, rel=0.004)
    assert cycle.net_work == pytest.approx(418.17e3, rel=0.005)
    assert cycle.thermal_efficiency == pytest.approx(0.523, rel=0.005)
    assert cycle.cycle_mean_pressure == pytest.approx(574e3, rel=0.006)


def test_variable_specific_heats_of_another_book() -> None:
    """Moran and Shapiro, Fundamentals of Engineering Thermodynamics, example 9.1, from memory, in degR."""
    cycle = hot_air_cycles.hot_air_otto_cycle_to_peak(8.0, 540 / 1.8, 101325.0, 3600 / 1.8)
    assert cycle.compressed_temperature * 1.8 == pytest.approx(1212.0, rel=0.003)
    assert cycle.expanded_temperature * 1.8 == pytest.approx(1878.0, rel=0.005)
    assert cycle.thermal_efficiency == pytest.approx(0.51, rel=0.01)
    assert cycle.cycle_mean_pressure / PSI == pytest.approx(118.0, rel=0.01)


@settings(max_examples=settings.default.max_examples // 5)
@given(ratio=st.floats(5.0, 13.0), start=st.floats(280.0, 400.0), heat=st.floats(2e5, 1.2e6))
def test_variable_specific_heats_of_the_library(ratio: float, start: float, heat: float) -> None:
    """The same cycle with the ideal-gas functions of a property library, thin air standing for ideal gas."""

    def air(what: str, temperature: float, density: float) -> float:
        return float(coolprop.PropsSI(what, "T", temperature, "D", density, "Air"))

    thin = 1e-3
    compressed = brentq(
        lambda t: air("S", t, thin * ratio) - air("S", start, thin), start, 6.0 * start, xtol=1e-6
    )
    energy = air("U", compressed, thin * ratio) + heat
    peak = brentq(lambda t: air("U", t, thin * ratio) - energy, compressed, 2000.0 + heat / 500.0, xtol=1e-6)
    if peak > 2000.0:
        return  # the library's own range ends
    expanded = brentq(lambda t: air("S", t, thin) - air("S", peak, thin * ratio), start, peak, xtol=1e-6)
    work = heat - air("U", expanded, thin) + air("U", start, thin)
    got = hot_air_cycles.hot_air_otto_cycle(ratio, start, 1e5, heat)
    assert got.compressed_temperature == pytest.approx(compressed, rel=0.001)
    assert got.burned_temperature == pytest.approx(peak, rel=0.002)
    assert got.expanded_temperature == pytest.approx(expanded, rel=0.003)
    assert got.net_work == pytest.approx(work, rel=0.004)
    same = hot_air_cycles.hot_air_otto_cycle_to_peak(ratio, start, 1e5, got.burned_temperature)
    assert same.heat_added == pytest.approx(heat, rel=1e-6)


def test_cycles_that_cannot_be_are_refused() -> None:
    with pytest.raises(OutOfRange, match=r"peak temperature over compressed temperature = 0\.8"):
        air_cycles.otto_temperatures(10.0, 400.0, 804.0, 1.4)
    with pytest.raises(OutOfRange, match="the heat comes after the compression"):
        air_cycles.otto_cycle_to_peak(10.0, 400.0, 1e5, 804.0, 718.0, 1.4)
    with pytest.raises(OutOfRange, match="the heat comes after the compression"):
        hot_air_cycles.hot_air_otto_cycle_to_peak(10.0, 400.0, 1e5, 804.0)
    with pytest.raises(OutOfRange, match="the table of air ends at 6000 K"):
        hot_air_cycles.hot_air_otto_cycle(10.0, 300.0, 1e5, 9e6)
    with pytest.raises(OutOfRange, match=r"cutoff ratio over compression ratio = 1\.25 must be 0\.\.1"):
        air_cycles.diesel_efficiency(4.0, 5.0, 1.4)
    with pytest.raises(OutOfRange, match="this cycle expands further than it compresses"):
        air_cycles.overexpanded_efficiency(10.0, 8.0, 4.0, 1.4)
    with pytest.raises(OutOfRange, match="below it the expansion would take work"):
        air_cycles.overexpanded_efficiency(8.0, 30.0, 2.0, 1.4)
    with pytest.raises(OutOfRange, match="without heat there is no efficiency"):
        air_cycles.overexpanded_efficiency(8.0, 8.0, 1.0, 1.4)
