"""Forces of a piston and its rod at a crank angle: inertia, gas, push along the rod, wall, torque."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.crank import piston_acceleration
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Kilogram, Metre, Newton, NewtonMetre, Pascal, Radian, RadianPerSecond


@dataclass(frozen=True, slots=True)
class PistonForces:
    """Forces of one cylinder at a crank angle.

    Attributes
    ----------
    inertia_force : float or ndarray
        [N]
    gas_force : float or ndarray
        [N]
    rod_force : float or ndarray
        [N]
    side_force : float or ndarray
        [N]
    throw_torque : float or ndarray
        [N.m]
    """

    inertia_force: Newton
    gas_force: Newton
    rod_force: Newton
    side_force: Newton
    throw_torque: NewtonMetre


def reciprocating_mass(piston_mass: Kilogram, pin_mass: Kilogram, small_end_mass: Kilogram) -> Kilogram:
    r"""Mass that goes up and down with the piston.

    .. math:: m_p + m_b + m_s

    Parameters
    ----------
    piston_mass : float or array_like
        m_p, rings included. [kg]
    pin_mass : float or array_like
        m_b. [kg]
    small_end_mass : float or array_like
        m_s, the rod's share as the scale shows it. [kg]

    Returns
    -------
    float or ndarray
        [kg]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(reciprocating_mass(0.430, 0.120, 0.175), 3))
    0.725

    References
    ----------
    .. [1] The rod as two masses: Norton, Design of Machinery, chapter 13 (from memory).
    """
    return (
        require("piston_mass", piston_mass)
        + require("pin_mass", pin_mass)
        + require("small_end_mass", small_end_mass)
    )


def piston_forces(
    crank_angle: Radian,
    engine_speed: RadianPerSecond,
    stroke: Metre,
    rod_length: Metre,
    bore: Metre,
    reciprocating_mass: Kilogram,
    pressure_on_piston: Pascal,
    pin_offset: Metre = 0.0,
) -> PistonForces:
    r"""Forces on piston, rod, wall and throw at a crank angle.

    .. math::

        F = p \frac{\pi}{4} B^2 - m a,\quad S = \frac{F}{\cos\beta},\quad N = F \tan\beta,\quad
        T = S\, r \sin(\varphi + \beta)

    Parameters
    ----------
    crank_angle : float or array_like
        From the piston's top dead centre. [rad]
    engine_speed : float or array_like
        [rad/s]
    stroke, rod_length, bore : float or array_like
        [m]
    reciprocating_mass : float or array_like
        m. [kg]
    pressure_on_piston : float or array_like
        p, above that below the piston. [Pa]
    pin_offset : float or array_like, optional
        [m]

    Returns
    -------
    PistonForces
        Forces, downwards and pushing positive [N], and torque [N.m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or rod and stroke do not fit each other.

    Examples
    --------
    >>> found = piston_forces(0.0, 6000 * math.pi / 30, 0.091, 0.156, 0.099, 0.725, 0.0)
    >>> print(round(found.inertia_force), round(found.rod_force))
    -16821 -16821

    References
    ----------
    .. [1] Norton, Design of Machinery, chapter 13 (from memory; re-derived in the tests by the work done).
    """
    acceleration = piston_acceleration(crank_angle, engine_speed, stroke, rod_length, pin_offset)
    throw = require("stroke", stroke) / 2.0
    inertia = -require("reciprocating_mass", reciprocating_mass) * acceleration
    gas = require("pressure_on_piston", pressure_on_piston) * math.pi / 4.0 * require("bore", bore) ** 2
    pin_angle = crank_angle + np.arcsin(pin_offset / (throw + rod_length))  # from the crank's own dead centre
    lean = np.arcsin((throw * np.sin(pin_angle) - pin_offset) / rod_length)
    along = inertia + gas
    push = along / np.cos(lean)
    return PistonForces(
        inertia_force=inertia,
        gas_force=gas,
        rod_force=push,
        side_force=along * np.tan(lean),
        throw_torque=push * throw * np.sin(pin_angle + lean),
    )
