"""The pipe's scheme beside one of another kind: waves passed on one by one, after R. J. LeVeque.

Finite Volume Methods for Hyperbolic Problems, chapters 6 and 15: Roe's waves, each limited by the one upwind
of it (from memory). This is what research codes turn Sod's tube with.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tappetry.engineering.riemann import riemann_state
from tappetry.simulation.pipes import straight
from tests.simulation.tube import Tube

Array = NDArray[np.float64]

GAMMA, TIME, COURANT = 1.4, 0.2, 0.9
LEFT, RIGHT = (1.0, 0.0, 1.0), (0.125, 0.0, 0.1)


def parted(cells: int) -> tuple[Array, Array]:
    """Middles of the cells; density, velocity and pressure of both sides of Sod's diaphragm."""
    places = (np.arange(cells) + 0.5) / cells
    return places, np.where(places < 0.5, *(np.array(side)[:, np.newaxis] for side in (LEFT, RIGHT)))


def primitive(kept: Array) -> Array:
    velocity = kept[1] / kept[0]
    return np.stack([kept[0], velocity, (GAMMA - 1.0) * (kept[2] - 0.5 * kept[1] * velocity)])


def roe_waves(states: Array) -> tuple[Array, Array]:
    """Three waves of each face, shape (wave, quantity, face), and their speeds."""
    density, velocity, pressure = states
    enthalpy = GAMMA / (GAMMA - 1.0) * pressure / density + 0.5 * velocity**2
    root = np.sqrt(density)
    u, h = (
        (root[:-1] * value[:-1] + root[1:] * value[1:]) / (root[:-1] + root[1:])
        for value in (velocity, enthalpy)
    )
    a = np.sqrt((GAMMA - 1.0) * (h - 0.5 * u * u))
    drop, push = np.diff(pressure), root[:-1] * root[1:] * a * np.diff(velocity)
    back, ahead = (drop - push) / (2.0 * a * a), (drop + push) / (2.0 * a * a)
    rest = np.diff(density) - drop / (a * a)
    one = np.ones_like(u)
    waves = np.stack(
        [
            back * np.stack([one, u - a, h - u * a]),
            rest * np.stack([one, u, 0.5 * u * u]),
            ahead * np.stack([one, u + a, h + u * a]),
        ]
    )
    return waves, np.stack([u - a, u, u + a])


def limited(waves: Array, speeds: Array) -> Array:
    """Each wave after the monotonised central limiter, beside the one that comes before it."""
    size = np.sum(waves * waves, axis=1)
    alike = np.sum(waves[:, :, 1:] * waves[:, :, :-1], axis=1)
    below, above = np.pad(alike, ((0, 0), (1, 0))), np.pad(alike, ((0, 0), (0, 1)))
    share = np.where(speeds > 0.0, below, above) / np.where(size > 0.0, size, 1.0)
    factor = np.maximum(0.0, np.minimum(np.minimum(0.5 * (1.0 + share), 2.0), 2.0 * share))
    return waves * factor[:, np.newaxis]


def by_waves(cells: int) -> Array:
    """Density after Sod's time."""
    _, (density, velocity, pressure) = parted(cells)
    kept = np.stack([density, density * velocity, pressure / (GAMMA - 1.0) + 0.5 * density * velocity**2])
    done = 0.0
    while done < TIME:
        whole = np.pad(kept, ((0, 0), (2, 2)), mode="edge")
        waves, speeds = roe_waves(primitive(whole))
        step = min(COURANT / cells / np.max(np.abs(speeds)), TIME - done)
        h = step * cells
        s = speeds[:, np.newaxis]
        back, ahead = (np.sum(part * waves, axis=0) for part in (np.minimum(s, 0.0), np.maximum(s, 0.0)))
        second = np.sum(0.5 * np.abs(s) * (1.0 - np.abs(s) * h) * limited(waves, speeds), axis=0)
        kept = kept - h * (ahead[:, 1:-2] + back[:, 2:-1] + second[:, 2:-1] - second[:, 1:-2])
        done += step
    return np.asarray(kept[0])


def error(density: Array) -> float:
    places, _ = parted(len(density))
    exact = riemann_state(*LEFT, *RIGHT, GAMMA, TIME, 0.5, places).gas_density
    return float(np.mean(np.abs(density - exact)))


@pytest.mark.parametrize("cells", [200, 400, 800])
def test_sods_density_is_no_worse_than_by_waves_one_by_one(cells: int) -> None:
    tube = Tube(straight(1.0, 1.0, cells))
    _, (density, velocity, pressure) = parted(cells)
    tube.fill(pressure, pressure / density, velocity)
    tube.run(TIME, courant=COURANT)
    theirs = error(by_waves(cells))
    assert 0.9 * theirs < error(tube.density) < theirs


POSITIVE = st.floats(-2.0, 2.0).map(lambda power: 10.0**power)
SIDE = st.tuples(POSITIVE, st.floats(-3.0, 3.0), POSITIVE)


@settings(max_examples=40)
@given(SIDE, SIDE)
def test_whatever_meets_density_and_pressure_stay_above_nothing(
    left: tuple[float, float, float], right: tuple[float, float, float]
) -> None:
    """Ten thousand times the pressure and the density, both up to three times the speed of sound."""
    tube = Tube(straight(1.0, 1.0, 60))
    low = tube.places < 0.5
    density, mach, pressure = (np.where(low, a, b) for a, b in zip(left, right, strict=True))
    sound = np.sqrt(GAMMA * pressure / density)
    tube.fill(pressure, pressure / density, mach * sound)
    tube.run(0.3 / float(np.max(sound * (1.0 + np.abs(mach)))))
    assert np.all(np.isfinite(tube.density))
    assert tube.density.min() > 0.0
    assert tube.pressure.min() > 0.0
