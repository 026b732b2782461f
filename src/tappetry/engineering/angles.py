"""Degrees for grids and steps that the trade counts in degrees; everything else is in radians."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

DEGREE = math.pi / 180.0
"""One degree. [rad]"""


def whole_degrees(first: int, last: int) -> NDArray[np.float64]:
    """Every whole degree from ``first`` to ``last``, both included. [rad]"""
    return np.arange(first, last + 1, dtype=np.float64) * DEGREE
