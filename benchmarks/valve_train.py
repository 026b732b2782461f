"""A valve train at many speeds, beside SciPy's solver with compiled forces, as accurate before it parts."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numba
import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchmarks.pairs import Pair, Size, pair
from tappetry.simulation import train_rows as r
from tappetry.simulation.train import Coils, Joints, Plunger, Train, at_rest, longest_step, power_lobe
from tappetry.simulation.train_motion import TURN, Steps, cycles_of, move

Array = NDArray[np.float64]

RPM = math.pi / 30.0
SPEEDS = np.arange(1000.0, 8001.0, 50.0) * RPM
SOME = np.array([2000.0, 4000.0, 6000.0]) * RPM
"""Below where the train parts: of these the reference is made as accurate as ours. [rad/s]"""

TOLERANCES = (1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 3e-7)


def train() -> Train:
    """An invented train with a hydraulic roller lifter."""
    return Train(
        lobe=power_lobe(8.763e-3, 5.5053, math.radians(167.731)),
        rocker_ratio=1.65,
        lifter_mass=0.112,
        pushrod_mass=0.052,
        rocker_mass=0.042,
        valve_mass=0.133,
        coils=Coils(533.8, 65148.0, 0.092, 490.0, 17.5e-3, 0.02, 10.0),
        joints=Joints(60e6, 20e6, 12e6, 50e6, 0.06, 0.1, 5e-6),
        plunger=Plunger(30.0, 4e-7, 1e-3),
    )


@numba.njit(error_model="numpy")
def pressed(squeezed: float, closing: float, stiffness: float, damping: float, film: float) -> float:
    if squeezed <= 0.0:
        return 0.0
    return max(stiffness * squeezed + damping * closing * min(squeezed / film, 1.0), 0.0)


@numba.njit(error_model="numpy")
def forces(x: Array, v: Array, column: float, y: float, dy: float, p: Array) -> Array:
    """Of cam, pushrod, valve tip and seat, then of the pieces of spring from the head up. [N]"""
    i, film = p[r.RATIO], p[r.FILM]
    found = np.empty(4 + r.SEGMENTS)
    valve, rocker, lifter = r.VALVE, r.ROCKER, r.LIFTER
    found[0] = pressed(y - x[lifter], dy - v[lifter], p[r.CAM_STIFFNESS], p[r.CAM_DAMPING], film)
    found[1] = pressed(
        x[lifter] + column - x[rocker] / i,
        v[lifter] - v[rocker] / i,
        p[r.ROD_STIFFNESS],
        p[r.ROD_DAMPING],
        film,
    )
    found[2] = pressed(
        x[rocker] - p[r.LASH] - x[valve], v[rocker] - v[valve], p[r.TIP_STIFFNESS], p[r.TIP_DAMPING], film
    )
    found[3] = pressed(-x[valve], -v[valve], p[r.SEAT_STIFFNESS], p[r.SEAT_DAMPING], film)
    for piece in range(r.SEGMENTS):
        low, high = r.HEAD + piece, r.HEAD + piece + 1
        squeezed = x[high] - x[low]
        force = p[r.SEAT_LOAD] + p[r.COIL_STIFFNESS] * squeezed + p[r.COIL_DAMPING] * (v[high] - v[low])
        force += p[r.CLASH_STIFFNESS] * max(squeezed - p[r.COIL_TRAVEL], 0.0)
        if piece in (0, r.SEGMENTS - 1):
            force = max(force, 0.0)
        found[4 + piece] = force
    return found


@numba.njit(error_model="numpy")
def change(time: float, state: Array, speed: float, p: Array, lift: Array, slope: Array) -> Array:
    """Right-hand side: of places, speeds and the plunger; the lobe by cubics through a table."""
    n = r.BODIES
    x, v = state[:n], state[n : 2 * n]
    turned = (time * speed / (4.0 * math.pi)) % 1.0 * (len(lift) - 1)
    k = min(int(turned), len(lift) - 2)
    h = 4.0 * math.pi / (len(lift) - 1)
    t = turned - k
    y0, y1, d0, d1 = lift[k], lift[k + 1], h * slope[k], h * slope[k + 1]
    a, b = 2.0 * (y0 - y1) + d0 + d1, 3.0 * (y1 - y0) - 2.0 * d0 - d1
    y, dy = ((a * t + b) * t + d0) * t + y0, ((3.0 * a * t + 2.0 * b) * t + d0) / h * speed
    f = forces(x, v, state[2 * n], y, dy, p)
    found = np.zeros(2 * n + 1)
    found[:n] = v
    found[n + r.LIFTER] = (f[0] - f[1] - p[r.LIFTER_WEIGHT]) / p[r.LIFTER_MASS]
    found[n + r.ROCKER] = (f[1] / p[r.RATIO] - f[2] - p[r.ROCKER_WEIGHT]) / p[r.ROCKER_MASS]
    for coil in range(r.MASSES):
        found[n + r.COILS + coil] = (f[5 + coil] - f[4 + coil]) / p[r.COIL_MASS]
    found[n + r.VALVE] = (f[2] - f[3 + r.SEGMENTS] + f[3]) / p[r.VALVE_MASS]
    loaded = f[1] - p[r.PLUNGER_LOAD]
    found[2 * n] = -loaded * (p[r.LEAK] if loaded > 0.0 else p[r.REFILL])
    return found


def solved(moved: Train, speed: float, cycles: int, tolerance: float, method: str = "RK45") -> Array:
    """The state by degrees in the last of some turns of the cam.

    Returns
    -------
    ndarray, shape (2 BODIES + 1, 720)
        Places, speeds, and how far the plunger is out. [m], [m/s], [m]
    """
    lift, slope = by_tenths(moved)
    p = moved.parameters()
    places, column = at_rest(moved, p)
    turn = TURN / speed
    scale = np.concatenate([np.full(r.BODIES, 1e-3), np.full(r.BODIES, 1.0), [1e-3]])
    found: Array = solve_ivp(
        change,
        (0.0, cycles * turn),
        np.concatenate([places, np.zeros(r.BODIES), [column]]),
        method=method,
        t_eval=(cycles - 1 + np.arange(1, 721) / 720.0) * turn,
        rtol=tolerance,
        atol=scale * tolerance,
        args=(speed, p, lift, slope),
    ).y
    return found


def by_tenths(moved: Train) -> tuple[Array, Array]:
    """Lobe and slope by tenths of a degree, through which the reference lays its cubics."""
    return moved.lobe((np.arange(7201) / 7200.0 - 0.5) * TURN)


def least_force(moved: Train, speed: float, states: Array) -> Array:
    """The least of the joints' forces at each degree of a solved cycle. [N]"""
    p, (lift, slope) = moved.parameters(), by_tenths(moved)
    found = np.empty(720)
    for degree in range(720):
        x, v, out = np.split(states[:, degree], [r.BODIES, 2 * r.BODIES])
        place = 10 * (degree + 1)
        found[degree] = np.min(forces(x, v, float(out[0]), lift[place], slope[place] * speed, p)[:3])
    return found


