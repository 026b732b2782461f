"""A valve train as masses, stiffnesses and damping between a lobe and a valve seat."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.lobe import lobe_lift_at_angle, lobe_velocity_at_angle
from tappetry.simulation import train_rows as r

Array = NDArray[np.float64]

Lobe = Callable[[Array], tuple[Array, Array]]
"""Lift of a lobe and its derivative, for crank angles from its nose within a turn. [m], [m/rad]"""

GRAVITY = 9.80665
"""[m/s2]"""


def power_lobe(lobe_lift: float, lobe_exponent: float, lobe_half_width: float) -> Lobe:
    """The lobe of the handbook's power law; see `lobe_lift_at_angle` for units, ranges and errors."""

    def motion(angle: Array) -> tuple[Array, Array]:
        asked = angle, lobe_lift, lobe_exponent, lobe_half_width
        return np.asarray(lobe_lift_at_angle(*asked)), np.asarray(lobe_velocity_at_angle(*asked))

    return motion


@dataclass(frozen=True, slots=True)
class Coils:
    """A spring as it is installed.

    Attributes
    ----------
    seat_load, rate : float
        [N], [N/m]
    mass : float
        Of the whole spring. [kg]
    surge_frequency : float
        Lowest natural frequency, both ends held; it says how much of the mass is active. [Hz]
    travel : float
        From installed to solid. [m]
    damping_ratio : float
        Of its lowest natural frequency. [1]
    clash_factor : float
        By how much touching coils are stiffer than the spring. [1]
    """

    seat_load: float
    rate: float
    mass: float
    surge_frequency: float
    travel: float
    damping_ratio: float
    clash_factor: float

    @property
    def active_mass(self) -> float:
        """Mass that swings at the surge frequency: f = sqrt(k/m)/2. [kg]"""
        return self.rate / (2.0 * self.surge_frequency) ** 2


@dataclass(frozen=True, slots=True)
class Plunger:
    """The plunger of a hydraulic lifter above its column of oil.

    Attributes
    ----------
    load : float
        Of its own spring and the oil's pressure; it takes up the lash. [N]
    leak : float
        Speed at which it sinks for each newton above that. [m/s.N]
    refill : float
        Speed at which it rises for each newton that is missing: what the check valve lets in. [m/s.N]
    """

    load: float
    leak: float
    refill: float


@dataclass(frozen=True, slots=True)
class Joints:
    """Stiffness of what lies between two bodies. A joint pushes, and never pulls.

    Attributes
    ----------
    cam : float
        Lobe and follower, with what the camshaft gives. [N/m]
    rod : float
        Pushrod, with the column of oil where there is one. [N/m]
    tip : float
        Rocker with its stand, as the valve feels it. [N/m]
    seat : float
        Valve and seat. [N/m]
    damping_ratio : float
        Of the lowest natural frequency of the train on its lobe. [1]
    seat_damping_ratio : float
        Of the valve on its seat. [1]
    film : float
        Compression at which a joint damps fully. [m]
    """

    cam: float
    rod: float
    tip: float
    seat: float
    damping_ratio: float
    seat_damping_ratio: float
    film: float


@dataclass(frozen=True, slots=True)
class Train:
    """Everything that moves between one lobe and one valve.

    Attributes
    ----------
    lobe : callable
        See `Lobe`.
    rocker_ratio : float
        [1]
    lifter_mass, pushrod_mass : float
        [kg]
    rocker_mass : float
        As the valve feels it: moment of inertia over the arm squared. [kg]
    valve_mass : float
        With retainer and locks. [kg]
    coils : Coils
    joints : Joints
    lash : float
        At the valve; none for hydraulic lifters. [m]
    plunger : Plunger, optional
        Of a hydraulic lifter.
    """

    lobe: Lobe
    rocker_ratio: float
    lifter_mass: float
    pushrod_mass: float
    rocker_mass: float
    valve_mass: float
    coils: Coils
    joints: Joints
    lash: float = 0.0
    plunger: Plunger | None = None

    def parameters(self) -> Array:
        """All of it in the order of `train_rows`.

        Half of the pushrod goes with each of its ends. The mass of the spring that is not active lies at its
        ends, half at each; the masses of the rest swing, together, at exactly the stated frequency.
        """
        p = np.zeros(r.PARAMETERS)
        i, coils, joints, half_rod = self.rocker_ratio, self.coils, self.joints, 0.5 * self.pushrod_mass
        surge = 2.0 * math.pi * coils.surge_frequency
        active = coils.active_mass
        p[r.RATIO] = i
        p[r.COIL_STIFFNESS] = coils.rate * r.SEGMENTS
        p[r.COIL_MASS] = p[r.COIL_STIFFNESS] * (2.0 * math.sin(0.5 * math.pi / r.SEGMENTS) / surge) ** 2
        p[r.LIFTER_MASS] = self.lifter_mass + half_rod
        p[r.ROCKER_MASS] = self.rocker_mass + half_rod / i**2
        p[r.VALVE_MASS] = self.valve_mass + 0.5 * (max(coils.mass - active, 0.0) + p[r.COIL_MASS])
        p[r.CAM_STIFFNESS : r.SEAT_STIFFNESS + 1] = joints.cam, joints.rod, joints.tip, joints.seat
        p[r.CLASH_STIFFNESS] = p[r.COIL_STIFFNESS] * coils.clash_factor
        p[r.COIL_TRAVEL] = coils.travel / r.SEGMENTS
        p[r.COIL_DAMPING] = 2.0 * coils.damping_ratio / surge * p[r.COIL_STIFFNESS]
        slow = 2.0 * joints.damping_ratio / lowest_frequency(p)
        p[r.CAM_DAMPING : r.TIP_DAMPING + 1] = slow * p[r.CAM_STIFFNESS : r.TIP_STIFFNESS + 1]
        p[r.SEAT_DAMPING] = 2.0 * joints.seat_damping_ratio * math.sqrt(joints.seat * p[r.VALVE_MASS])
        p[r.FILM], p[r.SEAT_LOAD], p[r.LASH] = joints.film, coils.seat_load, self.lash
        p[r.LIFTER_WEIGHT] = GRAVITY * p[r.LIFTER_MASS]
        p[r.ROCKER_WEIGHT] = GRAVITY * half_rod / i
        if self.plunger is not None:
            p[r.PLUNGER_LOAD] = self.plunger.load
            p[r.LEAK], p[r.REFILL] = self.plunger.leak, self.plunger.refill
        return p


