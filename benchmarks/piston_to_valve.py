"""Piston-to-valve clearance over a phaser's range and a whole cycle, beside the same in plain numpy."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from benchmarks.pairs import Pair, Size, pair
from tappetry.engineering.angles import DEGREE
from tappetry.engineering.crank import piston_fall
from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.engineering.piston_to_valve import intake_piston_to_valve

CENTRE, DROP, TILT = 109 * DEGREE, 5.842e-3, 14 * DEGREE
STROKE, ROD = 0.091, 0.156
LIFT, EXPONENT, HALF_WIDTH, RATIO = 8.763e-3, 5.5, 168 * DEGREE, 1.65
#: A whole cycle in crank degrees, the places of a phaser, and the drops of eight cylinders.
CRANK = np.arange(-360, 360) * DEGREE
PLACES = np.linspace(0, 30, 30) * DEGREE
DROPS = DROP + np.linspace(-0.2e-3, 0.2e-3, 8)


def measure(size: Size) -> Iterator[Pair]:
    for degrees in (0, 36):
        retard = np.arange(degrees + 1) * DEGREE

        def ours(retard: NDArray[np.float64] = retard) -> NDArray[np.float64]:
            found = intake_piston_to_valve(
                CENTRE, DROP, TILT, STROKE, ROD, LIFT, EXPONENT, HALF_WIDTH, RATIO, retard=retard
            )
            return np.asarray(found.minimum_clearance)

        np.testing.assert_allclose(ours(), plain(retard), rtol=0, atol=1e-12)
        yield pair(
            f"retard 0 to {degrees} deg",
            ours,
            "plain numpy",
            lambda retard=retard: plain(retard),
            size.rounds,
            size.calls,
        )
    np.testing.assert_allclose(cycle(), plain_cycle(), rtol=0, atol=1e-12)
    yield pair(
        "720 deg, 30 retards, 8 cylinders",
        cycle,
        "plain numpy",
        plain_cycle,
        size.rounds,
        max(1, size.calls // 10),
    )


def cycle() -> NDArray[np.float64]:
    """The clearance of every cylinder at every place of the phaser and every crank angle, by the handbook."""
    lobe = lobe_lift_at_angle(CRANK - CENTRE - PLACES[:, np.newaxis], LIFT, EXPONENT, HALF_WIDTH)
    room = piston_fall(CRANK, STROKE, ROD) * math.cos(TILT) - lobe * RATIO
    return DROPS[:, np.newaxis, np.newaxis] + room


def plain_cycle() -> NDArray[np.float64]:
    """The same with no range looked at."""
    throw = STROKE / 2
    fall = throw + ROD - throw * np.cos(CRANK) - np.sqrt(ROD**2 - (throw * np.sin(CRANK)) ** 2)
    room = fall * math.cos(TILT) - plain_lobe(CRANK - CENTRE - PLACES[:, np.newaxis]) * LIFT * RATIO
    return np.asarray(DROPS[:, np.newaxis, np.newaxis] + room)


def plain_lobe(angle: NDArray[np.float64]) -> NDArray[np.float64]:
    """The lobe law by Lagrange's rule from the exponents, as a share of the lift."""
    powers = [2 + k * (EXPONENT - 2) for k in range(5)]
    share = np.minimum(np.abs(angle) / HALF_WIDTH, 1.0)
    lobe = np.ones_like(share)
    for power in powers:
        lobe -= math.prod(n / (n - power) for n in powers if n != power) * share**power
    return lobe


def plain(retard: NDArray[np.float64]) -> NDArray[np.float64]:
    """Slider-crank and lobe law, with no range looked at."""
    crank = np.arange(-40, 41) * (math.pi / 180)
    throw = STROKE / 2
    fall = throw + ROD - throw * np.cos(crank) - np.sqrt(ROD**2 - (throw * np.sin(crank)) ** 2)
    lobe = plain_lobe(crank - CENTRE - retard[:, np.newaxis])
    return (DROP + fall * math.cos(TILT) - np.maximum(lobe * LIFT * RATIO, 0.0)).min(axis=-1)
