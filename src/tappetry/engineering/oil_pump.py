"""The oil pump: what it moves and what power it takes, its relief valve, and the pressure that results."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import TURN, require
from tappetry.engineering.ranges import (
    CubicMetre,
    CubicMetrePerSecond,
    CubicMetrePerSecondPascal,
    KilogramPerCubicMetre,
    Metre,
    Newton,
    Pascal,
    Pure,
    RadianPerSecond,
    Range,
    SquareMetre,
    Watt,
    require_between,
)


@dataclass(frozen=True, slots=True)
class PumpFlow:
    """What a pump delivers at a speed.

    Attributes
    ----------
    theoretical_flow : float or ndarray
        Without leaks inside the pump. [m3/s]
    pump_flow : float or ndarray
        [m3/s]
    """

    theoretical_flow: CubicMetrePerSecond
    pump_flow: CubicMetrePerSecond


@dataclass(frozen=True, slots=True)
class PumpEfficiency:
    """How much of what a pump should deliver it delivers.

    Attributes
    ----------
    theoretical_flow : float or ndarray
        [m3/s]
    pump_efficiency : float or ndarray
        Volumetric. [1]
    """

    theoretical_flow: CubicMetrePerSecond
    pump_efficiency: Pure


@dataclass(frozen=True, slots=True)
class GalleryPressure:
    """Pressure and flows at which pump, engine and relief valve agree.

    Attributes
    ----------
    oil_pressure : float or ndarray
        Gauge. [Pa]
    engine_flow : float or ndarray
        [m3/s]
    bypass_flow : float or ndarray
        [m3/s]
    """

    oil_pressure: Pascal
    engine_flow: CubicMetrePerSecond
    bypass_flow: CubicMetrePerSecond


def _theoretical(pump_displacement: CubicMetre, pump_speed: RadianPerSecond) -> CubicMetrePerSecond:
    turns = require("pump_speed", pump_speed) / TURN
    return require("pump_displacement", pump_displacement) * turns


def gear_pump_displacement(
    gear_outside_diameter: Metre, gear_inside_diameter: Metre, gear_width: Metre
) -> CubicMetre:
    r"""Displacement of an external gear pump in one turn.

    .. math:: V = \frac{\pi}{4} (D_o^2 - D_i^2) L

    Parameters
    ----------
    gear_outside_diameter : float or array_like
        D_o, over the tips. [m]
    gear_inside_diameter : float or array_like
        D_i, at the roots; less than D_o. [m]
    gear_width : float or array_like
        L. [m]

    Returns
    -------
    float or ndarray
        In one turn of the pump. [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the inside diameter is not the smaller one.

    Examples
    --------
    >>> print(round(gear_pump_displacement(3 * 0.0254, 2 * 0.0254, 0.0254) / 0.0254**3, 2))
    3.93

    References
    ----------
    .. [1] Esposito, Fluid Power with Applications, chapter 5, with its example 5-1 (from memory).
    """
    outside = require("gear_outside_diameter", gear_outside_diameter)
    inside = require("gear_inside_diameter", gear_inside_diameter)
    require_between(
        "gear_inside_diameter over gear_outside_diameter",
        inside / outside,
        Range(0.0, 1.0),
        source="teeth stand outwards",
        advice="Exchange the two",
    )
    return math.pi / 4.0 * (outside**2 - inside**2) * require("gear_width", gear_width)


def gerotor_displacement(
    largest_chamber: SquareMetre, smallest_chamber: SquareMetre, inner_teeth: Pure, gear_width: Metre
) -> CubicMetre:
    r"""Displacement of a rotor pump in one turn of its inner rotor.

    .. math:: V = z (A_{max} - A_{min}) L

    Parameters
    ----------
    largest_chamber, smallest_chamber : float or array_like
        Areas between two teeth where they are largest and smallest. [m2]
    inner_teeth : float or array_like
        z. [1]
    gear_width : float or array_like
        L, width of the rotors. [m]

    Returns
    -------
    float or ndarray
        In one turn of the pump. [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the smallest chamber is not the smaller one.

    Examples
    --------
    >>> print(round(gerotor_displacement(150e-6, 10e-6, 8.0, 0.012) * 1e6, 2))
    13.44

    References
    ----------
    .. [1] Each chamber grows and shrinks once while the inner rotor turns past it.
    """
    largest = require("largest_chamber", largest_chamber)
    smallest = require("smallest_chamber", smallest_chamber)
    require_between(
        "smallest_chamber over largest_chamber",
        smallest / largest,
        Range(0.0, 1.0),
        source="what a chamber gives is what it shrinks by",
        advice="Exchange the two",
    )
    return require("inner_teeth", inner_teeth) * (largest - smallest) * require("gear_width", gear_width)


def pump_delivery(
    pump_displacement: CubicMetre, pump_speed: RadianPerSecond, pump_efficiency: Pure
) -> PumpFlow:
    r"""Flow of a displacement pump at a speed.

    .. math:: Q = \eta V n

    Parameters
    ----------
    pump_displacement : float or array_like
        V, in one turn. [m3]
    pump_speed : float or array_like
        Of the pump's own shaft: that of the crank or, with a distributor drive, half of it. [rad/s]
    pump_efficiency : float or array_like
        eta, volumetric; falls with wear and with hot oil. [1]

    Returns
    -------
    PumpFlow
        [m3/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(pump_delivery(64.35e-6, 188.4956, 0.915).pump_flow * 6e4, 1))
    106.0

    References
    ----------
    .. [1] Definition.
    """
    flow = _theoretical(pump_displacement, pump_speed)
    return PumpFlow(theoretical_flow=flow, pump_flow=flow * require("pump_efficiency", pump_efficiency))


def pump_efficiency(
    pump_displacement: CubicMetre, pump_speed: RadianPerSecond, pump_flow: CubicMetrePerSecond
) -> PumpEfficiency:
    r"""Volumetric efficiency of a pump from its measured flow.

    .. math:: \eta = Q / (V n)

    Parameters
    ----------
    pump_displacement : float or array_like
        V, in one turn. [m3]
    pump_speed : float or array_like
        Of the pump's own shaft; not at rest. [rad/s]
    pump_flow : float or array_like
        Q, as measured. [m3/s]

    Returns
    -------
    PumpEfficiency
        Flow in [m3/s], efficiency in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the pump stands still, or it seems to deliver more than it moves.

    Examples
    --------
    >>> found = pump_efficiency(64.35e-6, 188.4956, 106e-3 / 60)
    >>> print(round(found.pump_efficiency, 3))
    0.915

    References
    ----------
    .. [1] Definition.
    """
    theoretical = _theoretical(pump_displacement, pump_speed)
    require_between(
        "theoretical_flow",
        theoretical,
        Range(0.0, math.inf, low_excluded=True),
        "m3/s",
        source="a pump at rest has no efficiency",
    )
    efficiency = require("pump_flow", pump_flow) / theoretical
    require_between(
        "pump_flow over theoretical_flow",
        efficiency,
        Range(0.0, 1.0),
        source="a pump delivers no more than it moves",
        advice="Check the pump's own speed, and the dimensions of its gears",
    )
    return PumpEfficiency(theoretical_flow=theoretical, pump_efficiency=efficiency)


def pump_power(pump_flow: CubicMetrePerSecond, oil_pressure: Pascal, overall_efficiency: Pure) -> Watt:
    r"""Power that the pump's shaft takes.

    .. math:: P = Q p / \eta

    Parameters
    ----------
    pump_flow : float or array_like
        Q, what the relief valve sends back included. [m3/s]
    oil_pressure : float or array_like
        p, gauge. [Pa]
    overall_efficiency : float or array_like
        eta, friction and inner leaks together. [1]

    Returns
    -------
    float or ndarray
        [W]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(pump_power(1e-3, 400e3, 0.5)))
    800

    References
    ----------
    .. [1] Definition.
    """
    hydraulic = require("pump_flow", pump_flow) * require("oil_pressure", oil_pressure)
    return hydraulic / require("overall_efficiency", overall_efficiency)


def relief_pressure(relief_spring_load: Newton, relief_diameter: Metre) -> Pascal:
    r"""Pressure at which a plunger relief valve opens.

    .. math:: p = \frac{4 F}{\pi d^2}

    Parameters
    ----------
    relief_spring_load : float or array_like
        F, as the plunger uncovers its port. [N]
    relief_diameter : float or array_like
        d. [m]

    Returns
    -------
    float or ndarray
        Gauge, against the drained spring side. [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(relief_pressure(63.0, 0.0145) / 1e3))
    382

    References
    ----------
    .. [1] Balance of forces.
    """
    area = math.pi / 4.0 * require("relief_diameter", relief_diameter) ** 2
    return require("relief_spring_load", relief_spring_load) / area


def gallery_pressure(
    pump_flow: CubicMetrePerSecond,
    relief_pressure: Pascal,
    leak_conductance: CubicMetrePerSecondPascal,
    hole_area: SquareMetre,
    discharge_coefficient: Pure,
    oil_density: KilogramPerCubicMetre,
) -> GalleryPressure:
    r"""Oil pressure where what the pump gives is what bearings, holes and relief valve take.

    .. math:: Q = G p + C_d A \sqrt{2 p / \rho},\quad p \le p_{relief}

    Narrow gaps pass oil in proportion to pressure, holes to its root. The relief valve is taken as one that
    holds its pressure; a worn or weak one lets it rise or fall.

    Parameters
    ----------
    pump_flow : float or array_like
        Q, at the pump's speed. [m3/s]
    relief_pressure : float or array_like
        Gauge. [Pa]
    leak_conductance : float or array_like
        G, of all bearings, lifters and other gaps; grows as the oil thins. [m3/s.Pa]
    hole_area : float or array_like
        A, of all squirt and metering holes. [m2]
    discharge_coefficient : float or array_like
        C_d of the holes. [1]
    oil_density : float or array_like
        rho. [kg/m3]

    Returns
    -------
    GalleryPressure
        Pressure in [Pa], flows in [m3/s].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or nothing lets oil through.

    Examples
    --------
    >>> found = gallery_pressure(5e-4, 400e3, 5e-10, 4e-6, 0.62, 830.0)
    >>> print(round(found.oil_pressure / 1e3, 1), round(found.bypass_flow * 6e4, 2))
    400.0 13.38

    References
    ----------
    .. [1] Quadratic in the root of the pressure.
    """
    flow = require("pump_flow", pump_flow)
    relief = require("relief_pressure", relief_pressure)
    gaps = require("leak_conductance", leak_conductance)
    area = require("hole_area", hole_area) * require("discharge_coefficient", discharge_coefficient)
    holes = area * np.sqrt(2.0 / require("oil_density", oil_density))
    root = holes + np.sqrt(holes**2 + 4.0 * gaps * flow)
    require_between(
        "flow of gaps and holes together",
        holes + np.sqrt(gaps),
        Range(0.0, math.inf, low_excluded=True),
        source="an engine that lets nothing through has no oil pressure but the relief's",
        advice="State the gaps, the holes, or both",
    )
    with np.errstate(invalid="ignore"):
        balance = np.where(flow > 0.0, (2.0 * flow / root) ** 2, 0.0)
    pressure = np.minimum(balance, relief)
    engine = np.minimum(gaps * pressure + holes * np.sqrt(pressure), flow)
    return GalleryPressure(oil_pressure=pressure[()], engine_flow=engine[()], bypass_flow=(flow - engine)[()])
