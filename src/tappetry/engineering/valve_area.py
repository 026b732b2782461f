"""Areas through which a valve lets gas pass: curtain, seat and port."""

from __future__ import annotations

import math

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Pure, Radian, Range, Real, SquareMetre, require_between


def curtain_area(valve_head_diameter: Metre, valve_lift_at_angle: Metre) -> SquareMetre:
    r"""Curtain of a valve: the cylinder between the edge of its head and the seat.

    .. math:: A = \pi D L

    Parameters
    ----------
    valve_head_diameter : float or array_like
        D. [m]
    valve_lift_at_angle : float or array_like
        L. [m]

    Returns
    -------
    float or ndarray
        [m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(curtain_area(0.052, 0.0127) * 1e6))
    2075

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 6.14 (from memory).
    """
    return (
        math.pi
        * require("valve_head_diameter", valve_head_diameter)
        * require("valve_lift_at_angle", valve_lift_at_angle)
    )


def port_area(port_diameter: Metre, stem_diameter: Metre) -> SquareMetre:
    r"""Area of a round port less the valve's stem.

    .. math:: A = \pi (D_p^2 - D_s^2) / 4

    Parameters
    ----------
    port_diameter : float or array_like
        D_p. [m]
    stem_diameter : float or array_like
        D_s, below the port's diameter. [m]

    Returns
    -------
    float or ndarray
        [m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the stem fills the port.

    Examples
    --------
    >>> print(round(port_area(0.045, 0.008) * 1e6))
    1540

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 6.9 (from memory).
    """
    port, stem = require("port_diameter", port_diameter), require("stem_diameter", stem_diameter)
    require_between(
        "stem_diameter over port_diameter",
        stem / port,
        Range(0.0, 0.9),
        source="the stem leaves room in the port",
        advice="Check the units of both",
    )
    return math.pi / 4.0 * (port**2 - stem**2)


def curtain_lift(valve_head_diameter: Metre, port_diameter: Metre, stem_diameter: Metre) -> Metre:
    r"""Lift above which the port, and no longer the curtain, is the narrowest.

    .. math:: L = \frac{D_p^2 - D_s^2}{4 D}

    Parameters
    ----------
    valve_head_diameter : float or array_like
        D. [m]
    port_diameter : float or array_like
        D_p. [m]
    stem_diameter : float or array_like
        D_s. [m]

    Returns
    -------
    float or ndarray
        About a quarter of the head's diameter. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the stem fills the port.

    Examples
    --------
    >>> print(round(curtain_lift(0.052, 0.045, 0.008) * 1e3, 2))
    9.43

    References
    ----------
    .. [1] `curtain_area` and `port_area` made equal.
    """
    head = require("valve_head_diameter", valve_head_diameter)
    return port_area(port_diameter, stem_diameter) / (math.pi * head)


def lift_over_diameter(valve_lift_at_angle: Metre, valve_head_diameter: Metre) -> Pure:
    r"""Lift of a valve by its own size, by which flow coefficients are compared.

    .. math:: L / D

    Parameters
    ----------
    valve_lift_at_angle : float or array_like
        L. [m]
    valve_head_diameter : float or array_like
        D. [m]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(lift_over_diameter(0.0127, 0.052), 3))
    0.244

    References
    ----------
    .. [1] Definition.
    """
    lift = require("valve_lift_at_angle", valve_lift_at_angle)
    return lift / require("valve_head_diameter", valve_head_diameter)


def valve_flow_area(
    valve_lift_at_angle: Metre,
    valve_head_diameter: Metre,
    seat_angle: Radian,
    seat_width: Metre,
    port_diameter: Metre,
    stem_diameter: Metre,
) -> SquareMetre:
    r"""Narrowest area between seat, head and stem: three geometries, one after the other as the valve lifts.

    .. math::

        A_1 = \pi L \cos\beta \left(D_v - 2 w + \tfrac{L}{2} \sin 2\beta\right)
            \quad \text{while } L < \frac{w}{\sin\beta \cos\beta}

        A_2 = \pi D_m \sqrt{(L - w \tan\beta)^2 + w^2},\quad D_m = D_v - w

        A_3 = \tfrac{\pi}{4} (D_p^2 - D_s^2),\quad \text{where it is smaller than } A_2

    First the shortest cone from the inner edge of the valve's face to the seat, then the cone from that edge
    to the seat's outer edge, then the port.

    Parameters
    ----------
    valve_lift_at_angle : float or array_like
        L. [m]
    valve_head_diameter : float or array_like
        D_v. [m]
    seat_angle : float or array_like
        beta, from the plane of the head's face: 45 degrees for most. [rad]
    seat_width : float or array_like
        w, in the plane of the head's face: the face's width times the cosine of the seat angle. [m]
    port_diameter : float or array_like
        D_p. [m]
    stem_diameter : float or array_like
        D_s. [m]

    Returns
    -------
    float or ndarray
        [m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the seat is wider than a quarter of the head, or the stem fills the
        port.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> for lift in (0.002, 0.006, 0.014):
    ...     print(round(valve_flow_area(lift, 0.052, 45 * DEGREE, 0.0015, 0.045, 0.008) * 1e6))
    222
    753
    1540

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eqs. 6.7 to 6.9 (from memory; the cones are laid
       out point by point in the tests).
    """
    lift = require("valve_lift_at_angle", valve_lift_at_angle)
    head = require("valve_head_diameter", valve_head_diameter)
    angle, width = require("seat_angle", seat_angle), require("seat_width", seat_width)
    require_between(
        "seat_width over valve_head_diameter",
        width / head,
        Range(0.0, 0.25),
        source="a seat is a narrow ring",
        advice="Check the units of both",
    )
    sine, cosine = np.sin(angle), np.cos(angle)
    narrow = math.pi * lift * cosine * (head - 2.0 * width + lift * sine * cosine)
    across = np.sqrt((lift - width * np.tan(angle)) ** 2 + width**2)
    cone = np.where(lift * sine * cosine < width, narrow, math.pi * (head - width) * across)
    area: Real = np.minimum(cone, port_area(port_diameter, stem_diameter))
    return area
