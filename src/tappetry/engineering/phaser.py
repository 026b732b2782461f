"""Phasing for piston clearance: the retard that the exhaust allows, the retard that the intake needs."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import lobe_velocity_at_angle
from tappetry.engineering.piston_to_valve import (
    OVERLAP,
    PistonToValve,
    exhaust_piston_to_valve,
    intake_piston_to_valve,
)
from tappetry.engineering.ranges import Metre, Pure, Radian, Range, Real, require_between

SAME = 1e-9
"""A step is reached when this share of a step is missing. [1]"""

CLOSE = 1e-10
"""How near to the exact one a retard is found. [rad]"""

MOST_STEPS = 60
"""Halving alone brings any bracket below `CLOSE` in fewer. [1]"""


def _retard_at_clearance(
    minimum_at: Callable[..., PistonToValve],
    required: Real,
    retard_limit: Real,
    centre: Real,
    inputs: tuple[Real, ...],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Spare clearance at home and at the limit, and the retard between them where there is none.

    Newton's steps along the slope at the tightest angle, within a bracket that they narrow: where a step
    would leave it the bracket is halved. ``centre`` is the lobe's centreline at home, after top dead centre.
    """
    required, limit, *rest = np.broadcast_arrays(required, retard_limit, *inputs)
    lobe_lift, lobe_exponent, lobe_half_width, rocker_ratio = rest[5:9]

    def spare(retard: Real) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        tightest = minimum_at(*rest[:-1], retard=retard, pin_offset=rest[-1])
        from_nose = np.asarray(tightest.angle_of_minimum - centre - retard)
        slope = rocker_ratio * lobe_velocity_at_angle(from_nose, lobe_lift, lobe_exponent, lobe_half_width)
        return np.asarray(tightest.minimum_clearance - required), np.asarray(slope)

    low, high = np.zeros(limit.shape), np.array(limit, dtype=np.float64)
    (at_home, slope), (at_limit, _) = spare(low), spare(high)
    missing, retard = at_home, low
    bracketed = (at_home < 0.0) != (at_limit < 0.0)
    for _ in range(MOST_STEPS):
        with np.errstate(divide="ignore", invalid="ignore"):
            ahead = retard - missing / slope
        halfway = (low + high) / 2.0
        following = np.where(bracketed, np.where((ahead > low) & (ahead < high), ahead, halfway), retard)
        done = np.all(np.abs(following - retard) <= CLOSE)
        retard = following
        if done:
            break
        missing, slope = spare(retard)
        as_at_home = (missing < 0.0) == (at_home < 0.0)
        low, high = np.where(as_at_home, retard, low), np.where(as_at_home, high, retard)
    return at_home, at_limit, retard


def safe_retard(
    required_clearance: Metre,
    phaser_range: Radian,
    exhaust_centreline: Radian,
    valve_drop: Metre,
    valve_angle: Radian,
    stroke: Metre,
    rod_length: Metre,
    lobe_lift: Metre,
    lobe_exponent: Pure,
    lobe_half_width: Radian,
    rocker_ratio: Pure,
    hot_lash: Metre = 0.0,
    pin_offset: Metre = 0.0,
) -> Radian:
    r"""Greatest retard at which an exhaust valve keeps its required clearance.

    .. math:: C_{min}(\delta) = C_{required}

    Solved for a retard of any size, with the clearance taken on whole crank degrees. Round it down, never up
    (`floored_retard`), and limit the calibration to the same number as the hardware.

    Parameters
    ----------
    required_clearance : float or array_like
        Least clearance that is allowed. [m]
    phaser_range : float or array_like
        Retard that the hardware allows from home, crank angle. [rad]
    exhaust_centreline : float or array_like
        Before top dead centre, crank angle, at home; at least 40 degrees more than the phaser's range. [rad]
    valve_drop, valve_angle, stroke, rod_length, pin_offset : float or array_like
        As in `exhaust_piston_to_valve`.
    lobe_lift, lobe_exponent, lobe_half_width, rocker_ratio, hot_lash : float or array_like
        As in `exhaust_piston_to_valve`.

    Returns
    -------
    float or ndarray
        From 0 to the whole range; not a number where the clearance is too small even at home. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the lobe comes so late that its nose stands in the overlap.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> retard = safe_retard(
    ...     2.54e-3,
    ...     30 * DEGREE,
    ...     117 * DEGREE,
    ...     7.62e-3,
    ...     14 * DEGREE,
    ...     0.091,
    ...     0.156,
    ...     lobe_lift=8.763e-3,
    ...     lobe_exponent=5.7612,
    ...     lobe_half_width=171.214 * DEGREE,
    ...     rocker_ratio=1.65,
    ... )
    >>> print(round(retard / DEGREE, 2))
    20.99

    References
    ----------
    .. [1] Newton's method within a bracket.
    """
    required = require("required_clearance", required_clearance)
    limit = require("phaser_range", phaser_range)
    _require_nose_outside(
        require("exhaust_centreline", exhaust_centreline) - limit, "exhaust_centreline less phaser_range"
    )
    at_home, at_limit, root = _retard_at_clearance(
        exhaust_piston_to_valve,
        required,
        limit,
        np.negative(exhaust_centreline),
        (
            exhaust_centreline,
            valve_drop,
            valve_angle,
            stroke,
            rod_length,
            lobe_lift,
            lobe_exponent,
            lobe_half_width,
            rocker_ratio,
            hot_lash,
            pin_offset,
        ),
    )
    retard: Real = np.where(at_home < 0.0, math.nan, np.where(at_limit >= 0.0, limit, root))[()]
    return retard


