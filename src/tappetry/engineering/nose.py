"""The nose of a lobe: how far it reaches, whether it passes the bearings, how sharply it is curved."""

from __future__ import annotations

from tappetry.engineering.glossary import QUANTITIES, require
from tappetry.engineering.lobe import CRANK_PER_CAM
from tappetry.engineering.ranges import Metre, MetrePerSquareRadian, require_between


def nose_envelope(base_circle_diameter: Metre, lobe_lift: Metre) -> Metre:
    r"""Greatest reach of a lobe from the cam's axis.

    .. math:: R = d_b / 2 + L

    Parameters
    ----------
    base_circle_diameter : float or array_like
        d_b. [m]
    lobe_lift : float or array_like
        L, the largest lift. [m]

    Returns
    -------
    float or ndarray
        The envelope's radius; it is not the radius of curvature of the nose. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(nose_envelope(38.6e-3, 8.763e-3), 6))
    0.028063

    References
    ----------
    .. [1] Definition.
    """
    return require("base_circle_diameter", base_circle_diameter) / 2.0 + require("lobe_lift", lobe_lift)


def bearing_passage(journal_diameter: Metre, base_circle_diameter: Metre, lobe_lift: Metre) -> Metre:
    r"""Gap between a lobe's nose and the bearings it has to be slid through.

    .. math:: g = d_j / 2 - (d_b / 2 + L)

    Parameters
    ----------
    journal_diameter : float or array_like
        d_j, the smallest journal on the way. [m]
    base_circle_diameter : float or array_like
        d_b. [m]
    lobe_lift : float or array_like
        L, the largest lift. [m]

    Returns
    -------
    float or ndarray
        Negative: the cam does not go in. At least 0.5 mm is common practice, no source. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(bearing_passage(58.0e-3, 38.6e-3, 8.763e-3), 6))
    0.000937

    References
    ----------
    .. [1] Geometry.
    """
    return require("journal_diameter", journal_diameter) / 2.0 - nose_envelope(
        base_circle_diameter, lobe_lift
    )


def nose_radius_roller(
    base_circle_diameter: Metre,
    lobe_lift: Metre,
    roller_diameter: Metre,
    nose_acceleration: MetrePerSquareRadian,
) -> Metre:
    r"""Radius of curvature of a roller lobe's nose.

    .. math:: \rho = R_p^2 / (R_p - y'') - R_r,\quad R_p = d_b/2 + L + R_r

    Exact at the peak of the lift of a roller that moves on a line through the cam's axis; y'' by cam angle.

    Parameters
    ----------
    base_circle_diameter : float or array_like
        d_b. [m]
    lobe_lift : float or array_like
        L, the largest lift. [m]
    roller_diameter : float or array_like
        2 R_r. [m]
    nose_acceleration : float or array_like
        y'' by crank angle squared, negative; four times as large by cam angle. [m/rad2]

    Returns
    -------
    float or ndarray
        Radius of the lobe's surface, for the contact pressure. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the nose comes out undercut: no such lobe can be ground.

    Examples
    --------
    >>> print(round(nose_radius_roller(38.6e-3, 8.763e-3, 18.0e-3, -5.612e-3), 5))
    0.01408

    References
    ----------
    .. [1] Curvature of the roller centre's path in polar coordinates at its farthest point, less the roller.
    """
    roller_radius = require("roller_diameter", roller_diameter) / 2.0
    pitch_radius = nose_envelope(base_circle_diameter, lobe_lift) + roller_radius
    bend = CRANK_PER_CAM**2 * require("nose_acceleration", nose_acceleration)
    return require_between(
        "nose_radius",
        pitch_radius**2 / (pitch_radius - bend) - roller_radius,
        QUANTITIES["nose_radius"].range,
        "m",
        source="a lobe cannot be ground undercut",
        advice="Check that the nose acceleration is by crank angle, at the lobe and not at the valve",
    )


def nose_radius_flat(
    base_circle_diameter: Metre, lobe_lift: Metre, nose_acceleration: MetrePerSquareRadian
) -> Metre:
    r"""Radius of curvature of a flat-follower lobe's nose.

    .. math:: \rho = d_b/2 + L + y''

    Parameters
    ----------
    base_circle_diameter : float or array_like
        d_b. [m]
    lobe_lift : float or array_like
        L, the largest lift. [m]
    nose_acceleration : float or array_like
        y'' by crank angle squared, negative; four times as large by cam angle. [m/rad2]

    Returns
    -------
    float or ndarray
        Radius of the lobe's surface. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the radius is not positive: the follower would ride on an edge.

    Examples
    --------
    >>> print(round(nose_radius_flat(31.0e-3, 6.655e-3, -4.345e-3), 5))
    0.00478

    References
    ----------
    .. [1] Norton, Cam Design and Manufacturing Handbook, flat-faced follower: rho = R_b + s + s''
       (from memory; re-derived in the tests).
    """
    bend = CRANK_PER_CAM**2 * require("nose_acceleration", nose_acceleration)
    return require_between(
        "nose_radius",
        nose_envelope(base_circle_diameter, lobe_lift) + bend,
        QUANTITIES["nose_radius"].range,
        "m",
        source="a flat follower must not ride on an edge",
        advice="Use a larger base circle, less lift or a longer duration",
    )
