"""Clearances as the bench measures them: clay, checking springs, and the gap between coils."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.piston_to_valve import PistonToValve
from tappetry.engineering.ranges import Metre, OutOfRange, Pure, Radian, Real
from tappetry.engineering.springs import coil_bind_margin


@dataclass(frozen=True, slots=True)
class CoilGap:
    """A spring at full lift.

    Attributes
    ----------
    open_height : float or ndarray
        [m]
    coil_bind_margin : float or ndarray
        [m]
    coil_gap : float or ndarray
        [m]
    """

    open_height: Metre
    coil_bind_margin: Metre
    coil_gap: Metre


def _change(
    checking_gasket: Real, gasket_thickness: Real, valve_angle: Real, checking_lash: Real, hot_lash: Real
) -> Real:
    """What the engine that runs has more of, along the valve, than the one that was checked."""
    thicker = require("gasket_thickness", gasket_thickness) - require("checking_gasket", checking_gasket)
    lash = require("hot_lash", hot_lash) - require("checking_lash", checking_lash)
    return thicker * np.cos(require("valve_angle", valve_angle)) + lash


def clay_clearance(
    clay_thickness: Metre,
    checking_gasket: Metre,
    gasket_thickness: Metre,
    valve_angle: Radian,
    checking_lash: Metre = 0.0,
    hot_lash: Metre = 0.0,
) -> Metre:
    r"""Piston-to-valve clearance from clay that was pressed between them.

    .. math:: C = t + (g - g_c) \cos\alpha + c - c_c

    Parameters
    ----------
    clay_thickness : float or array_like
        t, where it is thinnest, along the valve's axis. [m]
    checking_gasket : float or array_like
        g_c, as thick as it was while the clay was pressed; 0 without one. [m]
    gasket_thickness : float or array_like
        g, of the gasket to be fitted, compressed. [m]
    valve_angle : float or array_like
        alpha, between valve and cylinder axis. [rad]
    checking_lash : float or array_like, optional
        c_c, at the valve in the check. [m]
    hot_lash : float or array_like, optional
        c, at the valve in the engine that runs. [m]

    Returns
    -------
    float or ndarray
        Along the valve. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> import math
    >>> print(round(clay_clearance(2.10e-3, 1.00e-3, 1.30e-3, math.radians(14.0)) * 1e3, 3))
    2.391

    References
    ----------
    .. [1] Chain of lengths: the gasket acts along the bore, the valve leans from it.
    """
    return require("clay_thickness", clay_thickness) + _change(
        checking_gasket, gasket_thickness, valve_angle, checking_lash, hot_lash
    )


def checking_spring_clearance(
    probe_angles: Radian,
    probe_readings: Metre,
    dial_lean: Radian,
    checking_gasket: Metre,
    gasket_thickness: Metre,
    valve_angle: Radian,
    checking_lash: Metre = 0.0,
    hot_lash: Metre = 0.0,
) -> PistonToValve:
    r"""Piston-to-valve clearance from dial readings with light checking springs.

    .. math:: C(\theta) = r(\theta) \cos\lambda + (g - g_c) \cos\alpha + c - c_c

    At each crank angle the valve is pushed by hand from where its lobe holds it on to the piston. The least
    clearance is that of the parabola through the lowest reading and its two neighbours.

    Parameters
    ----------
    probe_angles : array_like
        theta, rising, after top dead centre positive; one dimension. [rad]
    probe_readings : array_like
        r, one for each angle. [m]
    dial_lean : float or array_like
        lambda: a leaning plunger on a flat retainer reads too much. [rad]
    checking_gasket : float or array_like
        g_c, as thick as it was in the check. [m]
    gasket_thickness : float or array_like
        g, of the gasket to be fitted, compressed. [m]
    valve_angle : float or array_like
        alpha, between valve and cylinder axis. [rad]
    checking_lash : float or array_like, optional
        c_c, at the valve in the check. [m]
    hot_lash : float or array_like, optional
        c, at the valve in the engine that runs. [m]

    Returns
    -------
    PistonToValve
        Along the valve [m], and its crank angle [rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the lists differ in length, the angles do not rise, or the lowest
        reading is the first or the last.

    Examples
    --------
    >>> import math
    >>> angles = [math.radians(each) for each in (5, 10, 15)]
    >>> found = checking_spring_clearance(angles, (2.6e-3, 2.2e-3, 2.4e-3), 0.0, 1.3e-3, 1.3e-3, 0.2)
    >>> print(round(found.minimum_clearance * 1e3, 4), round(math.degrees(found.angle_of_minimum), 3))
    2.1917 10.833

    References
    ----------
    .. [1] Chain of lengths; parabola by divided differences.
    """
    angles = require_list("probe_angles", probe_angles)
    readings = require_pairs("probe_readings", probe_readings, "probe_angles", angles)
    if len(angles) < 3 or np.any(np.diff(angles) <= 0.0):
        raise OutOfRange(
            "number of probe_angles that rise",
            1.0 + int(np.sum(np.diff(angles) > 0.0)),
            f"all {len(angles)}, and at least 3",
            advice="Turn the engine in its running direction and note every reading with its angle",
        )
    at = int(readings.argmin())
    if at in (0, len(angles) - 1):
        raise OutOfRange(
            "place of the lowest of probe_readings",
            at + 1.0,
            f"2..{len(angles) - 1}",
            advice="Read on until the clearance grows again on either side",
        )
    (x0, x1, x2), (y0, y1, y2) = angles[at - 1 : at + 2], readings[at - 1 : at + 2]
    slope, bend = (y1 - y0) / (x1 - x0), ((y2 - y1) / (x2 - x1) - (y1 - y0) / (x1 - x0)) / (x2 - x0)
    angle = x1 if bend <= 0.0 else (x0 + x1) / 2.0 - slope / (2.0 * bend)
    lowest = y0 + (angle - x0) * (slope + bend * (angle - x1))
    clearance = lowest * np.cos(require("dial_lean", dial_lean)) + _change(
        checking_gasket, gasket_thickness, valve_angle, checking_lash, hot_lash
    )
    return PistonToValve(
        minimum_clearance=clearance[()], angle_of_minimum=np.broadcast_to(angle, np.shape(clearance))[()]
    )


def coil_gap(
    installed_height: Metre, solid_height: Metre, lift_at_valve: Metre, active_coils: Pure
) -> CoilGap:
    r"""Gap between the coils of a spring at full lift.

    .. math:: h = H - L,\quad m = h - H_s,\quad g = m / n_a

    Parameters
    ----------
    installed_height : float or array_like
        H. [m]
    solid_height : float or array_like
        H_s. [m]
    lift_at_valve : float or array_like
        L. [m]
    active_coils : float or array_like
        n_a: as many gaps share the margin. [1]

    Returns
    -------
    CoilGap
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(coil_gap(45.466e-3, 28.194e-3, 14.453e-3, 4.3).coil_gap * 1e3, 3))
    0.656

    References
    ----------
    .. [1] Chain of lengths, constant pitch; 0.25 mm between coils at least is common practice, no source.
    """
    margin = coil_bind_margin(installed_height, solid_height, lift_at_valve)
    return CoilGap(
        open_height=margin + require("solid_height", solid_height),
        coil_bind_margin=margin,
        coil_gap=margin / require("active_coils", active_coils),
    )