def needed_retard(
    required_clearance: Metre,
    intake_centreline: Radian,
    valve_drop: Metre,
    valve_angle: Radian,
    stroke: Metre,
    rod_length: Metre,
    lobe_lift: Metre,
    lobe_exponent: Pure,
    lobe_half_width: Radian,
    rocker_ratio: Pure,
    hot_lash: Metre = 0.0,
    pin_offset: Metre = 0.0,
) -> Radian:
    r"""Least retard at which an intake valve has its required clearance.

    .. math:: C_{min}(\delta) = C_{required}

    Parameters
    ----------
    required_clearance : float or array_like
        Least clearance that is allowed. [m]
    intake_centreline : float or array_like
        After top dead centre, crank angle, as it stands; at least 40 degrees. [rad]
    valve_drop, valve_angle, stroke, rod_length, pin_offset : float or array_like
        As in `intake_piston_to_valve`.
    lobe_lift, lobe_exponent, lobe_half_width, rocker_ratio, hot_lash : float or array_like
        As in `intake_piston_to_valve`.

    Returns
    -------
    float or ndarray
        0 where the clearance is there already; not a number where even 60 degrees do not give it. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the lobe comes so early that its nose stands in the overlap.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> retard = needed_retard(
    ...     2.032e-3,
    ...     108 * DEGREE,
    ...     5.207e-3,
    ...     14 * DEGREE,
    ...     0.091,
    ...     0.156,
    ...     lobe_lift=9.1948e-3,
    ...     lobe_exponent=5.692,
    ...     lobe_half_width=173.58 * DEGREE,
    ...     rocker_ratio=1.65,
    ... )
    >>> print(round(retard / DEGREE, 1))
    2.5

    References
    ----------
    .. [1] Newton's method within a bracket.
    """
    required = require("required_clearance", required_clearance)
    _require_nose_outside(require("intake_centreline", intake_centreline), "intake_centreline")
    at_home, at_limit, root = _retard_at_clearance(
        intake_piston_to_valve,
        required,
        math.pi / 3.0,
        intake_centreline,
        (
            intake_centreline,
            valve_drop,
            valve_angle,
            stroke,
            rod_length,
            lobe_lift,
            lobe_exponent,
            lobe_half_width,
            rocker_ratio,
            hot_lash,
            pin_offset,
        ),
    )
    retard: Real = np.where(at_home >= 0.0, 0.0, np.where(at_limit < 0.0, math.nan, root))[()]
    return retard


def _require_nose_outside(centreline: Real, name: str) -> None:
    """With the nose outside the grid, clearance falls or rises with retard all the way: one root."""
    require_between(
        name,
        centreline,
        Range(float(OVERLAP[-1]), math.pi),
        "rad",
        source="the nose of the lobe must stand outside the overlap",
        advice="Check that the centreline is a crank angle",
    )


def floored_retard(safe_retard: Radian, retard_step: Radian) -> Radian:
    r"""Greatest whole step of retard that is not above the safe one.

    .. math:: \lfloor \delta / \Delta \rfloor \Delta

    Parameters
    ----------
    safe_retard : float or array_like
        delta, crank angle. [rad]
    retard_step : float or array_like
        Delta, crank angle, as half a degree. [rad]

    Returns
    -------
    float or ndarray
        Crank angle. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the safe retard is not a number.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(floored_retard(20.99 * DEGREE, 0.5 * DEGREE) / DEGREE, 6))
    20.5

    References
    ----------
    .. [1] A safe number is rounded to the safe side.
    """
    step = require("retard_step", retard_step)
    steps: Real = np.floor(require("safe_retard", safe_retard) / step + SAME)
    return steps * step
