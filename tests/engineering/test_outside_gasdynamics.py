"""Waves in pipes against printed tables, conservation laws, characteristics and matrices of pipes."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from tappetry.engineering import acoustics, compressible, duct_flow, riemann, shocks, tuning, waves
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, RPM

pytestmark = pytest.mark.slow

GAMMAS = st.floats(1.1, 1.67)
FEW = settings(max_examples=settings.default.max_examples // 5)

# --- two states that meet ------------------------------------------------------------------------------

# Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, tables 4.1 to 4.3, from memory:
# left and right density, velocity and pressure; pressure, velocity and both densities between the waves.
TORO = [
    ((1.0, 0.0, 1.0), (0.125, 0.0, 0.1), (0.30313, 0.92745, 0.42632, 0.26557)),
    ((1.0, -2.0, 0.4), (1.0, 2.0, 0.4), (0.00189, 0.0, 0.02185, 0.02185)),
    ((1.0, 0.0, 1000.0), (1.0, 0.0, 0.01), (460.894, 19.5975, 0.57506, 5.99924)),
    ((1.0, 0.0, 0.01), (1.0, 0.0, 100.0), (46.0950, -6.19633, 5.99242, 0.57511)),
    (
        (5.99924, 19.5975, 460.894),
        (5.99242, -6.19633, 46.0950),
        (1691.64, 8.68975, 14.2823, 31.0426),
    ),
]


@pytest.mark.parametrize(("left", "right", "printed"), TORO)
def test_printed_star_states(
    left: tuple[float, ...], right: tuple[float, ...], printed: tuple[float, ...]
) -> None:
    """Toro, to half the last digit or 5 in a million, whichever is more."""
    star = riemann.riemann_problem(*left, *right, 1.4)
    got = (star.star_pressure, star.star_velocity, star.left_star_density, star.right_star_density)
    for ours, theirs in zip(got, printed, strict=True):
        assert ours == pytest.approx(theirs, rel=5e-6, abs=6e-6)


SIDES = st.tuples(st.floats(0.1, 5.0), st.floats(-1.0, 1.0), st.floats(0.05, 20.0))


@given(left=SIDES, right=SIDES, gamma=GAMMAS)
def test_every_wave_keeps_what_it_has_to(
    left: tuple[float, ...], right: tuple[float, ...], gamma: float
) -> None:
    """A shock keeps mass, momentum and energy as it passes; a fan the entropy and its invariant."""
    star = riemann.riemann_problem(*left, *right, gamma)
    x = riemann.shock_tube_waves(*left, *right, gamma, 1.0, 0.0)
    p, u = star.star_pressure, star.star_velocity
    assert x.left_head_position <= x.left_tail_position <= x.contact_position + 1e-12
    assert x.contact_position <= x.right_tail_position + 1e-12 <= x.right_head_position + 2e-12
    for sign, side, density, head, tail in (
        (1.0, left, star.left_star_density, x.left_head_position, x.left_tail_position),
        (-1.0, right, star.right_star_density, x.right_head_position, x.right_tail_position),
    ):
        rho, v, held = side
        if p > held:
            flux = rho * (v - head)
            assert density * (u - head) == pytest.approx(flux, rel=1e-6, abs=1e-9)
            assert flux * v + held == pytest.approx(flux * u + p, rel=1e-6)
            heat = gamma / (gamma - 1.0)
            before, behind = heat * held / rho + (v - head) ** 2 / 2, heat * p / density + (u - head) ** 2 / 2
            assert before == pytest.approx(behind, rel=1e-6)
            assert head == tail
        else:
            sound, behind = math.sqrt(gamma * held / rho), math.sqrt(gamma * p / density)
            assert held / rho**gamma == pytest.approx(p / density**gamma)
            invariant = v + sign * 2.0 * sound / (gamma - 1.0)
            assert u + sign * 2.0 * behind / (gamma - 1.0) == pytest.approx(invariant, abs=1e-6)
            assert head == pytest.approx(v - sign * sound)
            assert tail == pytest.approx(u - sign * behind, abs=1e-9)


@FEW
@given(left=SIDES, right=SIDES, gamma=GAMMAS)
def test_the_sampled_states_keep_mass_momentum_and_energy(
    left: tuple[float, ...], right: tuple[float, ...], gamma: float
) -> None:
    x = riemann.shock_tube_waves(*left, *right, gamma, 1.0, 0.0)
    places = [x.left_head_position, x.left_tail_position, x.contact_position]
    places += [x.right_tail_position, x.right_head_position]
    reach = 1.0 + max(abs(place) for place in places)

    def conserved(density: float, velocity: float, pressure: float) -> list[float]:
        energy = pressure / (gamma - 1.0) + density * velocity**2 / 2.0
        return [density, density * velocity, energy]

    def there(place: float, which: int) -> float:
        at = riemann.riemann_state(*left, *right, gamma, 1.0, 0.0, place)
        return conserved(at.gas_density, at.gas_velocity, at.gas_pressure)[which]

    ends = [-reach, *places, reach]
    for which in range(3):
        got = sum(
            quad(there, first, last, args=(which,), epsabs=1e-10, epsrel=1e-9)[0]
            for first, last in itertools.pairwise(ends)
            if last > first
        )
        at_left, at_right = conserved(*left), conserved(*right)
        fluxes = [
            state[which] * side[1] + (0.0, side[2], side[2] * side[1])[which]
            for side, state in ((left, at_left), (right, at_right))
        ]
        expected = reach * (at_left[which] + at_right[which]) + fluxes[0] - fluxes[1]
        assert got == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(left=SIDES, right=SIDES, gamma=GAMMAS, place=st.floats(-3.0, 3.0))
def test_the_mirror_is_the_same(
    left: tuple[float, ...], right: tuple[float, ...], gamma: float, place: float
) -> None:
    def turned(side: tuple[float, ...]) -> tuple[float, ...]:
        return side[0], -side[1], side[2]

    here = riemann.riemann_state(*left, *right, gamma, 1.0, 0.0, place)
    there = riemann.riemann_state(*turned(right), *turned(left), gamma, 1.0, 0.0, -place)
    x = riemann.shock_tube_waves(*left, *right, gamma, 1.0, 0.0)
    edges = (x.contact_position, x.left_head_position, x.right_head_position)
    if min(abs(place - edge) for edge in edges) < 1e-9:
        return  # at a jump either side is right
    assert here.gas_density == pytest.approx(there.gas_density)
    assert here.gas_velocity == pytest.approx(-there.gas_velocity, abs=1e-9)
    assert here.gas_pressure == pytest.approx(there.gas_pressure)


def test_a_vacuum_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        riemann.riemann_problem(1.0, -10.0, 1.0, 1.0, 10.0, 1.0, 1.4)
    assert refusal.value.value == pytest.approx(20.0 * 0.4 / (4.0 * math.sqrt(1.4)))
    assert "two gases that part faster leave a vacuum between them" in str(refusal.value)


# --- running shocks and waves of finite amplitude ------------------------------------------------------


@given(ratio=st.floats(1.001, 50.0), gamma=GAMMAS)
def test_running_and_reflected_shock_solve_the_exact_problem(ratio: float, gamma: float) -> None:
    """The gas behind a shock meets the gas ahead with that shock alone; at a closed end, its own mirror."""
    shock = shocks.running_shock(ratio, 300.0, gamma, 287.0)
    density = 1e5 / (287.0 * 300.0)
    behind = (density * shock.shock_density_ratio, shock.particle_velocity, ratio * 1e5)
    star = riemann.riemann_problem(*behind, density, 0.0, 1e5, gamma)
    assert star.star_pressure == pytest.approx(ratio * 1e5, rel=1e-6)
    positions = riemann.shock_tube_waves(*behind, density, 0.0, 1e5, gamma, 1.0, 0.0)
    assert positions.right_head_position == pytest.approx(shock.shock_velocity, rel=1e-6)
    mirror = (behind[0], -behind[1], behind[2])
    at_the_end = riemann.riemann_problem(*behind, *mirror, gamma)
    assert at_the_end.star_pressure / behind[2] == pytest.approx(shock.reflected_pressure_ratio, rel=1e-6)
    assert shock.shock_temperature_ratio * shock.shock_density_ratio == pytest.approx(ratio)
    standing = shocks.normal_shock(shock.shock_mach, gamma)
    assert standing.shock_pressure_ratio == pytest.approx(ratio)
    limits = shocks.strong_shock_limits(gamma)
    assert shock.shock_density_ratio < limits.density_ratio_limit
    assert shock.reflected_pressure_ratio < limits.reflected_pressure_limit
    strong = shocks.running_shock(1e9, 300.0, gamma, 287.0)
    assert strong.shock_density_ratio == pytest.approx(limits.density_ratio_limit, rel=1e-5)
    assert strong.reflected_pressure_ratio == pytest.approx(limits.reflected_pressure_limit, rel=1e-5)


def test_a_pulse_of_the_book() -> None:
    """Blair, Design and Simulation of Four-Stroke Engines, from memory: 45.3 and 397 m/s."""
    wave = waves.finite_amplitude_wave(1.2, 293.0, 1.4, 287.0)
    assert wave.particle_velocity == pytest.approx(45.3, abs=0.05)
    assert wave.propagation_velocity == pytest.approx(397.0, abs=0.5)


@given(ratio=st.floats(0.2, 3.0), gamma=GAMMAS)
def test_a_simple_wave_keeps_entropy_and_the_invariant_that_crosses_it(ratio: float, gamma: float) -> None:
    wave = waves.finite_amplitude_wave(ratio, 400.0, gamma, 290.0)
    assert wave.local_sound_speed == pytest.approx(
        compressible.sound_speed(400.0 * ratio ** ((gamma - 1.0) / gamma), gamma, 290.0)
    )
    crossing = wave.particle_velocity - 2.0 * wave.local_sound_speed / (gamma - 1.0)
    assert crossing == pytest.approx(-2.0 * wave.undisturbed_sound_speed / (gamma - 1.0))
    assert wave.propagation_velocity == pytest.approx(wave.particle_velocity + wave.local_sound_speed)
    assert wave.pressure_amplitude_ratio == pytest.approx(
        wave.local_sound_speed / wave.undisturbed_sound_speed
    )


@given(first=st.floats(0.6, 1.3), second=st.floats(0.6, 1.3), gamma=GAMMAS)
def test_waves_that_meet_solve_the_exact_problem(first: float, second: float, gamma: float) -> None:
    """Two fans meet exactly; of two compressions the exact solution is shocks, weaker than 1 % apart."""

    def state(ratio: float, sign: float) -> tuple[float, float, float]:
        wave = waves.finite_amplitude_wave(ratio, 300.0, gamma, 287.0)
        density = 1e5 / (287.0 * 300.0) * ratio ** (1.0 / gamma)
        return density, sign * wave.particle_velocity, ratio * 1e5

    star = riemann.riemann_problem(*state(first, 1.0), *state(second, -1.0), gamma)
    met = waves.wave_superposition(first, second, 300.0, gamma, 287.0)
    exact = 1e-9 if max(first, second) <= 1.0 else 0.01
    assert met.superposed_pressure_ratio * 1e5 == pytest.approx(star.star_pressure, rel=exact)
    assert met.particle_velocity == pytest.approx(
        star.star_velocity, rel=exact, abs=1e4 * exact * 0.01 + 1e-6
    )
    back = waves.finite_amplitude_wave(met.superposed_pressure_ratio, 300.0, gamma, 287.0)
    assert met.local_sound_speed == pytest.approx(back.local_sound_speed)


def test_waves_that_cannot_be_are_refused() -> None:
    with pytest.raises(OutOfRange, match="two waves of suction cannot take more than all the gas"):
        waves.wave_superposition(1e-3, 1e-3, 300.0, 1.4, 287.0)
    with pytest.raises(OutOfRange, match="a wave of suction flattens as it runs"):
        waves.shock_formation_distance(0.9, 1e-3, 300.0, 1.4, 287.0)


def test_crest_and_foot_meet_where_the_shock_begins() -> None:
    distance = waves.shock_formation_distance(1.4, 2e-3, 600.0, 1.35, 290.0)
    crest = waves.finite_amplitude_wave(1.4, 600.0, 1.35, 290.0)
    foot_arrives = distance / crest.undisturbed_sound_speed
    crest_arrives = 2e-3 + distance / crest.propagation_velocity
    assert foot_arrives == pytest.approx(crest_arrives)


def test_the_fastest_wave_stays_in_its_cell() -> None:
    step = waves.courant_time_step(0.01, -120.0, 480.0, 1.0)
    assert step * (120.0 + 480.0) == pytest.approx(0.01)


# --- pipes with friction or heat -----------------------------------------------------------------------


@given(mach=st.floats(0.05, 5.0), gamma=GAMMAS)
def test_heat_keeps_mass_and_momentum(mach: float, gamma: float) -> None:
    got = duct_flow.heating_ratios(mach, gamma)
    density = got.heating_pressure_ratio / got.heating_temperature_ratio
    speed = mach * math.sqrt(got.heating_temperature_ratio)
    assert density * speed == pytest.approx(1.0)
    momentum = got.heating_pressure_ratio * (1.0 + gamma * mach**2)
    assert momentum == pytest.approx(1.0 + gamma)
    at_rest = compressible.stagnation_ratios(mach, gamma).stagnation_temperature_ratio
    assert got.heating_stagnation_ratio == pytest.approx(
        got.heating_temperature_ratio * at_rest * 2.0 / (gamma + 1.0)
    )


@given(mach=st.floats(0.1, 3.0), gamma=GAMMAS)
def test_friction_is_the_integral_of_its_momentum(mach: float, gamma: float) -> None:
    """Mass and energy are kept; 4 f dx/D is what the momentum of a slice loses, integrated up to Mach 1."""
    got = duct_flow.friction_ratios(mach, gamma)
    speed = mach * math.sqrt(got.friction_temperature_ratio)
    assert got.friction_pressure_ratio / got.friction_temperature_ratio * speed == pytest.approx(1.0)
    at_rest = compressible.stagnation_ratios(mach, gamma).stagnation_temperature_ratio
    assert got.friction_temperature_ratio * at_rest == pytest.approx((gamma + 1.0) / 2.0)
    expected, _ = quad(
        lambda m: 2.0 * (1.0 - m**2) / (gamma * m**3 * (1.0 + (gamma - 1.0) / 2.0 * m**2)), mach, 1.0
    )
    assert got.choking_length == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_printed_pipes() -> None:
    """Anderson, Modern Compressible Flow, appendices C and D at Mach 0.5, from memory."""
    friction, heat = duct_flow.friction_ratios(0.5, 1.4), duct_flow.heating_ratios(0.5, 1.4)
    assert friction.choking_length == pytest.approx(1.069, abs=0.0006)
    assert friction.friction_pressure_ratio == pytest.approx(2.138, abs=0.0006)
    assert friction.friction_stagnation_ratio == pytest.approx(1.340, abs=0.0006)
    assert heat.heating_pressure_ratio == pytest.approx(1.778, abs=0.0006)
    assert heat.heating_temperature_ratio == pytest.approx(0.7901, abs=0.00006)
    assert heat.heating_stagnation_ratio == pytest.approx(0.6914, abs=0.00006)


# --- small waves ---------------------------------------------------------------------------------------


@given(length=st.floats(0.05, 3.0), sound=st.floats(300.0, 800.0), mode=st.integers(1, 6))
def test_tones_are_standing_waves(length: float, sound: float, mode: int) -> None:
    """Pressure is 0 at an open end and largest at a closed one."""
    closed = acoustics.quarter_wave_frequency(length, sound, float(mode))
    both = acoustics.half_wave_frequency(length, sound, float(mode))
    assert math.cos(2 * math.pi * closed / sound * length) == pytest.approx(0.0, abs=1e-9)
    assert math.sin(2 * math.pi * both / sound * length) == pytest.approx(0.0, abs=1e-9)
    lengths = both * acoustics.wavelength(both, sound)
    assert lengths == pytest.approx(sound)
    assert acoustics.half_wave_frequency(length, sound) * tuning.travel_time(length, sound) == (
        pytest.approx(1.0)
    )


def test_tones_by_hand() -> None:
    """Worked by hand: 0.5 m at 343.2 m/s: 171.6, 514.8 and 343.2 Hz; 0.02 m more: 165.0 Hz."""
    assert acoustics.quarter_wave_frequency(0.5, 343.2) == pytest.approx(171.6)
    assert acoustics.quarter_wave_frequency(0.5, 343.2, 2.0) == pytest.approx(514.8)
    assert acoustics.half_wave_frequency(0.5, 343.2) == pytest.approx(343.2)
    assert acoustics.quarter_wave_frequency(0.5, 343.2, 1.0, 0.02) == pytest.approx(165.0)


def test_end_corrections() -> None:
    """Kinsler et al., Fundamentals of Acoustics, from memory: 0.85 and 0.6 of the radius."""
    assert acoustics.end_correction(0.02, "flanged") == pytest.approx(0.85 * 0.02, rel=0.002)
    assert acoustics.end_correction(0.02, "unflanged") == pytest.approx(0.6 * 0.02)
    with pytest.raises(OutOfRange, match="end shape 'bell' must be one of flanged, unflanged"):
        acoustics.end_correction(0.02, "bell")


@given(area=st.floats(1e-5, 1e-4), length=st.floats(0.05, 0.2), volume=st.floats(5e-4, 5e-3))
def test_a_resonator_is_a_short_pipe_on_a_volume(area: float, length: float, volume: float) -> None:
    """The exact tone of an open pipe on a volume: cot(kL) = k V/A; the formula is its limit."""
    sound = 343.0
    exact = brentq(
        lambda f: (
            math.cos(2 * math.pi * f / sound * length) / math.sin(2 * math.pi * f / sound * length)
            - 2 * math.pi * f / sound * volume / area
        ),
        1e-3,
        sound / (4.0 * length),
    )
    got = acoustics.helmholtz_frequency(area, length, volume, sound)
    assert got == pytest.approx(exact, rel=area * length / volume)


def test_tuning_by_hand() -> None:
    """Worked by hand: 180 Hz over 2.1 is 85.71 turns a second, 5143 rpm."""
    assert tuning.tuned_speed(180.0, 2.1) / RPM == pytest.approx(5142.9, abs=0.1)
    length = tuning.tuned_length(120 * DEG, 6000 * RPM, 530.0)
    assert tuning.travel_time(length, 530.0) * 6000 * 6 == pytest.approx(120.0)
    assert tuning.wave_angle(length, 6000 * RPM, 530.0) == pytest.approx(120 * DEG)


@given(first=st.floats(1e-4, 1e-2), second=st.floats(1e-4, 1e-2), branch=st.floats(0.0, 1e-2))
def test_pressure_and_flow_fit_where_the_area_changes(first: float, second: float, branch: float) -> None:
    """Pressure is one on both sides; the flow in, less the flow back, is the flow onward."""
    got = acoustics.area_change(first, second, branch)
    assert 1.0 + got.pressure_reflection == pytest.approx(got.pressure_transmission)
    onward = (second + branch) * got.pressure_transmission
    assert first * (1.0 - got.pressure_reflection) == pytest.approx(onward)
    assert got.transmitted_energy == pytest.approx(onward / first * got.pressure_transmission)
    assert got.energy_sum == pytest.approx(1.0)


def test_ends_are_the_limits_of_an_area_change() -> None:
    ends = acoustics.area_change(1e-3, np.array([0.0, math.inf]))
    closed, opened = acoustics.pipe_end_reflection("closed"), acoustics.pipe_end_reflection("open")
    assert ends.pressure_reflection.tolist() == [closed, opened]
    assert ends.energy_sum.tolist() == [1.0, 1.0]
    with pytest.raises(OutOfRange, match="pipe end 'ajar' must be one of closed, open"):
        acoustics.pipe_end_reflection("ajar")


def test_plane_wave_by_hand() -> None:
    """Worked by hand: 1.2 kg/m3 and 343 m/s make 411.6 Pa.s/m; 100 Pa move the gas at 0.243 m/s."""
    wave = acoustics.plane_wave(-100.0, 1.2, 343.0)
    assert wave.acoustic_impedance == pytest.approx(411.6)
    assert wave.acoustic_velocity == pytest.approx(-0.24295, abs=1e-5)
    assert wave.acoustic_intensity == pytest.approx(0.5 * 100.0 * 0.24295, rel=1e-4)


@given(weak=st.floats(1.0, 1.001), gamma=GAMMAS)
def test_small_waves_are_the_limit_of_large_ones(weak: float, gamma: float) -> None:
    pressure = (weak - 1.0) * 1e5
    sound = compressible.sound_speed(300.0, gamma, 287.0)
    small = acoustics.plane_wave(pressure, 1e5 / 287.0 / 300.0, sound)
    large = waves.finite_amplitude_wave(weak, 300.0, gamma, 287.0)
    assert large.particle_velocity == pytest.approx(small.acoustic_velocity, rel=0.001, abs=1e-9)


@given(ratio=st.floats(1.5, 20.0), length=st.floats(0.1, 1.0), frequency=st.floats(20.0, 1000.0))
def test_transmission_loss_is_that_of_the_matrices(ratio: float, length: float, frequency: float) -> None:
    """A pipe's matrix of pressure and volume flow, between pipes of area 1, in units of their impedance."""
    k, z = 2.0 * math.pi * frequency / 343.0, 1.0 / ratio
    a, b = math.cos(k * length), 1j * z * math.sin(k * length)
    c, d = 1j / z * math.sin(k * length), math.cos(k * length)
    expected = 20.0 * math.log10(abs(a + b + c + d) / 2.0)
    got = acoustics.transmission_loss(ratio * 1e-3, 1e-3, length, frequency, 343.0)
    assert got == pytest.approx(expected, abs=1e-9)
