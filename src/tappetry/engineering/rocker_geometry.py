"""A rocker between its pushrod and its valve: the ratio that it really has at each lift."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Pure, Radian, Range, require_between


@dataclass(frozen=True, slots=True)
class RockerMotion:
    """What a rocker makes of a tappet's lift.

    Attributes
    ----------
    moved_valve_lift : float or ndarray
        [m]
    effective_ratio : float or ndarray
        [1]
    mean_ratio : float or ndarray
        [1]
    """

    moved_valve_lift: Metre
    effective_ratio: Pure
    mean_ratio: Pure


def rocker_motion(
    lobe_lift_at_angle: Metre,
    rocker_arm: Metre,
    square_lift: Metre,
    cup_arm: Metre,
    cup_square_lift: Metre,
    pushrod_length: Metre,
    rod_lean: Radian = 0.0,
) -> RockerMotion:
    r"""Lift of the valve and the rocker's ratio at a lift of the tappet, from the rocker's own geometry.

    .. math::

        |C(\varphi) - T(s)| = l,\quad y = a (\sin\psi - \sin\psi_0),\quad \psi - \psi_0 = \varphi - \varphi_0

    In the plane of the rocker, its axis fixed: the cup C on a circle, the pushrod's foot T on the line of the
    tappet. The contact on the valve is taken as a point of the rocker, which a roller tip's axis is.

    Parameters
    ----------
    lobe_lift_at_angle : float or array_like
        s, lift of the tappet. [m]
    rocker_arm : float or array_like
        a, to the valve. [m]
    square_lift : float or array_like
        Lift of the valve at which that arm stands square to it. [m]
    cup_arm : float or array_like
        b, to the pushrod's cup. [m]
    cup_square_lift : float or array_like
        Lift at which that arm stands square to the pushrod, as it stands closed. [m]
    pushrod_length : float or array_like
        l, from foot to cup. [m]
    rod_lean : float or array_like, optional
        Between the tappet's bore and the closed pushrod. [rad]

    Returns
    -------
    RockerMotion
        Lift [m], ratio of speeds and of lifts; the latter is that of speeds where there is no lift. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or an arm is too short for the lift.

    Examples
    --------
    >>> found = rocker_motion(8.763e-3, 39.4e-3, 7.0e-3, 23.9e-3, 4.0e-3, 0.188)
    >>> print(round(found.moved_valve_lift * 1e3, 3), round(found.effective_ratio, 3))
    14.448 1.652

    References
    ----------
    .. [1] Plane geometry of a rocker between two couplings; the circle about the foot meets that of the cup.
    """
    lift = require("lobe_lift_at_angle", lobe_lift_at_angle)
    arm, cup = require("rocker_arm", rocker_arm), require("cup_arm", cup_arm)
    rod, lean = require("pushrod_length", pushrod_length), require("rod_lean", rod_lean)
    start = -np.arcsin(_share("cup_square_lift", require("cup_square_lift", cup_square_lift) / cup))
    valve_start = -np.arcsin(_share("square_lift", require("square_lift", square_lift) / arm))
    # the closed pushrod stands upright, the cup to the left of the rocker's axis
    foot_x = -cup * np.cos(start) + lift * np.sin(lean)
    foot_y = cup * np.sin(start) - rod + lift * np.cos(lean)
    away = np.hypot(foot_x, foot_y)
    reach = _share("reach of the cup", (cup**2 + away**2 - rod**2) / (2.0 * cup * away))
    angle = np.arctan2(foot_x, foot_y) + math.pi - np.arcsin(reach)
    turned = np.mod(angle - start + math.pi, 2.0 * math.pi) - math.pi
    valve_angle = valve_start + turned
    _share("reach of the valve's arm", np.sin(valve_angle))
    rod_x, rod_y = -cup * np.cos(angle) - foot_x, cup * np.sin(angle) - foot_y
    along = rod_x * np.sin(lean) + rod_y * np.cos(lean)
    speed = along / (cup * (rod_x * np.sin(angle) + rod_y * np.cos(angle)))
    moved = arm * (np.sin(valve_angle) - np.sin(valve_start))
    ratio = arm * np.cos(valve_angle) * speed
    mean = np.where(lift > 0.0, moved / np.where(lift > 0.0, lift, 1.0), ratio)
    return RockerMotion(moved_valve_lift=moved[()], effective_ratio=ratio[()], mean_ratio=mean[()])


def _share(name: str, value: Pure) -> Pure:
    return require_between(
        f"{name} over arm",
        value,
        Range(-0.9, 0.9),
        source="an arm pushes while it stands less than some 65 degrees from square",
        advice="Give both arms from the rocker's axis, in the same unit as the lifts",
    )