def lowest_frequency(p: Array) -> float:
    """Lowest natural frequency of a train on its lobe, the valve open, a third of the spring going with it.

    Parameters
    ----------
    p : ndarray, shape (PARAMETERS,)
        Masses and stiffnesses are read.

    Returns
    -------
    float
        [rad/s]
    """
    i, cam, rod, tip = p[r.RATIO], p[r.CAM_STIFFNESS], p[r.ROD_STIFFNESS], p[r.TIP_STIFFNESS]
    rate = p[r.COIL_STIFFNESS] / r.SEGMENTS
    valve = p[r.VALVE_MASS] + p[r.COIL_MASS] * r.SEGMENTS / 3.0 - 0.5 * p[r.COIL_MASS]
    stiffness = np.array(
        [[cam + rod, -rod / i, 0.0], [-rod / i, rod / i**2 + tip, -tip], [0.0, -tip, tip + rate]]
    )
    root = 1.0 / np.sqrt(np.array([p[r.LIFTER_MASS], p[r.ROCKER_MASS], valve]))
    return math.sqrt(float(np.linalg.eigvalsh(stiffness * np.outer(root, root))[0]))


def quickest(p: Array) -> float:
    """Highest natural frequency of a train that touches everywhere, the valve on its seat. [rad/s]"""
    i, rod, tip, coil = p[r.RATIO], p[r.ROD_STIFFNESS], p[r.TIP_STIFFNESS], p[r.COIL_STIFFNESS]
    stiffness, mass = np.zeros((r.BODIES, r.BODIES)), np.full(r.BODIES, p[r.COIL_MASS])
    mass[[r.VALVE, r.ROCKER, r.LIFTER]] = p[[r.VALVE_MASS, r.ROCKER_MASS, r.LIFTER_MASS]]
    for place in range(r.HEAD, r.VALVE):
        stiffness[place : place + 2, place : place + 2] += coil * np.array([[1.0, -1.0], [-1.0, 1.0]])
    stiffness[r.VALVE : r.LIFTER + 1, r.VALVE : r.LIFTER + 1] += np.array(
        [
            [tip + p[r.SEAT_STIFFNESS], -tip, 0.0],
            [-tip, tip + rod / i**2, -rod / i],
            [0.0, -rod / i, rod + p[r.CAM_STIFFNESS]],
        ]
    )
    root = 1.0 / np.sqrt(mass[r.COILS :])
    moving = stiffness[r.COILS :, r.COILS :] * np.outer(root, root)
    return math.sqrt(float(np.linalg.eigvalsh(moving)[-1]))


def longest_step(p: Array) -> float:
    """A step that is stable, but for shocks without damping: by what swings fastest and what damps it. [s]

    Damping acts by the speed that is predicted, which costs more than swinging does. Coils that touch are
    stiffer, and damped no more.
    """
    fast = quickest(p)
    damped = fast * float(
        np.max(p[r.CAM_DAMPING : r.COIL_DAMPING + 1] / p[r.CAM_STIFFNESS : r.COIL_STIFFNESS + 1])
    )
    clash = 2.0 * math.sqrt((p[r.COIL_STIFFNESS] + p[r.CLASH_STIFFNESS]) / p[r.COIL_MASS])
    return 2.0 / max(fast * (math.sqrt(1.0 + damped**2) + damped), clash)


def at_rest(train: Train, p: Array) -> tuple[Array, float]:
    """Where all bodies lie with the valve shut and the lobe on its base circle, and how far a plunger is out.

    Returns
    -------
    ndarray, shape (BODIES,)
        [m]
    float
        [m]
    """
    i, weight, hangs = p[r.RATIO], p[r.LIFTER_WEIGHT], p[r.ROCKER_WEIGHT]
    cam, rod, tip = p[r.CAM_STIFFNESS], p[r.ROD_STIFFNESS], p[r.TIP_STIFFNESS]
    below = p[r.SEAT_STIFFNESS] + p[r.COIL_STIFFNESS] / r.SEGMENTS
    if train.plunger is not None:
        pushed = p[r.PLUNGER_LOAD]
    else:
        gives = 1.0 / i + tip * (i / cam + i / rod + 1.0 / (i * below))
        squeezed = (hangs + p[r.SEAT_LOAD]) / below - p[r.LASH] - i * weight / cam
        pushed = max((hangs + tip * squeezed) / gives, i * hangs)
    tipped = pushed / i - hangs
    valve, lifter = (tipped - p[r.SEAT_LOAD]) / below, -(pushed + weight) / cam
    if train.plunger is not None:
        rocker = valve + p[r.LASH] + tipped / tip
        column = pushed / rod + rocker / i - lifter
    else:
        rocker, column = i * (lifter - pushed / rod), 0.0
    places = np.empty(r.BODIES)
    places[r.LIFTER], places[r.ROCKER] = lifter, rocker
    places[r.HEAD : r.VALVE + 1] = valve * np.arange(r.SEGMENTS + 1) / r.SEGMENTS
    return places, float(column)
