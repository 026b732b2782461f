"""One cylinder: the handbook's piston, burn, heat and knock in its kernels; Otto's cycle against Cantera."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering.air_cycles import otto_cycle
from tappetry.engineering.burn import burned_fraction
from tappetry.engineering.crank import piston_fall
from tappetry.engineering.gas_tables import DRY_AIR
from tappetry.engineering.heat_transfer import woschni_coefficient, woschni_velocities
from tappetry.engineering.knock import knock_delay
from tappetry.engineering.nozzles import orifice_flow
from tappetry.simulation import columns
from tappetry.simulation.cylinder_kernels import cylinder_volume, knock_rate, wall_loss, wiebe, woschni
from tappetry.simulation.cylinders import Mixture, closed_part, octane_scale, set_fire
from tappetry.simulation.gas import Gas, engine_gas, perfect_gas
from tappetry.simulation.network import Network
from tappetry.simulation.volume_kernels import gas_state, gas_temperature, nozzle_flux
from tests.simulation.alone import BORE, SHAPE, add_fuel_vapour, alone, of, work

AIR = perfect_gas(287.05, 1.4)
REAL = engine_gas("C8H18", 1.0, 1e5, 0.0)


def test_piston_burn_heat_knock_and_leak_are_those_of_the_handbook() -> None:
    network = alone(AIR)
    e, c, v = network.engine, network.cylinders[0], network.volumes[0]
    angles = np.linspace(0.0, 720.0, 41)
    fall = piston_fall(np.radians(angles), BORE.stroke, BORE.rod_length)
    volumes = BORE.clearance_volume + 0.25 * math.pi * BORE.bore**2 * fall
    np.testing.assert_allclose([cylinder_volume(e, angle) for angle in angles], volumes, rtol=1e-12)
    set_fire(network, 0, 60.0, 8.0, 30.0)
    burned = burned_fraction(np.radians(angles - 360.0), math.radians(-22.0), math.radians(60.0), 6.908, 2.0)
    inside = (angles > 338) & (angles < 398)
    np.testing.assert_allclose(
        [wiebe(e, network.cylinders, 0, angle) for angle in angles[inside]], burned[inside], rtol=1e-12
    )
    assert woschni(e, 3e6, 2000.0, 20.0) == pytest.approx(woschni_coefficient(BORE.bore, 3e6, 2000.0, 20.0))
    assert 1 / knock_rate(octane_scale(91.0), 4e6, 820.0) == pytest.approx(knock_delay(91.0, 4e6, 820.0))
    for outside in (0.9e5, 0.2e5):
        flow = orifice_flow(1e5, 500.0, outside, 1e-4, 1.35, 290.0).mass_flow
        assert 1e-4 * nozzle_flux(1e5, 500.0, 1.35, 290.0, outside) == pytest.approx(flow)
    assert nozzle_flux(1e5, 500.0, 1.35, 290.0, 1.1e5) == 0.0
    # Heat to head, piston and liner with the velocity of each part of the cycle.
    e[columns.HEAT_FACTOR] = 1.0
    v[columns.PRESSURE], v[columns.TEMPERATURE], v[columns.SPACE] = 4e6, 2200.0, 1.2e-4
    motored = 1e5 * (c[columns.TRAPPED_SPACE] / 1.2e-4) ** 1.32
    book = woschni_velocities(
        e[columns.PISTON_SPEED],
        BORE.swept_volume,
        c[columns.TRAPPED_TEMPERATURE],
        1e5,
        c[columns.TRAPPED_SPACE],
        4e6,
        motored,
    )
    disc, liner = 0.25 * math.pi * BORE.bore**2, 4 * 1.2e-4 / BORE.bore
    reach = 2 * disc * (2200 - 500) + liner * (2200 - 450)
    for degrees, done, velocity in (
        (100.0, 0.0, book.exchange_velocity),
        (300.0, 0.0, book.compression_velocity),
        (380.0, 0.5, book.combustion_velocity),
    ):
        c[columns.BURN_DONE] = done
        expected = woschni_coefficient(BORE.bore, 4e6, 2200.0, velocity) * reach
        assert wall_loss(e, network.cylinders, network.volumes, 0, degrees) == pytest.approx(
            expected, rel=1e-12
        )


def test_temperature_and_energy_are_each_others_inverse() -> None:
    for burned, fuel, t in ((0.0, 0.0, 250.0), (0.4, 0.05, 980.0), (0.9, 0.0, 2950.0)):
        _, energy, capacity = gas_state(REAL.table, burned, fuel, t)
        found, _, there = gas_temperature(REAL.table, burned, fuel, energy, 600.0)
        assert found == pytest.approx(t, rel=1e-9)
        assert there == pytest.approx(capacity, rel=1e-6)
        above = gas_state(REAL.table, burned, fuel, t + 0.01)[1]
        assert (above - energy) / 0.01 == pytest.approx(capacity, rel=1e-4)


def test_otto_cycle_of_a_perfect_gas_is_the_handbooks() -> None:
    """Heat at the dead centre, by a fuel that is air, then a cycle back to where it began."""
    heat = 1.0e6
    share = 1e-6
    network = alone(AIR, step=0.1, mixture=Mixture(0.0, heat / share, 0.0, 0.0))
    add_fuel_vapour(network, share)
    set_fire(network, 0, 1e-6, 0.0, 0.0)
    mass = of(network, columns.MASS)
    network.turn(180.0, 360.0)
    assert of(network, columns.PRESSURE) == pytest.approx(1e5 * 10**1.4, rel=2e-5)
    network.turn(360.0, 540.0)
    book = otto_cycle(10.0, 300.0, 1e5, heat, 287.05 / 0.4, 1.4)
    assert work(network) / mass == pytest.approx(float(book.net_work), rel=1e-4)


def test_otto_cycle_of_air_is_canteras() -> None:
    """Heat capacities that depend on temperature: pressures, temperatures and work within 0.05 %."""
    cantera = pytest.importorskip("cantera")
    heat, share, ratio = 1.6e6, 1e-9, BORE.compression_ratio
    network = alone(REAL, step=0.1, mixture=Mixture(0.0, heat / share, 0.0, 0.0))
    add_fuel_vapour(network, share)
    # The fuel must stay air: what it burns to is given air's numbers.
    network.gas.table[1:] = network.gas.table[0]
    set_fire(network, 0, 1e-6, 0.0, 0.0)
    mass = of(network, columns.MASS)
    named = [each for each in cantera.Species.list_from_file("nasa_gas.yaml") if each.name in DRY_AIR]
    gas = cantera.Solution(thermo="ideal-gas", species=named)
    gas.TPX = 300.0, 1e5, DRY_AIR
    entropy, volume, energy = gas.s, gas.v, gas.u
    gas.SV = entropy, volume / ratio
    network.turn(180.0, 360.0)
    assert of(network, columns.TEMPERATURE) == pytest.approx(gas.T, rel=5e-4)
    assert of(network, columns.PRESSURE) == pytest.approx(gas.P, rel=5e-4)
    gas.UV = gas.u + heat, gas.v
    hottest, entropy = gas.T, gas.s
    gas.SV = entropy, volume
    network.turn(360.0, 540.0)
    assert network.trace[0, 360:363, columns.TRACE_TEMPERATURE].max() == pytest.approx(hottest, rel=5e-4)
    assert of(network, columns.TEMPERATURE) == pytest.approx(gas.T, rel=5e-4)
    assert work(network) / mass == pytest.approx(energy + heat - gas.u, rel=5e-4)


def test_a_cycle_without_fire_or_losses_gives_everything_back() -> None:
    network = alone(REAL)
    energy, pressure = of(network, columns.ENERGY), of(network, columns.PRESSURE)
    network.turn(180.0, 540.0)
    assert np.max(network.trace[0, :, columns.TRACE_PRESSURE]) > 2e6
    assert of(network, columns.PRESSURE) == pytest.approx(pressure, rel=1e-6)
    assert abs(work(network)) < 1e-6 * energy_of_compression()
    assert of(network, columns.ENERGY) + work(network) == pytest.approx(energy, rel=1e-12)


def test_entropy_stays_all_through_a_cycle_without_fire_or_losses() -> None:
    """Of a perfect gas ln(p V^gamma), as a share of its heat capacity; back to the rounding at the end."""
    network = alone(AIR)

    def entropy() -> float:
        return math.log(of(network, columns.PRESSURE)) + 1.4 * math.log(of(network, columns.SPACE))

    first, changes = entropy(), []
    for degrees in range(180, 540, 20):
        network.turn(degrees, degrees + 20.0)
        changes.append(entropy() - first)
    assert max(map(abs, changes)) < 1e-5
    assert abs(changes[-1]) < 1e-9


def energy_of_compression() -> float:
    """Work that the piston puts into the gas up to the dead centre."""
    one = alone(REAL)
    one.turn(180.0, 360.0)
    return -work(one)


def test_the_piston_is_second_order() -> None:
    def error(step: float) -> float:
        network = alone(AIR, step=step)
        network.turn(180.0, 330.0)
        exact = 1e5 * (BORE.swept_volume + BORE.clearance_volume) ** 1.4 / of(network, columns.SPACE) ** 1.4
        return abs(of(network, columns.PRESSURE) / exact - 1)

    assert math.log2(error(2.0) / error(1.0)) == pytest.approx(2.0, abs=0.1)


def test_energy_of_a_fired_cycle_adds_up() -> None:
    """What the fire gives is work, heat to the walls, what passes the rings, and what stays in the gas."""
    mixture = Mixture(0.0, 44e6, 0.0, 91.0)
    network = alone(REAL, mixture=mixture, heat_factor=1.0, leak_area=2e-7)
    add_fuel_vapour(network, 0.06)
    network.volumes[0, columns.PRESSURE_RATE] = 0.0
    length, half = SHAPE.span(25.0)
    set_fire(network, 0, length, 8.0, half)
    before, mass = of(network, columns.ENERGY), of(network, columns.MASS)
    network.turn(180.0, 540.0)
    c = network.cylinders[0]
    assert c[columns.FIRE] == pytest.approx(0.06 * mass * 44e6, rel=5e-3)
    assert c[columns.HEAT] > 0.08 * c[columns.FIRE]
    assert 0.002 < c[columns.LEAK] / mass < 0.05
    assert of(network, columns.MASS) + c[columns.LEAK] == pytest.approx(mass, rel=1e-13)
    left = of(network, columns.ENERGY) + c[columns.HEAT] + c[columns.WORK] + c[columns.LEAK_ENERGY]
    assert left == pytest.approx(before + c[columns.FIRE], rel=1e-12)
    assert c[columns.PEAK] == pytest.approx(np.max(network.trace[0, :, columns.TRACE_PRESSURE]), rel=1e-3)
    assert 365 < c[columns.PEAK_ANGLE] < 380


def half_burned(gas: Gas) -> Network:
    """A cylinder that stopped in the middle of its fire."""
    network = alone(gas, mixture=Mixture(0.0, 44e6, 0.0, 91.0))
    network.engine[columns.INTAKE_SHUTS] = 181.0
    add_fuel_vapour(network, 0.06)
    length, half = SHAPE.span(25.0)
    set_fire(network, 0, length, 8.0, half)
    network.turn(180.0, 368.0)
    return network


def test_burned_gas_and_end_gas_share_volume_and_energy() -> None:
    network = half_burned(REAL)
    c, v = network.cylinders[0], network.volumes[0]
    mass, pressure, space = (
        of(network, column) for column in (columns.MASS, columns.PRESSURE, columns.SPACE)
    )
    end_mass = (mass - of(network, columns.BURNED)) / (1 - c[columns.END_BURNED])
    end = gas_state(REAL.table, c[columns.END_BURNED], c[columns.END_FUEL], c[columns.END_GAS])
    burned_mass = mass - end_mass
    burned_constant = gas_state(REAL.table, 1.0, 0.0, 2000.0)[0]
    hot = (pressure * space - end_mass * end[0] * c[columns.END_GAS]) / (burned_mass * burned_constant)
    burned = gas_state(REAL.table, 1.0, 0.0, hot)
    assert end_mass * end[1] + burned_mass * burned[1] == pytest.approx(
        v[columns.ENERGY], abs=1e-4 * burned_mass * 3e6
    )
    assert 600 < c[columns.END_GAS] < 1000
    assert 2400 < hot < 3400  # no heat goes to the walls here
    assert hot - v[columns.TEMPERATURE] > 300
    assert c[columns.PEAK_BURNED] >= hot - 1.0


def test_zones_of_a_perfect_gas_have_the_pressure_of_the_whole() -> None:
    """p V = (gamma - 1) E, however the gas is parted."""
    network = half_burned(AIR)
    assert 0.4 < network.cylinders[0, columns.BURN_DONE] < 0.6
    whole = 0.4 * of(network, columns.ENERGY) / of(network, columns.SPACE)
    assert of(network, columns.PRESSURE) == pytest.approx(whole, rel=1e-9)


def test_what_burns_is_burned_gas_afterwards() -> None:
    network = alone(REAL, mixture=Mixture(0.0, 44e6, 0.0, 0.0))
    add_fuel_vapour(network, 0.06)
    length, half = SHAPE.span(25.0)
    set_fire(network, 0, length, 8.0, half)
    network.turn(180.0, 540.0)
    assert of(network, columns.BURNED_SHARE) == pytest.approx(1.0, abs=2e-3)
    assert of(network, columns.FUEL_SHARE) == pytest.approx(0.0, abs=1e-4)


def knock_of(octane: float, half_burned: float) -> float:
    network = alone(REAL, 1e5, 350.0, mixture=Mixture(0.0, 44e6, 0.0, octane))
    network.engine[columns.INTAKE_SHUTS] = 181.0
    add_fuel_vapour(network, 0.06)
    length, half = SHAPE.span(25.0)
    set_fire(network, 0, length, half_burned, half)
    network.turn(180.0, 540.0)
    return float(network.cylinders[0, columns.KNOCK])


def test_knock_falls_with_octane_and_with_a_late_fire() -> None:
    assert knock_of(95.0, 8.0) == pytest.approx(knock_of(85.0, 8.0) * (95 / 85) ** -3.402, rel=1e-9)
    assert knock_of(91.0, 20.0) < 0.6 * knock_of(91.0, 8.0)


def test_the_law_burns_from_10_to_90_as_long_as_it_is_told() -> None:
    network = alone(AIR)
    length, half = SHAPE.span(28.0)
    set_fire(network, 0, length, 8.0, half)
    e = network.engine
    assert wiebe(e, network.cylinders, 0, 368.0) == pytest.approx(0.5, abs=1e-12)
    angles = np.linspace(340.0, 400.0, 6001)
    shares = np.array([wiebe(e, network.cylinders, 0, angle) for angle in angles])
    assert np.interp(0.9, shares, angles) - np.interp(0.1, shares, angles) == pytest.approx(28.0, abs=1e-3)


def test_valves_that_never_open_leave_half_the_cycle_closed() -> None:
    network = alone(AIR)
    assert closed_part(network.valves) == (180.0, 540.0)