def cycles_made(moved: Train, steps: int) -> int:
    """Turns of the cam that `move` makes where a cycle has so many steps."""
    return cycles_of(steps, Steps().share * longest_step(moved.parameters()), Steps().settling)


def measure(size: Size) -> Iterator[Pair]:
    moved = train()
    full = size.rounds > 1
    speeds, some = (SPEEDS, SOME) if full else (SOME[2:], SOME[2:])
    checked = move(moved, some)
    tolerances, errors = [], []
    for speed, steps, lift in zip(some, checked.steps, checked.valve_lift, strict=True):
        count = cycles_made(moved, int(steps))
        exact = solved(moved, speed, count, 1e-9, "DOP853")[r.VALVE]
        errors.append(float(np.max(np.abs(lift - exact))))
        for tolerance in TOLERANCES:
            tolerances.append(tolerance)
            if np.max(np.abs(solved(moved, speed, count, tolerance)[r.VALVE] - exact)) <= errors[-1]:
                break
            tolerances.pop()
        else:
            raise AssertionError(f"the reference is nowhere as accurate as {errors[-1]} m")
    assert max(errors) < 2e-5
    each = [
        (speed, cycles_made(moved, int(steps)), tolerances[int(np.argmin(np.abs(some - speed)))])
        for speed, steps in zip(speeds, move(moved, speeds).steps, strict=True)
    ]
    said = ", ".join(f"{1e6 * error:.2f} um" for error in errors)
    yield pair(
        f"{speeds.size} speeds",
        lambda: move(moved, speeds),
        "solve_ivp, compiled forces",
        lambda: [solved(moved, *one) for one in each],
        2 if full else 1,
        note=f"lift within {said} of the exact one; tolerances of the reference {tolerances}",
    )
