"""Piston-to-valve clearance around overlap, at home and at any position of a phaser.

Clearance is taken along the valve's axis, on every whole crank degree from 40 before to 40 after top dead
centre: valve drop, plus the piston's fall on that axis, less the valve's lift. It predicts; clay or a dial
measures. A tightest place at either end of the grid may be tighter beyond it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.angles import whole_degrees
from tappetry.engineering.crank import piston_fall
from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.engineering.ranges import Metre, Pure, Radian, Real

OVERLAP = whole_degrees(-40, 40)
"""The crank angles that are looked at. [rad]"""


@dataclass(frozen=True, slots=True)
class PistonToValve:
    """The tightest place between a valve and its piston.

    Attributes
    ----------
    minimum_clearance : float or ndarray
        Along the valve; negative is contact. [m]
    angle_of_minimum : float or ndarray
        After top dead centre, crank angle; the first where two are equal. [rad]
    """

    minimum_clearance: Metre
    angle_of_minimum: Radian


def _over_overlap(
    lobe_centre: Real,
    valve_drop: Real,
    valve_angle: Real,
    stroke: Real,
    rod_length: Real,
    lobe_lift: Real,
    lobe_exponent: Real,
    lobe_half_width: Real,
    rocker_ratio: Real,
    hot_lash: Real,
    pin_offset: Real,
) -> NDArray[np.float64]:
    """Clearance on the grid of crank angles, which becomes the last axis."""

    def grid(value: Real) -> Real:
        return value if isinstance(value, float) else np.asarray(value, dtype=np.float64)[..., np.newaxis]

    fall = piston_fall(OVERLAP, grid(stroke), grid(rod_length), grid(pin_offset))
    lobe = lobe_lift_at_angle(
        OVERLAP - grid(lobe_centre), grid(lobe_lift), grid(lobe_exponent), grid(lobe_half_width)
    )
    ratio = require("rocker_ratio", grid(rocker_ratio))
    lift = np.maximum(lobe * ratio - require("hot_lash", grid(hot_lash)), 0.0)
    tilt = np.cos(require("valve_angle", grid(valve_angle)))
    clearance: NDArray[np.float64] = require("valve_drop", grid(valve_drop)) + fall * tilt - lift
    return clearance


def _tightest(clearance: NDArray[np.float64]) -> PistonToValve:
    at = clearance.argmin(axis=-1)
    return PistonToValve(minimum_clearance=clearance.min(axis=-1), angle_of_minimum=OVERLAP[at])


def intake_piston_to_valve(
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
    retard: Radian = 0.0,
    pin_offset: Metre = 0.0,
) -> PistonToValve:
    r"""Least piston-to-valve clearance of an intake valve around overlap.

    .. math:: \min_\theta \; C_0 + s(\theta) \cos\alpha - L(\theta - ICL - \delta)

    At least 0.080 in (2.0 mm) with steel rods and hydraulic rollers (common practice, no source).

    Parameters
    ----------
    intake_centreline : float or array_like
        ICL, after top dead centre, crank angle, at home. [rad]
    valve_drop : float or array_like
        C_0, from the closed valve to the piston at top dead centre, along the valve. [m]
    valve_angle : float or array_like
        alpha, between valve and cylinder axis. [rad]
    stroke, rod_length : float or array_like
        [m]
    lobe_lift : float or array_like
        Largest lift of the lobe. [m]
    lobe_exponent : float or array_like
        p of the power lobe. [1]
    lobe_half_width : float or array_like
        b of the power lobe, crank angle. [rad]
    rocker_ratio : float or array_like
        [1]
    hot_lash : float or array_like, optional
        At the valve; 0 for hydraulic lifters, which are taken as solid. [m]
    retard : float or array_like, optional
        delta, camshaft later than at home, crank angle; negative is earlier. [rad]
    pin_offset : float or array_like, optional
        Of the piston pin. [m]

    Returns
    -------
    PistonToValve
        Clearance [m] and crank angle [rad]; arrays of the broadcast shape of the inputs.

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> tight = intake_piston_to_valve(
    ...     109 * DEGREE,
    ...     5.207e-3,
    ...     14 * DEGREE,
    ...     0.091,
    ...     0.156,
    ...     lobe_lift=8.763e-3,
    ...     lobe_exponent=5.5053,
    ...     lobe_half_width=167.731 * DEGREE,
    ...     rocker_ratio=1.65,
    ... )
    >>> print(round(tight.minimum_clearance / 0.0254, 3), round(tight.angle_of_minimum / DEGREE))
    0.105 8

    References
    ----------
    .. [1] Geometry, with the exact slider-crank.
    """
    centre = require("intake_centreline", intake_centreline) + require("retard", retard)
    return _tightest(
        _over_overlap(
            centre,
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
        )
    )


def exhaust_piston_to_valve(
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
    retard: Radian = 0.0,
    pin_offset: Metre = 0.0,
) -> PistonToValve:
    r"""Least piston-to-valve clearance of an exhaust valve around overlap.

    .. math:: \min_\theta \; C_0 + s(\theta) \cos\alpha - L(\theta + ECL - \delta)

    A retard moves the exhaust lobe towards top dead centre and takes clearance away. At least 0.100 in
    (2.5 mm) with steel rods and hydraulic rollers (common practice, no source).

    Parameters
    ----------
    exhaust_centreline : float or array_like
        ECL, before top dead centre, crank angle, at home. [rad]
    valve_drop : float or array_like
        C_0, from the closed valve to the piston at top dead centre, along the valve. [m]
    valve_angle : float or array_like
        alpha, between valve and cylinder axis. [rad]
    stroke, rod_length : float or array_like
        [m]
    lobe_lift : float or array_like
        Largest lift of the lobe. [m]
    lobe_exponent : float or array_like
        p of the power lobe. [1]
    lobe_half_width : float or array_like
        b of the power lobe, crank angle. [rad]
    rocker_ratio : float or array_like
        [1]
    hot_lash : float or array_like, optional
        At the valve; 0 for hydraulic lifters, which are taken as solid. [m]
    retard : float or array_like, optional
        delta, camshaft later than at home, crank angle; an array for the positions of a phaser. [rad]
    pin_offset : float or array_like, optional
        Of the piston pin. [m]

    Returns
    -------
    PistonToValve
        Clearance [m] and crank angle [rad]; arrays of the broadcast shape of the inputs.

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> tight = exhaust_piston_to_valve(
    ...     117 * DEGREE,
    ...     7.62e-3,
    ...     14 * DEGREE,
    ...     0.091,
    ...     0.156,
    ...     lobe_lift=8.763e-3,
    ...     lobe_exponent=5.7612,
    ...     lobe_half_width=171.214 * DEGREE,
    ...     rocker_ratio=1.65,
    ...     retard=np.array([0.0, 14.0, 30.0]) * DEGREE,
    ... )
    >>> print(np.round(tight.minimum_clearance / 0.0254, 3))
    [0.22  0.143 0.043]

    References
    ----------
    .. [1] Geometry, with the exact slider-crank.
    """
    centre = require("retard", retard) - require("exhaust_centreline", exhaust_centreline)
    return _tightest(
        _over_overlap(
            centre,
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
        )
    )
