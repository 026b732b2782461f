"""Static clearances: valves to the bore and to each other, gasket over bore, and the squeeze of a ring."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Pure, Radian, Real

_Point = tuple[Real, Real]


def valve_edge_to_bore(bore: Metre, valve_span: Metre) -> Metre:
    r"""Distance from a valve's edge to the cylinder wall on each side.

    .. math:: (d - w) / 2

    At least 1.0 mm and the chamfer (common practice, no source).

    Parameters
    ----------
    bore : float or array_like
        d, overbore included. [m]
    valve_span : float or array_like
        w, across both valve heads, edge to edge, in the middle of the bore. [m]

    Returns
    -------
    float or ndarray
        Negative: the valves hit the wall. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(valve_edge_to_bore(0.096, 0.0948) * 1e3, 2))
    0.6

    References
    ----------
    .. [1] Geometry.
    """
    return (require("bore", bore) - require("valve_span", valve_span)) / 2.0


def pocket_radial_gap(pocket_diameter: Metre, valve_head_diameter: Metre, pocket_offset: Metre) -> Metre:
    r"""Radial gap between a valve's head and the wall of its pocket in the piston.

    .. math:: (d_p - d_v) / 2 - e

    Parameters
    ----------
    pocket_diameter : float or array_like
        d_p, across the pocket, square to the valve. [m]
    valve_head_diameter : float or array_like
        d_v. [m]
    pocket_offset : float or array_like
        e, pocket's centre from the valve's axis where they meet. [m]

    Returns
    -------
    float or ndarray
        On the tight side; negative strikes the wall. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(pocket_radial_gap(56e-3, 52e-3, 0.6e-3) * 1e3, 3))
    1.4

    References
    ----------
    .. [1] Geometry; 0.050 in at least is common practice, no source.
    """
    room = require("pocket_diameter", pocket_diameter) - require("valve_head_diameter", valve_head_diameter)
    return room / 2.0 - require("pocket_offset", pocket_offset)


def valve_to_valve(
    valve_centres: Metre, intake_valve_diameter: Metre, exhaust_valve_diameter: Metre
) -> Metre:
    r"""Gap between the heads of two parallel valves.

    .. math:: g = a - (d_i + d_e) / 2

    Parallel valves keep it at every lift; canted ones do not and have to be checked in overlap.

    Parameters
    ----------
    valve_centres : float or array_like
        a, between the valves' axes. [m]
    intake_valve_diameter, exhaust_valve_diameter : float or array_like
        d_i and d_e, of the heads. [m]

    Returns
    -------
    float or ndarray
        Negative: the heads overlap. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(valve_to_valve(48.3e-3, 52.0e-3, 41.0e-3) * 1e3, 2))
    1.8

    References
    ----------
    .. [1] Geometry.
    """
    heads = require("intake_valve_diameter", intake_valve_diameter) + require(
        "exhaust_valve_diameter", exhaust_valve_diameter
    )
    return require("valve_centres", valve_centres) - heads / 2.0


def canted_valve_gap(
    valve_centres: Metre,
    intake_valve_diameter: Metre,
    exhaust_valve_diameter: Metre,
    intake_valve_lift: Metre,
    exhaust_valve_lift: Metre,
    intake_cant: Radian,
    exhaust_cant: Radian,
) -> Metre:
    r"""Least gap between two valve heads whose axes lie in one plane and lean.

    .. math:: \min |p - q|,\quad p \in \text{intake head},\quad q \in \text{exhaust head}

    The heads are taken as thin discs, seen from the side. At least 1.5 mm in overlap for canted valves
    (common practice, no source).

    Parameters
    ----------
    valve_centres : float or array_like
        Between the middles of the closed heads. [m]
    intake_valve_diameter, exhaust_valve_diameter : float or array_like
        Of the heads. [m]
    intake_valve_lift, exhaust_valve_lift : float or array_like
        At the same moment, each along its own axis. [m]
    intake_cant, exhaust_cant : float or array_like
        From the cylinder's axis; positive where the head comes nearer to the other as it opens. [rad]

    Returns
    -------
    float or ndarray
        0 where the heads touch or cross. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> gap = canted_valve_gap(0.0520, 0.052, 0.041, 0.004, 0.004, 10 * DEGREE, 10 * DEGREE)
    >>> print(round(gap * 1e3, 2))
    4.91

    References
    ----------
    .. [1] Geometry: the distance between two straight lines of the length of the heads.
    """
    apart = require("valve_centres", valve_centres)
    intake = _head(
        0.0,
        1.0,
        require("intake_valve_diameter", intake_valve_diameter) / 2.0,
        require("intake_valve_lift", intake_valve_lift),
        require("intake_cant", intake_cant),
    )
    exhaust = _head(
        apart,
        -1.0,
        require("exhaust_valve_diameter", exhaust_valve_diameter) / 2.0,
        require("exhaust_valve_lift", exhaust_valve_lift),
        require("exhaust_cant", exhaust_cant),
    )
    gaps = [_to_line(end, *exhaust) for end in intake] + [_to_line(end, *intake) for end in exhaust]
    least = gaps[0]
    for gap in gaps[1:]:
        least = np.minimum(least, gap)
    found: Real = np.where(_cross(intake, exhaust), 0.0, least)[()]
    return found


def _head(middle: Real, towards: float, radius: Real, lift: Real, cant: Real) -> tuple[_Point, _Point]:
    """Both edges of a valve's head, across and up; `towards` is the side of the other valve."""
    across, down = middle + towards * lift * np.sin(cant), -lift * np.cos(cant)
    aside, up = towards * radius * np.cos(cant), radius * np.sin(cant)
    return (across + aside, down + up), (across - aside, down - up)


