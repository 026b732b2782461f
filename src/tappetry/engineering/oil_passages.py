"""Oil in drilled passages and flat gaps: what the way costs in pressure."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    CubicMetrePerSecond,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Pascal,
    PascalSecond,
    Pure,
    Real,
)


@dataclass(frozen=True, slots=True)
class PassageFlow:
    """Oil in a drilled passage.

    Attributes
    ----------
    passage_velocity : float or ndarray
        [m/s]
    reynolds_number : float or ndarray
        [1]
    friction_factor : float or ndarray
        Of Darcy. [1]
    passage_drop : float or ndarray
        [Pa]
    """

    passage_velocity: MetrePerSecond
    reynolds_number: Pure
    friction_factor: Pure
    passage_drop: Pascal


def passage_flow(
    passage_volume_flow: CubicMetrePerSecond,
    passage_diameter: Metre,
    passage_length: Metre,
    oil_viscosity: PascalSecond,
    oil_density: KilogramPerCubicMetre,
) -> PassageFlow:
    r"""Velocity, Reynolds number and loss of pressure of oil in a round passage.

    .. math:: \Delta p = f \frac{l}{d} \frac{\rho v^2}{2},\quad
        f = \max\left(\frac{64}{Re}, \frac{0.3164}{Re^{1/4}}\right),\quad Re = \frac{\rho v d}{\mu}

    The larger of the laminar and the turbulent friction factor: on the safe side where the flow changes over.
    Bends and mouths are left out.

    Parameters
    ----------
    passage_volume_flow : float or array_like
        [m3/s]
    passage_diameter : float or array_like
        d, inside. [m]
    passage_length : float or array_like
        l. [m]
    oil_viscosity : float or array_like
        mu. [Pa.s]
    oil_density : float or array_like
        rho. [kg/m3]

    Returns
    -------
    PassageFlow
        Velocity in [m/s], loss in [Pa].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the Reynolds number is above 100,000.

    Examples
    --------
    >>> found = passage_flow(5e-5, 6e-3, 0.2, 12e-3, 850.0)
    >>> print(round(found.reynolds_number), round(found.passage_drop / 1e3, 2))
    752 3.77

    References
    ----------
    .. [1] Hagen-Poiseuille and Blasius (from memory; tested against a general-purpose library).
    """
    diameter = require("passage_diameter", passage_diameter)
    density, viscosity = require("oil_density", oil_density), require("oil_viscosity", oil_viscosity)
    flow = require("passage_volume_flow", passage_volume_flow)
    velocity: Real = flow / (math.pi / 4.0 * diameter**2)
    reynolds = require("reynolds_number", density * velocity * diameter / viscosity)
    friction = np.maximum(64.0 / reynolds, 0.3164 / reynolds**0.25)
    slimness = require("passage_length", passage_length) / diameter
    return PassageFlow(
        passage_velocity=velocity,
        reynolds_number=reynolds,
        friction_factor=friction,
        passage_drop=friction * slimness * density * velocity**2 / 2.0,
    )


def slot_flow(
    pressure_drop: Pascal,
    slot_width: Metre,
    slot_height: Metre,
    land_length: Metre,
    oil_viscosity: PascalSecond,
) -> CubicMetrePerSecond:
    r"""Oil through a flat gap between two faces.

    .. math:: Q = \frac{w h^3 \Delta p}{12 \mu l}

    Parameters
    ----------
    pressure_drop : float or array_like
        Delta p. [Pa]
    slot_width : float or array_like
        w, across the flow. [m]
    slot_height : float or array_like
        h, between the faces. [m]
    land_length : float or array_like
        l, along the flow. [m]
    oil_viscosity : float or array_like
        mu. [Pa.s]

    Returns
    -------
    float or ndarray
        [m3/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(slot_flow(4e5, 40e-3, 5e-5, 5e-3, 12e-3) * 6e4, 4))
    0.1667

    References
    ----------
    .. [1] Laminar flow between plates (from memory; integrated from its profile in the tests).
    """
    height = require("slot_height", slot_height)
    shape = require("slot_width", slot_width) * height**3 / require("land_length", land_length)
    return shape * require("pressure_drop", pressure_drop) / (12.0 * require("oil_viscosity", oil_viscosity))
