"""Overlap as an area, the events of a valve behind rocker and lash, and a phaser's range."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import CRANK_PER_CAM, lobe_lift_at_angle
from tappetry.engineering.lobe_fit import duration_at_height
from tappetry.engineering.ranges import Metre, MetreRadian, Pure, Radian, Range, Real, require_between
from tappetry.engineering.timing import valve_events

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(24)
_HALVINGS = 60
_NO_LIFT = 1e-60  # a height at which the whole width of a lobe is counted [m]


@dataclass(frozen=True, slots=True)
class OverlapArea:
    """Lift over the crank angle in which both valves are open.

    Attributes
    ----------
    overlap : float or ndarray
        [rad]
    overlap_area : float or ndarray
        [m.rad]
    intake_overlap_area : float or ndarray
        [m.rad]
    exhaust_overlap_area : float or ndarray
        [m.rad]
    """

    overlap: Radian
    overlap_area: MetreRadian
    intake_overlap_area: MetreRadian
    exhaust_overlap_area: MetreRadian


@dataclass(frozen=True, slots=True)
class ValveDuration:
    """Duration of a valve behind its rocker and lash.

    Attributes
    ----------
    height_at_lobe : float or ndarray
        [m]
    duration : float or ndarray
        [rad]
    lash_loss : float or ndarray
        [rad]
    """

    height_at_lobe: Metre
    duration: Radian
    lash_loss: Radian


@dataclass(frozen=True, slots=True)
class PhaserTiming:
    """A phaser's range on the crank, and the events at its latest.

    Attributes
    ----------
    phaser_range : float or ndarray
        [rad]
    intake_opens : float or ndarray
        [rad]
    intake_closes : float or ndarray
        [rad]
    exhaust_opens : float or ndarray
        [rad]
    exhaust_closes : float or ndarray
        [rad]
    """

    phaser_range: Radian
    intake_opens: Radian
    intake_closes: Radian
    exhaust_opens: Radian
    exhaust_closes: Radian


def overlap_area(
    intake_centreline: Radian,
    exhaust_centreline: Radian,
    intake_lobe_lift: Metre,
    intake_lobe_exponent: Pure,
    intake_lobe_half_width: Radian,
    exhaust_lobe_lift: Metre,
    exhaust_lobe_exponent: Pure,
    exhaust_lobe_half_width: Radian,
    rocker_ratio: Pure,
    hot_lash: Metre = 0.0,
) -> OverlapArea:
    r"""Overlap from seat to seat, as an angle and as areas of lift over angle.

    .. math:: \int_{IVO}^{EVC} \min(y_i, y_e)\, d\theta,\quad \int y_i\, d\theta,\quad \int y_e\, d\theta

    Parameters
    ----------
    intake_centreline, exhaust_centreline : float or array_like
        After and before top dead centre, crank angle. [rad]
    intake_lobe_lift, exhaust_lobe_lift : float or array_like
        [m]
    intake_lobe_exponent, exhaust_lobe_exponent : float or array_like
        Of the power lobes. [1]
    intake_lobe_half_width, exhaust_lobe_half_width : float or array_like
        Of the power lobes, crank angle. [rad]
    rocker_ratio : float or array_like
        Of both valves. [1]
    hot_lash : float or array_like, optional
        At both valves. [m]

    Returns
    -------
    OverlapArea
        Angle, negative where the one shuts first [rad]; areas, at the valves [m.rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the lash takes the whole lift, or a nose stands in the overlap.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> lobe = (8.763e-3, 5.5053, 167.731 * DEGREE)
    >>> found = overlap_area(109 * DEGREE, 117 * DEGREE, *lobe, *lobe, 1.65)
    >>> print(round(found.overlap / DEGREE, 1), round(found.overlap_area * 1e3 / DEGREE, 1))
    109.5 39.7

    References
    ----------
    .. [1] Definition; Gauss-Legendre on either side of where both valves are open alike.
    """
    ratio, lash = require("rocker_ratio", rocker_ratio), require("hot_lash", hot_lash)
    at_lobe = np.maximum(lash / ratio, _NO_LIFT)
    spans = []
    for side, lift, exponent, width in (
        ("intake", intake_lobe_lift, intake_lobe_exponent, intake_lobe_half_width),
        ("exhaust", exhaust_lobe_lift, exhaust_lobe_exponent, exhaust_lobe_half_width),
    ):
        lift = require(f"{side}_lobe_lift", lift)
        exponent = require(f"{side}_lobe_exponent", exponent)
        width = require(f"{side}_lobe_half_width", width)
        spans.append(duration_at_height(at_lobe, lift, exponent, width) / 2.0)
    after = require("intake_centreline", intake_centreline)
    before = require("exhaust_centreline", exhaust_centreline)
    opens, closes = after - spans[0], spans[1] - before
    for name, spare in (("exhaust_closes", after - closes), ("intake_opens", before + opens)):
        require_between(
            f"nose of the other lobe less {name}",
            spare,
            Range(0.0, math.inf),
            "rad",
            source="the noses stand outside the overlap",
            advice="Check that the centrelines are crank angles",
        )

    def intake(angle: Real) -> NDArray[np.float64]:
        lobe = lobe_lift_at_angle(
            angle - after, intake_lobe_lift, intake_lobe_exponent, intake_lobe_half_width
        )
        return np.maximum(ratio * lobe - lash, 0.0)

    def exhaust(angle: Real) -> NDArray[np.float64]:
        lobe = lobe_lift_at_angle(
            angle + before, exhaust_lobe_lift, exhaust_lobe_exponent, exhaust_lobe_half_width
        )
        return np.maximum(ratio * lobe - lash, 0.0)

    end = np.maximum(opens, closes)
    low, high = opens, end
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        less = intake(middle) < exhaust(middle)
        low, high = np.where(less, middle, low), np.where(less, high, middle)
    parts = (opens, low), (low, end)
    first, second = ([_integral(valve, *part) for part in parts] for valve in (intake, exhaust))
    shape = np.shape(first[0] + second[1])
    return OverlapArea(
        overlap=np.broadcast_to(closes - opens, shape)[()],
        overlap_area=(first[0] + second[1])[()],
        intake_overlap_area=(first[0] + first[1])[()],
        exhaust_overlap_area=(second[0] + second[1])[()],
    )


def _integral(curve: Callable[[Real], NDArray[np.float64]], start: Real, end: Real) -> NDArray[np.float64]:
    middle, half = (start + end) / 2.0, (end - start) / 2.0
    total = np.zeros(())
    for point, weight in zip(_POINTS, _WEIGHTS, strict=True):
        total = total + weight * curve(middle + half * point)
    return np.asarray(half * total)


def valve_duration(
    valve_checking_height: Metre,
    rocker_ratio: Pure,
    lobe_lift: Metre,
    lobe_exponent: Pure,
    lobe_half_width: Radian,
    hot_lash: Metre = 0.0,
) -> ValveDuration:
    r"""Duration of a valve above a height of its own, behind rocker and lash.

    .. math:: h_l = (h_v + c) / i,\quad D = 2 b\, x(h_l)

    Parameters
    ----------
    valve_checking_height : float or array_like
        h_v, at the valve. [m]
    rocker_ratio : float or array_like
        i. [1]
    lobe_lift : float or array_like
        [m]
    lobe_exponent : float or array_like
        p of the power lobe. [1]
    lobe_half_width : float or array_like
        b of the power lobe, crank angle. [rad]
    hot_lash : float or array_like, optional
        c, at the valve. [m]

    Returns
    -------
    ValveDuration
        Height at the lobe [m], duration and what the lash takes of it, half at either end [rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the valve does not come up to the height.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = valve_duration(1.27e-3, 1.65, 8.763e-3, 5.5053, 167.731 * DEGREE, hot_lash=0.4e-3)
    >>> print(round(found.duration / DEGREE, 1), round(found.lash_loss / DEGREE, 1))
    225.9 8.5

    References
    ----------
    .. [1] Lever arms, and the lobe's own law.
    """
    ratio = require("rocker_ratio", rocker_ratio)
    height = require("valve_checking_height", valve_checking_height)
    at_lobe = (height + require("hot_lash", hot_lash)) / ratio
    duration = duration_at_height(at_lobe, lobe_lift, lobe_exponent, lobe_half_width)
    tight = duration_at_height(height / ratio, lobe_lift, lobe_exponent, lobe_half_width)
    return ValveDuration(height_at_lobe=at_lobe, duration=duration, lash_loss=tight - duration)


def phaser_timing(
    phaser_cam_travel: Radian,
    intake_duration: Radian,
    exhaust_duration: Radian,
    intake_centreline: Radian,
    exhaust_centreline: Radian,
) -> PhaserTiming:
    r"""Range of a phaser in degrees of the crank, and the events where it stands latest.

    .. math:: \delta = 2 \delta_{cam},\quad ICL + \delta,\quad ECL - \delta

    Parameters
    ----------
    phaser_cam_travel : float or array_like
        From home to its latest, cam angle. [rad]
    intake_duration, exhaust_duration : float or array_like
        At one checking height, crank angle. [rad]
    intake_centreline, exhaust_centreline : float or array_like
        At home, after and before top dead centre; both lobes move with the camshaft. [rad]

    Returns
    -------
    PhaserTiming
        Crank angle. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the range moves a centreline across a dead centre.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = phaser_timing(15 * DEGREE, 218 * DEGREE, 226 * DEGREE, 109 * DEGREE, 117 * DEGREE)
    >>> print(round(found.phaser_range / DEGREE), round(found.intake_closes / DEGREE))
    30 68

    References
    ----------
    .. [1] The crank turns twice while the cam turns once.
    """
    crank = CRANK_PER_CAM * require("phaser_cam_travel", phaser_cam_travel)
    later = require("intake_centreline", intake_centreline) + crank
    earlier = require("exhaust_centreline", exhaust_centreline) - crank
    events = valve_events(intake_duration, exhaust_duration, later, earlier)
    return PhaserTiming(
        phaser_range=crank,
        intake_opens=events.intake_opens,
        intake_closes=events.intake_closes,
        exhaust_opens=events.exhaust_opens,
        exhaust_closes=events.exhaust_closes,
    )