def _to_line(point: _Point, start: _Point, end: _Point) -> Real:
    """Distance of a point from a line between two points."""
    along = end[0] - start[0], end[1] - start[1]
    off = point[0] - start[0], point[1] - start[1]
    share = np.clip((off[0] * along[0] + off[1] * along[1]) / (along[0] ** 2 + along[1] ** 2), 0.0, 1.0)
    distance: Real = np.hypot(off[0] - share * along[0], off[1] - share * along[1])
    return distance


def _cross(one: tuple[_Point, _Point], other: tuple[_Point, _Point]) -> NDArray[np.bool_]:
    """Whether two lines between points cross: the ends of each lie on either side of the other."""

    def side(point: _Point, start: _Point, end: _Point) -> Real:
        return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])

    crossed: NDArray[np.bool_] = np.asarray(
        (side(one[0], *other) * side(one[1], *other) < 0.0)
        & (side(other[0], *one) * side(other[1], *one) < 0.0)
    )
    return crossed


def gasket_over_bore(gasket_bore: Metre, bore: Metre) -> Metre:
    r"""How much larger the head gasket's bore is than the cylinder's.

    .. math:: d_g - d

    From 1 to 4 mm (common practice, no source): a smaller gasket glows, a larger one makes a crevice.

    Parameters
    ----------
    gasket_bore : float or array_like
        d_g. [m]
    bore : float or array_like
        d, overbore included. [m]

    Returns
    -------
    float or ndarray
        On the diameter; negative hangs into the cylinder. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(gasket_over_bore(0.098, 0.099) * 1e3, 2))
    -1.0

    References
    ----------
    .. [1] Geometry.
    """
    return require("gasket_bore", gasket_bore) - require("bore", bore)


def ring_gap(inlet_bore: Metre, groove_diameter: Metre) -> Metre:
    r"""Radial room for an O-ring between a bore and the groove of the part in it.

    .. math:: g = (D - d) / 2

    Parameters
    ----------
    inlet_bore : float or array_like
        D. [m]
    groove_diameter : float or array_like
        d, bottom of the groove. [m]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the groove is not smaller than the bore.

    Examples
    --------
    >>> print(round(ring_gap(20.8e-3, 16.8e-3) * 1e3, 2))
    2.0

    References
    ----------
    .. [1] Geometry.
    """
    room = (require("inlet_bore", inlet_bore) - require("groove_diameter", groove_diameter)) / 2.0
    return require("ring_gap", room)


def ring_squeeze(ring_section: Metre, ring_gap: Metre) -> Pure:
    r"""Share of its section by which an O-ring is pressed together.

    .. math:: (t - g) / t

    From 15 to 25 % for a pickup tube, 15 to 30 % for a seal at rest (ISO 3601-2, from memory).

    Parameters
    ----------
    ring_section : float or array_like
        t, of the free ring. [m]
    ring_gap : float or array_like
        g, radial. [m]

    Returns
    -------
    float or ndarray
        Negative: the ring does not touch. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(ring_squeeze(2.5e-3, 2.0e-3), 3))
    0.2

    References
    ----------
    .. [1] Definition.
    """
    section = require("ring_section", ring_section)
    return (section - require("ring_gap", ring_gap)) / section
