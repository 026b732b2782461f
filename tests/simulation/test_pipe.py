"""The gas in one pipe: published shock tubes, order on smooth flow, conservation, area, friction and heat."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering.compressible import mach_from_area_ratio, sonic_area_ratio
from tappetry.engineering.duct_flow import friction_ratios
from tappetry.engineering.ranges import OutOfRange
from tappetry.engineering.riemann import riemann_state
from tappetry.simulation import rows
from tappetry.simulation.columns import FREE, OPEN, SHUT
from tappetry.simulation.gas import engine_gas, perfect_gas
from tappetry.simulation.pipe_kernels import edges, extrapolate, fluxes, update
from tappetry.simulation.pipes import Pipe, fill, lay, straight
from tests.simulation.tube import Tube, state_of, volume_of

AIR = perfect_gas(287.05, 1.4)

# Left and right density, velocity and pressure; time; place of the diaphragm. Sod, J. Comput. Phys. 27
# (1978); the others Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, chapters 4 and 6 (from
# memory).
SHOCK_TUBES = {
    "Sod": ((1.0, 0.0, 1.0), (0.125, 0.0, 0.1), 0.2, 0.5),
    "sonic rarefaction": ((1.0, 0.75, 1.0), (0.125, 0.0, 0.1), 0.2, 0.3),
    "near vacuum": ((1.0, -2.0, 0.4), (1.0, 2.0, 0.4), 0.15, 0.5),
    "left blast": ((1.0, 0.0, 1000.0), (1.0, 0.0, 0.01), 0.012, 0.5),
    "two shocks": ((5.99924, 19.5975, 460.894), (5.99242, -6.19633, 46.0950), 0.035, 0.4),
    "slow contact": ((1.0, -19.59745, 1000.0), (1.0, -19.59745, 0.01), 0.012, 0.8),
}


def errors(name: str, cells: int) -> tuple[float, float]:
    """Mean errors of density and pressure, over the greatest exact values."""
    left, right, time, middle = SHOCK_TUBES[name]
    tube = Tube(straight(1.0, 1.0, cells))
    low = tube.places < middle
    density, velocity, pressure = (np.where(low, a, b) for a, b in zip(left, right, strict=True))
    tube.fill(pressure, pressure / density, velocity)
    tube.run(time)
    exact = riemann_state(*left, *right, 1.4, time, middle, tube.places)
    assert tube.density.min() > 0
    assert tube.pressure.min() > 0
    return (
        float(np.mean(np.abs(tube.density - exact.gas_density)) / np.max(exact.gas_density)),
        float(np.mean(np.abs(tube.pressure - exact.gas_pressure)) / np.max(exact.gas_pressure)),
    )


@pytest.mark.parametrize("name", SHOCK_TUBES)
def test_shock_tubes_come_to_the_exact_solution(name: str) -> None:
    """Where there are shocks the mean error falls with the length of a cell, at contacts a little slower."""
    coarse, fine = errors(name, 100), errors(name, 400)
    assert max(fine) < 0.006
    assert fine[0] < 0.45 * coarse[0]
    assert fine[1] < 0.45 * coarse[1]


def test_sonic_rarefaction_has_no_jump_where_it_turns() -> None:
    left, right, time, middle = SHOCK_TUBES["sonic rarefaction"]
    tube = Tube(straight(1.0, 1.0, 200))
    low = tube.places < middle
    density, velocity, pressure = (np.where(low, a, b) for a, b in zip(left, right, strict=True))
    tube.fill(pressure, pressure / density, velocity)
    tube.run(time)
    fan = (tube.places > 0.2) & (tube.places < 0.4)
    exact = riemann_state(*left, *right, 1.4, time, middle, tube.places[fan]).gas_velocity
    assert np.max(np.abs(np.diff(tube.velocity[fan]))) < 1.6 * np.max(np.abs(np.diff(exact)))


def simple_wave(cells: int) -> float:
    """Mean error of density of a wave that steepens, against the exact one by its characteristics."""
    gamma, length, time = 1.4, 1.0, 0.15

    def speed(x: float | np.ndarray) -> float | np.ndarray:
        return 1.0 + 0.03 * np.exp(-(((np.asarray(x) - 0.35) / 0.08) ** 2))

    tube = Tube(straight(length, 1.0, cells))

    def cell_means(of: object) -> np.ndarray:
        nodes, weights = np.polynomial.legendre.leggauss(4)
        half = 0.5 * length / cells
        return sum(w * of(tube.places + half * n) for n, w in zip(nodes, weights, strict=True)) / 2.0  # type: ignore[operator]

    def state(sound: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        density = sound ** (2.0 / (gamma - 1.0))
        return density, 2.0 / (gamma - 1.0) * (sound - 1.0), density**gamma / gamma

    density = cell_means(lambda x: state(speed(x))[0])
    momentum = cell_means(lambda x: state(speed(x))[0] * state(speed(x))[1])
    energy = cell_means(
        lambda x: state(speed(x))[2] / (gamma - 1.0) + 0.5 * state(speed(x))[0] * state(speed(x))[1] ** 2
    )
    velocity = momentum / density
    pressure = (gamma - 1.0) * (energy - 0.5 * momentum * velocity)
    tube.fill(pressure, pressure / density, velocity)
    tube.run(time)

    def exact(x: np.ndarray) -> np.ndarray:
        origin = x.copy()
        for _ in range(200):
            sound = speed(origin)
            origin = x - (sound + 2.0 / (gamma - 1.0) * (sound - 1.0)) * time
        return state(np.asarray(speed(origin)))[0]

    return float(np.mean(np.abs(tube.density - cell_means(exact))))


def test_smooth_flow_is_second_order() -> None:
    coarse, fine, finer = simple_wave(200), simple_wave(400), simple_wave(800)
    assert math.log2(coarse / fine) > 1.8
    assert math.log2(fine / finer) > 1.8


def test_mass_and_energy_stay_to_the_rounding() -> None:
    """Shut pipe of changing area, rubbed and warmed, with all components of the gas: what comes from the wall
    is counted."""
    pipe = Pipe((0.0, 0.3, 1.0), (0.05, 0.03, 0.06), 60, friction=0.006, wall_temperature=500.0)
    tube = Tube(pipe, engine_gas("C8H18", 1.1, 99e3, 1e3))
    wave = np.sin(2 * math.pi * tube.places)
    tube.fill(
        1e5 * (1 + 0.3 * wave), 900 + 500 * wave, 20 * wave, burned=0.4 + 0.3 * wave, fuel=0.03 * wave**2
    )
    held = (rows.DENSITY, rows.BURNED, rows.FUEL)
    before = [tube.total(row) for row in held]
    energy = tube.total(rows.ENERGY)
    tube.run(0.02, ends=(SHUT, SHUT))
    assert tube.steps > 500
    np.testing.assert_allclose([tube.total(row) for row in held], before, rtol=1e-13)
    heat = tube.total(rows.HEAT)
    assert abs(heat) > 1.0
    assert abs(tube.total(rows.ENERGY) - energy - heat) < 1e-12 * abs(energy) * tube.steps**0.5


def test_gas_at_rest_stays_at_rest_where_the_area_changes() -> None:
    tube = Tube(Pipe((0.0, 0.5, 1.0), (0.05, 0.02, 0.07), 40), AIR)
    tube.fill(1e5, 300.0)
    tube.run(0.01, ends=(SHUT, SHUT))
    assert np.max(np.abs(tube.velocity)) < 1e-9
    np.testing.assert_allclose(tube.pressure, 1e5, rtol=1e-12)


def test_steady_flow_through_a_narrowing_pipe_is_isentropic() -> None:
    """Stagnation state on the one side, pressure on the other: Mach numbers by area, and no loss."""
    pipe = Pipe((0.0, 0.2, 0.4), (0.05, 0.042, 0.05), 80)
    tube = Tube(pipe, AIR)
    tube.fill(0.98e5, 300.0, 30.0)
    area = 0.25 * math.pi * 0.05**2
    tube.run(
        0.3,
        ends=(OPEN, OPEN),
        outside=[volume_of(AIR, area, 1e5, 300, 1.4), volume_of(AIR, area, 0.9e5, 300, 1.4)],
    )
    mach = tube.velocity / np.sqrt(1.4 * 287.05 * tube.temperature)
    areas = tube.layout.volumes(0) * pipe.cells / pipe.length
    outlet = mach_from_area_ratio(areas / areas[-1] * sonic_area_ratio(mach[-1], 1.4), 1.4).subsonic_mach
    np.testing.assert_allclose(mach, outlet, rtol=7e-3)  # most where the pipe has its kink
    stagnation = tube.pressure * (1 + 0.2 * mach**2) ** 3.5
    np.testing.assert_allclose(stagnation, 1e5, rtol=3e-3)
    np.testing.assert_allclose(np.delete(stagnation, [39, 40]), 1e5, rtol=2e-4)
    # The outlet keeps the pressure of the volume behind it.
    at_the_end = 1.5 * tube.pressure[-1] - 0.5 * tube.pressure[-2]
    assert at_the_end == pytest.approx(0.9e5, rel=5e-4)


def test_steady_flow_with_friction_is_that_of_the_handbook() -> None:
    pipe = Pipe((0.0, 2.0), (0.04, 0.04), 60, friction=0.006)
    # Friction without heat: the wall has the gas's own temperature only by chance, so the heat is taken off.
    tube = Tube(pipe, AIR)
    tube.layout.row(0, rows.WALL_HEAT)[:] = 0.0
    tube.fill(1.0e5, 300.0, 60.0)
    area = 0.25 * math.pi * 0.04**2
    tube.run(
        0.4,
        ends=(OPEN, OPEN),
        outside=[volume_of(AIR, area, 1.2e5, 300, 1.4), volume_of(AIR, area, 0.9e5, 300, 1.4)],
    )
    mach = tube.velocity / np.sqrt(1.4 * 287.05 * tube.temperature)
    length = friction_ratios(mach[0], 1.4).choking_length - friction_ratios(mach[-1], 1.4).choking_length
    assert 0.2 < mach[0] < mach[-1] < 0.6
    between = tube.places[-1] - tube.places[0]
    assert length == pytest.approx(4 * 0.006 * between / 0.04, rel=0.01)


def test_an_added_loss_takes_what_it_says() -> None:
    pipe = Pipe((0.0, 1.0), (0.05, 0.05), 50, added_loss=4.0, loss_from=0.4, loss_to=0.6)
    tube = Tube(pipe, AIR)
    tube.fill(1.0e5, 300.0, 10.0)
    area = 0.25 * math.pi * 0.05**2
    tube.run(
        0.5,
        ends=(OPEN, OPEN),
        outside=[volume_of(AIR, area, 1.01e5, 300, 1.4), volume_of(AIR, area, 1.0e5, 300, 1.4)],
    )
    head = 0.5 * tube.density[25] * tube.velocity[25] ** 2
    lost = (tube.pressure[10] + head) - (tube.pressure[40] + head)
    assert lost == pytest.approx(4.0 * head, rel=0.02)


def test_a_front_between_gases_moves_with_little_noise() -> None:
    """Hot burned gas behind cold air at one pressure and velocity, which differ in their heat capacities."""
    tube = Tube(straight(1.0, 0.05, 100), engine_gas("C8H18", 1.0, 99e3, 1e3))
    hot = tube.places < 0.4
    tube.fill(1e5, np.where(hot, 1100.0, 320.0), 50.0, burned=np.where(hot, 1.0, 0.0))
    tube.run(0.004, ends=(FREE, FREE))
    assert np.max(np.abs(tube.pressure / 1e5 - 1)) < 0.02
    front = np.interp(0.5, tube.row(rows.BURNED_SHARE)[::-1], tube.places[::-1])
    assert front == pytest.approx(0.6, abs=0.01)
    assert tube.row(rows.BURNED_SHARE).max() < 1 + 1e-9
    assert tube.row(rows.BURNED_SHARE).min() > -1e-9


def test_at_an_end_no_more_is_burned_than_all_and_no_less_than_nothing() -> None:
    """A rise that went on in a straight line would come to 1.02 at the end."""
    burned = np.array([0.0, 0.1, 0.5, 0.9, 0.98])
    for shares, at_end in ((burned, 1.0), (1.0 - burned, 0.0)):
        layout = lay([straight(0.5, 0.04, 5)])
        fill(layout, 0, AIR, 1e5, 300.0, 0.0, shares)
        extrapolate(layout.buffer, 0, 5)
        edges(layout.buffer, layout.places, 1e-6)
        assert layout.row(0, rows.HIGH_BURNED)[-1] == pytest.approx(at_end, abs=1e-12)


def test_both_directions_are_alike() -> None:
    """A tube and its mirror image end as mirror images."""
    forth, back = (Tube(straight(1.0, 1.0, 50)) for _ in range(2))
    pressure = 1.0 + 0.5 * np.exp(-(((forth.places - 0.4) / 0.1) ** 2))
    forth.fill(pressure, 1.0, 0.2)
    back.fill(pressure[::-1], 1.0, -0.2)
    for tube in (forth, back):
        tube.run(0.3, ends=(SHUT, SHUT))
    np.testing.assert_allclose(forth.pressure, back.pressure[::-1], rtol=1e-12)


def test_a_pipe_twice_as_long_takes_twice_the_time() -> None:
    """Without friction nothing in the gas has a length: what is doubled in space and time looks alike."""
    small, large = (
        Tube(Pipe((0.0, 0.3 * scale, 1.0 * scale), (0.05 * scale, 0.03 * scale, 0.06 * scale), 50))
        for scale in (1.0, 2.0)
    )
    for tube, scale in ((small, 1.0), (large, 2.0)):
        tube.fill(1.0 + 0.4 * np.cos(3.0 * tube.places / scale), 1.0, 0.2)
        tube.run(0.4 * scale, ends=(SHUT, SHUT))
    np.testing.assert_allclose(large.pressure, small.pressure, rtol=1e-9)
    np.testing.assert_allclose(large.velocity, small.velocity, atol=1e-9)


def test_units_do_not_matter_to_the_scheme() -> None:
    """Mass, length and time measured otherwise: densities, velocities and pressures scale by their units."""
    mass, length, time = 3.0, 0.7, 1.9
    here = Tube(straight(1.0, 0.1, 40))
    there = Tube(straight(length, 0.1 * length, 40), perfect_gas((length / time) ** 2, 1.4))
    wave = np.where(here.places < 0.5, 1.0, 0.3)
    density, pressure = mass / length**3, mass / (length * time**2)
    here.fill(wave, wave / 0.8)
    there.fill(pressure * wave, wave / 0.8)
    here.run(0.2)
    there.run(0.2 * time)
    np.testing.assert_allclose(there.pressure, pressure * here.pressure, rtol=1e-9)
    np.testing.assert_allclose(there.density, density * here.density, rtol=1e-9)
    np.testing.assert_allclose(there.velocity, length / time * here.velocity, atol=1e-9)


def test_pipes_that_cannot_be_cut_are_refused() -> None:
    with pytest.raises(OutOfRange, match=r"cells of a pipe = 2"):
        lay([straight(1.0, 0.05, 2)])
    with pytest.raises(OutOfRange, match=r"cells of all pipes and their ends = 5,?01"):
        lay([straight(1.0, 0.05, 5000)])


def test_cold_gas_does_the_same_whether_other_pipes_are_hot() -> None:
    """Where all gas is cold a shorter way is taken."""
    gas = engine_gas("C8H18", 1.0, 99e3, 1e3)
    pipe, wave = straight(0.5, 0.04, 21), np.sin(np.arange(21))
    alone, beside = lay([pipe]), lay([pipe, pipe])
    fill(beside, 1, gas, 2e5, 1800.0 + 300.0 * wave, 50.0 * wave, 0.9)
    for layout in (alone, beside):
        fill(layout, 0, gas, 1e5 + 2e4 * wave, 500.0 + 400.0 * wave, 30.0 * wave, 0.3, 0.05)
        edges(layout.buffer, layout.places, 1e-6)
        fluxes(layout.buffer, layout.places)
        update(layout.buffer, layout.places, 1e-6, gas.table)
    np.testing.assert_allclose(state_of(alone, 0), state_of(beside, 0), rtol=1e-13)
    assert np.ptp(alone.row(0, rows.TEMPERATURE)) > 700.0
