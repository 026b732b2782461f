"""What passes an end: the handbook's nozzle either way, choked or not; tones of pipes and of a resonator."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from tappetry.engineering.acoustics import helmholtz_frequency, quarter_wave_frequency
from tappetry.engineering.nozzles import orifice_flow
from tappetry.simulation import columns, rows
from tappetry.simulation.columns import FREE, OPEN, SHUT
from tappetry.simulation.end_kernels import inward, outward, pass_end
from tappetry.simulation.gas import perfect_gas
from tappetry.simulation.network import WALL, Chamber, End, GasLost, Network, join, surroundings
from tappetry.simulation.pipe_kernels import edges, extrapolate
from tappetry.simulation.pipes import Pipe, fill, lay, straight
from tests.simulation.tube import volume_of

pytestmark = pytest.mark.slow

R, GAMMA, SOUND = 287.05, 1.4, math.sqrt(1.4 * 287.05 * 300.0)
AIR = perfect_gas(R, GAMMA)
AREA = 0.25 * math.pi * 0.04**2


def at_the_end(
    velocity: float, pressure: float, share: float, outside: float, high: bool = True
) -> dict[str, float]:
    """Flow out of a uniform pipe of 300 K through an opening of a share of its area; outside it has 400 K."""
    layout = lay([straight(1.0, 0.04, 5)])
    fill(layout, 0, AIR, pressure, 300.0, velocity if high else -velocity)
    s, face = layout.buffer, 6 if high else 1
    extrapolate(s, 0, 5)
    edges(s, 7, 0.0)
    pass_end(s, 0, 5, high, OPEN, *volume_of(AIR, share * AREA, outside, 400.0, GAMMA), 0.0)
    sign = 1.0 if high else -1.0
    return {
        "mass": sign * s[rows.MASS_FLOW + face],
        "thrust": s[rows.THRUST + face],
        "energy": sign * s[rows.ENERGY_FLOW + face],
    }


def face_of(flow: dict[str, float]) -> tuple[float, float, float]:
    """Velocity, pressure and density at a face from what passes it, by the subsonic root."""
    enthalpy = flow["energy"] / flow["mass"]
    cp = R * GAMMA / (GAMMA - 1)
    speed = brentq(
        lambda u: flow["mass"] * (u + R * (enthalpy - u * u / 2) / cp / u) - flow["thrust"],
        *sorted(
            (
                1e-6 * np.sign(flow["mass"]),
                np.sign(flow["mass"]) * math.sqrt(2 * enthalpy * (GAMMA - 1) / (GAMMA + 1)),
            )
        ),
    )
    density = flow["mass"] / (speed * AREA)
    return speed, density * R * (enthalpy - speed**2 / 2) / cp, density


@pytest.mark.parametrize("high", [True, False])
@pytest.mark.parametrize("share", [0.05, 0.3, 0.8])
@pytest.mark.parametrize("outside", [0.95e5, 0.7e5, 0.2e5])
def test_outflow_is_that_of_a_nozzle(outside: float, share: float, high: bool) -> None:
    flow = at_the_end(20.0, 1e5, share, outside, high)
    u, p, density = face_of(flow)
    mach = u / math.sqrt(GAMMA * p / density)
    stagnation = p * (1 + 0.2 * mach**2) ** 3.5
    total = flow["energy"] / flow["mass"] * (GAMMA - 1) / (GAMMA * R)
    nozzle = orifice_flow(stagnation, total, outside, share * AREA, GAMMA, R)
    assert flow["mass"] == pytest.approx(nozzle.mass_flow, rel=1e-8)
    # The face lies on the isentrope of the pipe and on the wave that runs out of it.
    assert density == pytest.approx(1e5 / (R * 300) * (p / 1e5) ** (1 / GAMMA), rel=1e-8)
    assert u == pytest.approx(20.0 + 5 * SOUND * (1 - (p / 1e5) ** (1 / 7)), rel=1e-6)


@pytest.mark.parametrize("high", [True, False])
@pytest.mark.parametrize("share", [0.05, 0.3, 0.8])
@pytest.mark.parametrize("outside", [1.02e5, 1.4e5, 6e5])
def test_inflow_is_that_of_a_nozzle_into_the_pressure_of_the_face(
    outside: float, share: float, high: bool
) -> None:
    flow = at_the_end(-20.0, 1e5, share, outside, high)
    assert flow["mass"] < 0
    u, p, _ = face_of(flow)
    nozzle = orifice_flow(outside, 400.0, p, share * AREA, GAMMA, R)
    assert -flow["mass"] == pytest.approx(nozzle.mass_flow, rel=1e-6)
    assert flow["energy"] / flow["mass"] == pytest.approx(GAMMA / (GAMMA - 1) * R * 400.0, rel=1e-12)
    assert u == pytest.approx(-20.0 + 5 * SOUND * (1 - (p / 1e5) ** (1 / 7)), rel=1e-6)


def test_choked_outflow_does_not_heed_what_lies_behind() -> None:
    assert at_the_end(50.0, 3e5, 0.4, 1e5) == pytest.approx(at_the_end(50.0, 3e5, 0.4, 0.5e5), rel=1e-10)


def test_the_same_state_on_both_sides_passes_nothing() -> None:
    layout = lay([straight(1.0, 0.04, 5)])
    fill(layout, 0, AIR, 1e5, 400.0)
    extrapolate(layout.buffer, 0, 5)
    edges(layout.buffer, 7, 0.0)
    pass_end(layout.buffer, 0, 5, True, OPEN, *volume_of(AIR, 0.5 * AREA, 1e5, 400.0, GAMMA), 0.0)
    assert abs(layout.buffer[rows.MASS_FLOW + 6]) < 1e-9
    assert layout.buffer[rows.THRUST + 6] == pytest.approx(1e5 * AREA, rel=1e-9)


@pytest.mark.parametrize("kind", [SHUT, FREE])
def test_walls_and_free_ends(kind: int) -> None:
    layout = lay([straight(1.0, 0.04, 5)])
    fill(layout, 0, AIR, 1e5, 300.0, 30.0)
    s = layout.buffer
    extrapolate(s, 0, 5)
    edges(s, 7, 0.0)
    pass_end(s, 0, 5, True, kind, *volume_of(AIR, 0.0, 1e5, 300.0, GAMMA), 0.0)
    if kind == SHUT:
        assert s[rows.MASS_FLOW + 6] == s[rows.ENERGY_FLOW + 6] == 0.0
        assert s[rows.THRUST + 6] / AREA == pytest.approx(1e5 * (1 + 0.2 * 30 / SOUND) ** 7, rel=1e-12)
    else:
        assert s[rows.MASS_FLOW + 6] == pytest.approx(1e5 / (R * 300) * 30 * AREA, rel=1e-12)


def test_solutions_lie_in_their_brackets_over_the_whole_range() -> None:
    """Any gas, opening and ratio of pressures that an engine could ever ask for."""
    random = np.random.default_rng(7)
    for _ in range(2000):
        gamma, other = random.uniform(1.2, 1.67, 2)
        opening, wall = 10 ** random.uniform(-4, 0), random.uniform(0.6, 1.6)
        low = wall * random.uniform(0.4, 1.0)
        guess = random.choice([0.0, random.uniform(0.0, 1.0)])
        y = outward(wall, low, gamma, opening, guess)
        assert max(low, wall * 2 / (gamma + 1)) <= y <= wall
        high, speed = wall * random.uniform(1.0, 1.6), random.uniform(0.4, 2.0)
        x, w = inward(wall, high, gamma, other, speed, opening, guess)
        assert 0 < x <= 1
        assert 0 <= w <= math.sqrt(2 / (other + 1)) + 1e-9


def tone(network: Network, of: str, duration: float) -> tuple[float, float]:
    """Frequency by upward crossings of the pressure of a pipe's first cell or of the first volume; decay."""
    samples = 600
    heard = []
    for number in range(samples):
        network.turn(360 * duration * number / samples, 360 * duration * (number + 1) / samples)
        heard.append(
            network.layout.row(0, rows.PRESSURE)[0] if of == "pipe" else network.volumes[0, columns.PRESSURE]
        )
    wave = np.array(heard) - 1e5
    up = np.nonzero((wave[:-1] < 0) & (wave[1:] >= 0))[0]
    times = (up + 1 - wave[up] / (wave[up + 1] - wave[up])) * duration / samples
    period = int(samples / (duration / np.mean(np.diff(times))))
    return float((len(times) - 1) / (times[-1] - times[0])), float(np.max(np.abs(wave[-period:])))


