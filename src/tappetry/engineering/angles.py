"""Degrees for grids and steps that the trade counts in degrees, and angles as they lie on a circle."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import TURN
from tappetry.engineering.ranges import Real

DEGREE = math.pi / 180.0
"""One degree. [rad]"""


def whole_degrees(first: int, last: int) -> NDArray[np.float64]:
    """Every whole degree from ``first`` to ``last``, both included. [rad]"""
    return np.arange(first, last + 1, dtype=np.float64) * DEGREE


SAME = 1e-9
"""Angles that differ by less are the same angle. [rad]"""


def once_round(angle: Real) -> Real:
    """An angle as it stands on a circle, from 0 to below a full turn. [rad]"""
    rest = np.mod(angle, TURN)
    within: Real = rest * (rest < TURN - SAME)
    return within


def either_side(angle: Real) -> Real:
    """An angle as it stands on a circle, from above minus half a turn to half a turn. [rad]"""
    return math.pi - once_round(math.pi - angle)


def middle(first: Real, second: Real) -> Real:
    """The middle of the shorter arc between two angles. [rad]"""
    return once_round(first + either_side(second - first) / 2.0)
