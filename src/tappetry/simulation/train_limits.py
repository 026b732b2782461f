"""Up to what engine speed a valve train follows its lobe."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation import train_rows as r
from tappetry.simulation.train import Array, Train
from tappetry.simulation.train_motion import Motion, Steps, move

Happens = Callable[[Motion], NDArray[np.bool_]]
"""Whether something happens at each speed."""


@dataclass(frozen=True, slots=True)
class Onset:
    """Where something begins.

    Attributes
    ----------
    speed : float
        Lowest speed at which it happens; infinite where it does at none that was tried. [rad/s]
    within : float
        It happens at `speed`, and not at a speed lower by this; infinite where it does at the first. [rad/s]
    """

    speed: float
    within: float


def parts(motion: Motion) -> NDArray[np.bool_]:
    """Some joint parts while the train is to follow its lobe."""
    return motion.apart > 0.0


def bounces(height: float) -> Happens:
    """The valve comes up again after landing by more than a height [m], or does not land at all."""
    return lambda motion: (motion.bounce > height) | ~np.isfinite(motion.seating_speed)


def onset(train: Train, motion: Motion, happens: Happens, within: float, steps: Steps | None = None) -> Onset:
    """Where something begins: the first of the speeds of a motion, then between it and the one before.

    Parameters
    ----------
    train : Train
    motion : Motion
        Of that train at rising speeds; what happens only between two of them is not seen.
    happens : callable
        See `Happens`.
    within : float
        How closely it is wanted. [rad/s]
    steps : Steps, optional
        Of the motion.
    """
    found = np.flatnonzero(happens(motion))
    if found.size == 0:
        return Onset(math.inf, math.inf)
    first = int(found[0])
    if first == 0:
        return Onset(float(motion.engine_speed[0]), math.inf)
    low, high = motion.engine_speed[first - 1 : first + 1]
    while high - low > within:
        low, high = _narrower(train, float(low), float(high), happens, steps)
    return Onset(float(high), float(high - low))


def _narrower(
    train: Train, low: float, high: float, happens: Happens, steps: Steps | None
) -> tuple[float, float]:
    """A narrower span: as many speeds at once as are worked on together."""
    inside: Array = np.linspace(low, high, r.LANES + 2)
    first = int(np.flatnonzero(np.append(happens(move(train, inside[1:-1], steps)), True))[0])
    return float(inside[first]), float(inside[first + 1])