def test_a_pipe_sounds_as_long_as_it_is() -> None:
    pipe = straight(0.5, 0.04, 40)
    network = join(AIR, [pipe], [(WALL, End(0))], [surroundings(1e5, 300.0)])
    shape = 1 + 1e-3 * np.cos(0.5 * math.pi * (np.arange(40) + 0.5) / 40)
    fill(network.layout, 0, AIR, 1e5 * shape, 300 * shape ** (0.4 / 1.4))
    frequency, left = tone(network, "pipe", 0.1)
    assert frequency == pytest.approx(quarter_wave_frequency(0.5, SOUND), rel=5e-4)
    assert 95 < left < 100  # of 100 Pa, after 17 periods


def test_a_volume_on_a_pipe_sounds_as_a_resonator() -> None:
    """Against the exact tone of a volume on a pipe whose gas moves as waves, and of the handbook's lump."""
    length, area, volume = 0.3, 0.25 * math.pi * 0.03**2, 5e-4
    warm = 300 * 1.001 ** (0.4 / 1.4)
    network = join(
        AIR,
        [straight(length, 0.03, 30)],
        [(End(0), End(1))],
        [Chamber(volume, 1.001e5, warm), surroundings(1e5, 300.0)],
    )
    fill(network.layout, 0, AIR, 1e5, 300.0)
    frequency, left = tone(network, "volume", 0.1)
    wave = brentq(lambda k: k * volume / area * math.tan(k * length) - 1, 1e-3, 0.5 * math.pi / length - 1e-6)
    assert frequency == pytest.approx(wave * SOUND / (2 * math.pi), rel=2e-3)
    lump = helmholtz_frequency(area, length, volume, SOUND)
    assert 0.85 * lump < frequency < lump  # the pipe's own volume counts too
    assert 70 < left < 100  # jets into the volume lose a little; nothing may grow


