"""Static clearances: valves to the bore and to each other, gasket over bore, and the squeeze of a ring."""

from __future__ import annotations

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Pure


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
