"""Example inputs in SI units for the degree wheel: one intake lobe, read with a dial and a wheel."""

from __future__ import annotations

import math
from typing import Any

_DEGREE = math.pi / 180.0


def _degrees(*values: float) -> tuple[float, ...]:
    return tuple(value * _DEGREE for value in values)


EXAMPLES: dict[str, Any] = {
    "quadrant_reading": 38 * _DEGREE,
    "wheel_reading": 70 * _DEGREE,
    "wheel_error": 2 * _DEGREE,
    "first_stop_reading": 322 * _DEGREE,
    "second_stop_reading": 42 * _DEGREE,
    "readings": _degrees(107.0, 106.5, 107.5, 107.0),
    "lower_opening_reading": 358 * _DEGREE,
    "upper_opening_reading": 34 * _DEGREE,
    "upper_closing_reading": 184 * _DEGREE,
    "lower_closing_reading": 222 * _DEGREE,
    "lobe_lifts": (8.763e-3, 8.755e-3, 8.76e-3, 8.51e-3, 8.77e-3, 8.75e-3, 8.757e-3, 8.761e-3),
    "lift_tolerance": 0.1e-3,
    "rise_fraction": 0.25,
    "flank_angle": 70 * _DEGREE,
    "wanted_centreline": 107 * _DEGREE,
    "keyways": _degrees(0, 2, 4, 6, -2, -4),
    "first_stop_readings": _degrees(322.0, 321.9),
    "second_stop_readings": _degrees(42.0, 42.1),
    "heights": (1.27e-3, 4e-3, 7e-3),
    "opening_readings": _degrees(0.0, 38.1, 74.9),
    "closing_readings": _degrees(222.0, 184.0, 147.1),
    "reading_uncertainty": 0.25 * _DEGREE,
}