def test_gas_that_is_lost_is_told_with_volume_and_angle() -> None:
    network = join(
        AIR,
        [straight(0.2, 0.05, 8)],
        [(End(0), End(1))],
        [Chamber(1e-9, 1e5, 300.0), Chamber(1e-3, 5e5, 300.0)],
    )
    fill(network.layout, 0, AIR, 5e5, 300.0)
    with pytest.raises(GasLost) as told:
        network.turn(0.0, 10.0)
    assert told.value.volume == 0
    assert 0 < told.value.angle < 10
    assert str(told.value).startswith(
        "at 0 degrees of the crank the gas of volume 1 beside them has no state any more: "
    )


def test_what_leaves_a_pipe_comes_to_the_volumes_to_the_rounding() -> None:
    pipes = [Pipe((0.0, 0.4), (0.03, 0.05), 20, 0.006, 400.0), straight(0.3, 0.02, 15)]
    volumes = [
        Chamber(1e-3, 3e5, 900.0, burned=1.0, wall_conductance=2.0, wall_temperature=500.0),
        Chamber(2e-3, 1e5, 300.0),
    ]
    network = join(AIR, pipes, [(End(0, 2e-4), End(1)), (End(1), WALL)], volumes)
    for pipe in range(2):
        fill(network.layout, pipe, AIR, 1e5, 300.0)

    def held(row: int, column: int) -> float:
        in_pipes = sum(np.sum(network.layout.row(n, row) * network.layout.volumes(n)) for n in range(2))
        return float(in_pipes + np.sum(network.volumes[:, column]))

    def heat() -> float:
        return held(rows.HEAT, columns.WALL_HEAT)

    mass, energy, burned = (
        held(rows.DENSITY, columns.MASS),
        held(rows.ENERGY, columns.ENERGY),
        held(rows.BURNED, columns.BURNED),
    )
    network.turn(0.0, 360 * 0.02)
    assert held(rows.DENSITY, columns.MASS) == pytest.approx(mass, rel=1e-13)
    assert held(rows.BURNED, columns.BURNED) == pytest.approx(burned, rel=1e-12)
    assert abs(heat()) > 1.0
    assert held(rows.ENERGY, columns.ENERGY) - heat() == pytest.approx(energy, rel=1e-12)
    # Levelled out, with two gases that differ only by name mixed in between.
    assert network.volumes[0, columns.PRESSURE] == pytest.approx(
        network.volumes[1, columns.PRESSURE], rel=0.05
    )
    assert 0.0 < network.volumes[1, columns.BURNED_SHARE] < 1.0
