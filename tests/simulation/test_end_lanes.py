"""Ends solved together pass what the careful solver passes; logarithms and powers are the library's."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.simulation import end_lanes, rows
from tappetry.simulation.columns import OPEN, SHUT
from tappetry.simulation.compiled import kernel
from tappetry.simulation.end_kernels import NOTHING, pass_end
from tappetry.simulation.gas import perfect_gas
from tappetry.simulation.lane_math import exp_of, log_of
from tappetry.simulation.pipe_kernels import edges, extrapolate
from tappetry.simulation.pipes import fill, lay, straight

pytestmark = pytest.mark.slow

R, GAMMA, AREA, ENDS = 287.05, 1.4, 0.25 * math.pi * 0.04**2, 120
AIR = perfect_gas(R, GAMMA)


@kernel
def both(x: np.ndarray, log: np.ndarray, back: np.ndarray) -> None:
    for i in range(len(x)):
        log[i] = log_of(x[i])
        back[i] = exp_of(log[i])


def test_logarithms_and_powers_are_those_of_the_library() -> None:
    x = np.concatenate([np.geomspace(1e-30, 1e30, 2001), 1.0 + np.linspace(-1e-3, 1e-3, 201)])
    log, back = np.zeros_like(x), np.zeros_like(x)
    both(x, log, back)
    np.testing.assert_allclose(log, np.log(x), rtol=1e-13, atol=1e-16)
    np.testing.assert_allclose(back, x, rtol=1e-13)


def test_ends_together_pass_what_each_passes_by_itself() -> None:
    """Openings, velocities and pressures of every kind; some begin where they were, some from nothing."""
    random = np.random.default_rng(3)
    room = rows.room_for_ends()
    expected = np.zeros((ENDS, 3))
    for end in range(ENDS):
        velocity, outside = random.uniform(-150, 450), 1e5 * 10 ** random.uniform(-0.8, 0.8)
        share = random.choice([10 ** random.uniform(-3, 0), 1.0])
        behind = random.uniform(250, 1500)
        layout = lay([straight(1.0, 0.04, 5)])
        fill(layout, 0, AIR, 1e5, 300.0, velocity)
        s = layout.buffer
        extrapolate(s, 0, 5)
        edges(s, 7, 0.0)
        enthalpy = GAMMA / (GAMMA - 1) * R * behind
        passing = pass_end(
            s, 0, 5, True, OPEN, share * AREA, outside, GAMMA, R, behind, enthalpy, 0.0, 0.0, 0.0
        )
        expected[end] = [s[row + 6] for row in (rows.MASS_FLOW, rows.THRUST, rows.ENERGY_FLOW)]
        known = {
            end_lanes.DENSITY: s[rows.HIGH_DENSITY + 5],
            end_lanes.VELOCITY: velocity,
            end_lanes.PRESSURE: s[rows.HIGH_PRESSURE + 5],
            end_lanes.GAMMA: GAMMA,
            end_lanes.INVERSE: s[rows.INVERSE + 5],
            end_lanes.OFFSET: s[rows.OFFSET + 5],
            end_lanes.AREA: AREA,
            end_lanes.OPENING: share,
            end_lanes.BEHIND_PRESSURE: outside,
            end_lanes.BEHIND_GAMMA: GAMMA,
            end_lanes.BEHIND_WARMTH: R * behind,
            end_lanes.BEHIND_ENTHALPY: enthalpy,
            end_lanes.PASSING: passing * random.uniform(0.95, 1.05) if end % 2 else 0.0,
        }
        for row, value in known.items():
            room[row + end] = value
    end_lanes.solve(room, ENDS)
    solved = room[end_lanes.CHANGE : end_lanes.CHANGE + ENDS] <= NOTHING
    assert np.mean(solved) > 0.75
    assert np.mean(solved[1::2]) > 0.85
    places = (end_lanes.MASS_FLOW, end_lanes.THRUST, end_lanes.ENERGY_FLOW)
    found = np.array([room[row : row + ENDS] for row in places]).T
    scale = np.max(np.abs(expected), axis=0)
    np.testing.assert_allclose(found[solved] / scale, expected[solved] / scale, atol=1e-7)


def test_walls_together_are_pressed_as_each_is_by_itself() -> None:
    """Gas that runs against a wall, and away from it, up to where next to nothing would be left of it."""
    room = rows.room_for_ends()
    velocities = np.linspace(-2500.0, 600.0, 9)
    expected = []
    for place, velocity in enumerate(velocities):
        layout = lay([straight(1.0, 0.04, 5)])
        fill(layout, 0, AIR, 1e5, 300.0, velocity)
        s = layout.buffer
        extrapolate(s, 0, 5)
        edges(s, 7, 0.0)
        pass_end(s, 0, 5, True, SHUT, 0.0, 1e5, GAMMA, R, 300.0, 1e5, 0.0, 0.0, 0.0)
        assert all(s[row + 6] == 0.0 for row in (rows.MASS_FLOW, rows.ENERGY_FLOW, rows.BURNED_FLOW))
        expected.append(s[rows.THRUST + 6])
        for row, value in (
            (end_lanes.DENSITY, s[rows.HIGH_DENSITY + 5]),
            (end_lanes.VELOCITY, velocity),
            (end_lanes.PRESSURE, s[rows.HIGH_PRESSURE + 5]),
            (end_lanes.GAMMA, GAMMA),
            (end_lanes.INVERSE, s[rows.INVERSE + 5]),
            (end_lanes.AREA, AREA),
        ):
            room[row + place] = value
    end_lanes.press(room, len(velocities))
    thrust = room[end_lanes.THRUST : end_lanes.THRUST + len(velocities)]
    np.testing.assert_allclose(thrust, expected, rtol=1e-12)
    # As a wave without loss brings the gas to rest, which holds to the vacuum that it would leave.
    rest = np.maximum(1.0 + 0.2 * velocities / math.sqrt(GAMMA * R * 300.0), 0.02)
    np.testing.assert_allclose(thrust, 1e5 * AREA * rest**7, rtol=1e-12)
