"""What valves do by crank angle: lift, what their ports pass, and how near the piston comes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.crank import piston_fall
from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.engineering.ranges import Metre, Pure, Radian
from tappetry.simulation.engine import Valve

Array = NDArray[np.float64]

WHOLE = np.radians(np.arange(-360.0, 361.0, 2.0))
"""Crank angles of a cycle, from the dead centre of gas exchange. [rad]"""

OVERLAP = np.radians(np.arange(-30.0, 31.0))
"""Crank angles around overlap. [rad]"""


@dataclass(frozen=True, slots=True)
class ValveByAngle:
    """A valve through a cycle, at rest: as its lobe asks, nothing bends.

    Attributes
    ----------
    angles : ndarray, shape (n,)
        From the dead centre of gas exchange. [rad]
    lifts, areas : ndarray, shape (n,)
        Of the valve, and of the nozzle without loss that passes as much as the bench says. [m], [m2]
    """

    angles: Array
    lifts: Array
    areas: Array


def valve_by_angle(valve: Valve) -> ValveByAngle:
    """Lift and effective area of a valve through a cycle; above the last lift of the bench the last area."""
    away = (WHOLE - valve.nose + 2.0 * math.pi) % (4.0 * math.pi) - 2.0 * math.pi
    inside = np.clip(away, -valve.lobe_half_width, valve.lobe_half_width)
    lobe = lobe_lift_at_angle(inside, valve.lobe_lift, valve.lobe_exponent, valve.lobe_half_width)
    lifts = np.maximum(np.asarray(lobe) * valve.rocker_ratio - valve.taken_up, 0.0)
    return ValveByAngle(WHOLE, lifts, np.interp(lifts, valve.lifts, valve.areas))


@dataclass(frozen=True, slots=True)
class Approach:
    """A valve and its piston around overlap, both along the valve.

    Attributes
    ----------
    angles : ndarray, shape (61,)
        After the dead centre of gas exchange. [rad]
    lifts, rooms : ndarray, shape (61,)
        Of the valve; how far it might lift before it touches the piston. [m]
    """

    angles: Array
    lifts: Array
    rooms: Array

    @property
    def clearances(self) -> Array:
        """What is left between the two; negative is contact. [m]"""
        return self.rooms - self.lifts


def approach_by_angle(
    nose: Radian,
    valve_drop: Metre,
    valve_angle: Radian,
    stroke: Metre,
    rod_length: Metre,
    lobe_lift: Metre,
    lobe_exponent: Pure,
    lobe_half_width: Radian,
    rocker_ratio: Pure,
    hot_lash: Metre = 0.0,
) -> Approach:
    r"""A valve and its piston at each angle of ``OVERLAP``; a proof holds the least clearance to its limit.

    .. math:: C(\theta) = C_0 + s(\theta) \cos\alpha - L(\theta - \theta_n)

    Parameters
    ----------
    nose : float
        theta_n, where the valve lifts most, after the dead centre; negative for an exhaust valve. [rad]
    valve_drop, valve_angle : float
        C_0 along the valve, and alpha, between valve and cylinder axis. [m], [rad]
    stroke, rod_length : float
        [m]
    lobe_lift, lobe_exponent, lobe_half_width : float
        Of the power lobe. [m], [1], [rad]
    rocker_ratio, hot_lash : float
        The second at the valve. [1], [m]

    Returns
    -------
    Approach

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.
    """
    lobe = lobe_lift_at_angle(OVERLAP - nose, lobe_lift, lobe_exponent, lobe_half_width)
    lift = np.maximum(lobe * require("rocker_ratio", rocker_ratio) - require("hot_lash", hot_lash), 0.0)
    fall = piston_fall(OVERLAP, stroke, rod_length) * np.cos(require("valve_angle", valve_angle))
    return Approach(OVERLAP, np.asarray(lift), np.asarray(require("valve_drop", valve_drop) + fall))
