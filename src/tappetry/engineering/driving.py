"""What moves the vehicle and what holds it: the stall on a torque curve, the launch, the load of the road."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.atmosphere import GRAVITY
from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.ranges import (
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Newton,
    NewtonMetre,
    OutOfRange,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    SquareMetre,
    require_between,
)


@dataclass(frozen=True, slots=True)
class Stall:
    """Where an engine stands against the converter whose output is held.

    Attributes
    ----------
    stall_speed : float or ndarray
        [rad/s]
    stall_torque : float or ndarray
        Of the engine, there. [N.m]
    """

    stall_speed: RadianPerSecond
    stall_torque: NewtonMetre


@dataclass(frozen=True, slots=True)
class RoadLoad:
    """What holds a vehicle on a level road at a steady speed.

    Attributes
    ----------
    rolling_force : float or ndarray
        [N]
    drag_force : float or ndarray
        [N]
    road_load : float or ndarray
        Both. [N]
    """

    rolling_force: Newton
    drag_force: Newton
    road_load: Newton


def stall_on_curve(
    curve_speeds: RadianPerSecond,
    curve_torques: NewtonMetre,
    reference_torque: NewtonMetre,
    reference_stall_speed: RadianPerSecond,
) -> Stall:
    r"""Where a torque curve meets the torque that a converter takes with its output held.

    .. math:: T(\omega) = T_0 (\omega / \omega_0)^2

    The trade's capacity factor is K = omega_0 / sqrt(T_0), in rpm and lbf.ft. The curve is straight between
    its points, and the first meeting counts.

    Parameters
    ----------
    curve_speeds : array_like
        Speeds of the curve, rising. [rad/s]
    curve_torques : array_like
        Of the engine at each of them, wide open. [N.m]
    reference_torque : float or array_like
        T_0, at which the converter's stall was stated. [N.m]
    reference_stall_speed : float or array_like
        omega_0. [rad/s]

    Returns
    -------
    Stall
        [rad/s] and [N.m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the speeds do not rise, the lists do not belong together, or the
        curve does not reach the stall.

    Examples
    --------
    >>> found = stall_on_curve([100.0, 200.0, 300.0], [350.0, 420.0, 460.0], 400.0, 190.0)
    >>> print(round(found.stall_speed, 1), round(found.stall_torque, 1))
    193.7 415.6

    References
    ----------
    .. [1] A converter takes torque by the square of its speed.
    """
    speeds = require_list("curve_speeds", curve_speeds)
    torques = require_pairs("curve_torques", curve_torques, "curve_speeds", speeds)
    require_between(
        "number of curve_speeds", len(speeds), Range(2.0, math.inf), source="a curve has a length"
    )
    require_between(
        "step of curve_speeds",
        np.diff(speeds),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
        source="the speeds of a curve rise",
    )
    reference = require("reference_stall_speed", reference_stall_speed)
    capacity = np.asarray(require("reference_torque", reference_torque)) / np.asarray(reference) ** 2
    found = np.array([_meeting(speeds, torques, float(each)) for each in np.ravel(capacity)])
    speed: Real = found.reshape(np.shape(capacity))[()]
    return Stall(stall_speed=speed, stall_torque=capacity * speed**2)


def _meeting(speeds: NDArray[np.float64], torques: NDArray[np.float64], capacity: float) -> float:
    """The first speed at which the curve has no more torque than is taken."""
    left = torques - capacity * speeds**2
    if left[0] < 0.0:
        raise OutOfRange(
            "stall speed",
            None,
            f"within the curve; below its first speed of {speeds[0]:.4g} rad/s already it has less torque "
            "than the converter takes",
            advice="Begin the curve at a lower speed",
        )
    if np.all(left > 0.0):
        raise OutOfRange(
            "stall speed",
            None,
            f"within the curve; at its last speed of {speeds[-1]:.4g} rad/s it still has more torque than "
            "the converter takes",
            advice="Take the curve to a higher speed",
        )
    place = max(int(np.argmax(left <= 0.0)), 1)
    slope = (torques[place] - torques[place - 1]) / (speeds[place] - speeds[place - 1])
    start = torques[place - 1] - slope * speeds[place - 1]
    return float((slope + math.sqrt(slope**2 + 4.0 * capacity * start)) / (2.0 * capacity))


def launch_torque(stall_torque: NewtonMetre, stall_torque_ratio: Pure) -> NewtonMetre:
    r"""Torque behind a converter whose output is held: the most that it ever gives.

    .. math:: T_t = \mu T

    Parameters
    ----------
    stall_torque : float or array_like
        T, of the engine at the stall. [N.m]
    stall_torque_ratio : float or array_like
        mu, of the converter at the stall. [1]

    Returns
    -------
    float or ndarray
        At the input of the gearbox. [N.m]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(launch_torque(400.0, 2.0))
    800.0

    References
    ----------
    .. [1] Definition.
    """
    return require("stall_torque", stall_torque) * require("stall_torque_ratio", stall_torque_ratio)


def road_load(
    vehicle_mass: Kilogram,
    rolling_resistance: Pure,
    drag_area: SquareMetre,
    air_density: KilogramPerCubicMetre,
    road_speed: MetrePerSecond,
) -> RoadLoad:
    r"""What holds a vehicle on a level road, without wind and at a steady speed.

    .. math:: F = m g f + \tfrac{1}{2} \rho v^2 c_d A

    Parameters
    ----------
    vehicle_mass : float or array_like
        m, as it drives. [kg]
    rolling_resistance : float or array_like
        f, rolling force over weight. [1]
    drag_area : float or array_like
        c_d A, drag coefficient times frontal area. [m2]
    air_density : float or array_like
        rho. [kg/m3]
    road_speed : float or array_like
        v. [m/s]

    Returns
    -------
    RoadLoad
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(road_load(1800.0, 0.012, 0.75, 1.2, 30.0).road_load, 1))
    616.8

    References
    ----------
    .. [1] Balance of forces; Gillespie, Fundamentals of Vehicle Dynamics, chapter 4 (from memory).
    """
    rolling = (
        require("vehicle_mass", vehicle_mass) * GRAVITY * require("rolling_resistance", rolling_resistance)
    )
    speed = require("road_speed", road_speed)
    drag = 0.5 * require("air_density", air_density) * require("drag_area", drag_area) * speed**2
    return RoadLoad(rolling_force=rolling, drag_force=drag, road_load=rolling + drag)


def torque_for_road_load(
    road_load: Newton,
    tyre_diameter: Metre,
    final_drive: Pure,
    gear_ratio: Pure,
    driveline_efficiency: Pure,
) -> NewtonMetre:
    r"""Torque of the engine that holds a load of the road, with the converter locked.

    .. math:: T = \frac{F D}{2 \eta i_g i_a}

    Parameters
    ----------
    road_load : float or array_like
        F. [N]
    tyre_diameter : float or array_like
        D. [m]
    final_drive : float or array_like
        i_a. [1]
    gear_ratio : float or array_like
        i_g. [1]
    driveline_efficiency : float or array_like
        eta. [1]

    Returns
    -------
    float or ndarray
        [N.m]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(torque_for_road_load(616.8, 0.70, 3.42, 0.70, 0.90), 1))
    100.2

    References
    ----------
    .. [1] Balance of power.
    """
    ratio = require("final_drive", final_drive) * require("gear_ratio", gear_ratio)
    held = require("road_load", road_load) * require("tyre_diameter", tyre_diameter)
    return held / (2.0 * require("driveline_efficiency", driveline_efficiency) * ratio)
