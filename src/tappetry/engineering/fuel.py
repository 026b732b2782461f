"""Fuel and air: the ratio of a complete burn, mixtures, blends, and what an engine takes of both."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from tappetry.engineering.glossary import TURN, require
from tappetry.engineering.ranges import (
    CubicMetre,
    CubicMetrePerSecond,
    JoulePerKilogram,
    KilogramPerCubicMetre,
    KilogramPerSecond,
    OutOfRange,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)

CARBON, HYDROGEN, OXYGEN, NITROGEN, ARGON = 12.011, 1.008, 15.999, 14.007, 39.948
"""Relative atomic masses (IUPAC, abridged, from memory). [1]"""

OXYGEN_IN_AIR, ARGON_IN_AIR = 0.2095, 0.0093
"""Shares of dry air by volume (US Standard Atmosphere 1976, rounded, from memory). [1]"""

_ATOMS = re.compile(r"([CHO])(\d*\.?\d*)")


@dataclass(frozen=True, slots=True)
class Mixture:
    """How lean or rich a mixture is.

    Attributes
    ----------
    lambda_ratio : float or ndarray
        [1]
    equivalence_ratio : float or ndarray
        phi. [1]
    """

    lambda_ratio: Pure
    equivalence_ratio: Pure


@dataclass(frozen=True, slots=True)
class FuelBlend:
    """Two fuels in one tank.

    Attributes
    ----------
    blend_density : float or ndarray
        [kg/m3]
    second_mass_share : float or ndarray
        [1]
    blend_stoichiometric_ratio : float or ndarray
        [1]
    blend_heating_value : float or ndarray
        [J/kg]
    """

    blend_density: KilogramPerCubicMetre
    second_mass_share: Pure
    blend_stoichiometric_ratio: Pure
    blend_heating_value: JoulePerKilogram


@dataclass(frozen=True, slots=True)
class EngineFlows:
    """What an engine takes of air and fuel.

    Attributes
    ----------
    air_flow : float or ndarray
        [kg/s]
    air_volume_flow : float or ndarray
        [m3/s]
    fuel_flow : float or ndarray
        [kg/s]
    """

    air_flow: KilogramPerSecond
    air_volume_flow: CubicMetrePerSecond
    fuel_flow: KilogramPerSecond


def stoichiometric_ratio(
    carbon_atoms: Pure,
    hydrogen_atoms: Pure,
    oxygen_atoms: Pure = 0.0,
    oxygen_in_air: Pure = OXYGEN_IN_AIR,
    argon_in_air: Pure = ARGON_IN_AIR,
) -> Pure:
    r"""Air over fuel, by mass, of a complete burn.

    .. math:: \frac{A}{F} = \frac{(x + y/4 - z/2)\, M_{air} / x_{O_2}}{12.011 x + 1.008 y + 15.999 z}

    Parameters
    ----------
    carbon_atoms, hydrogen_atoms : float or array_like
        x and y of the formula, or in proportion: CH1.87 for gasoline. [1]
    oxygen_atoms : float or array_like, optional
        z, as of alcohols. [1]
    oxygen_in_air, argon_in_air : float or array_like, optional
        Of dry air, by volume; the rest is nitrogen. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the formula needs no air.

    Examples
    --------
    >>> print(round(stoichiometric_ratio(8, 18), 2), round(stoichiometric_ratio(2, 6, 1), 2))
    15.13 9.0

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 3.6 and table D.4 (from memory).
    """
    carbon = require("carbon_atoms", carbon_atoms)
    hydrogen = require("hydrogen_atoms", hydrogen_atoms)
    oxygen = require("oxygen_atoms", oxygen_atoms)
    share = require("oxygen_in_air", oxygen_in_air)
    argon = require("argon_in_air", argon_in_air)
    needed = carbon + hydrogen / 4.0 - oxygen / 2.0
    require_between(
        "oxygen that the formula needs",
        needed,
        Range(0.0, math.inf, low_excluded=True),
        source="what needs no oxygen is no fuel",
        advice="Check the atoms of the formula",
    )
    rest = require_between("nitrogen in the air", 1.0 - share - argon, Range(0.0, 1.0))
    air = (share * 2.0 * OXYGEN + argon * ARGON + rest * 2.0 * NITROGEN) / share
    return needed * air / (CARBON * carbon + HYDROGEN * hydrogen + OXYGEN * oxygen)


def stoichiometric_ratio_of_shares(
    carbon_mass_share: Pure,
    hydrogen_mass_share: Pure,
    oxygen_mass_share: Pure,
    oxygen_in_air: Pure = OXYGEN_IN_AIR,
    argon_in_air: Pure = ARGON_IN_AIR,
) -> Pure:
    r"""Mass of dry air that burns a mass of fuel completely, from the fuel's analysis by mass.

    .. math:: x = c / M_C,\quad y = h / M_H,\quad z = o / M_O,\quad \text{then as for a formula}

    Parameters
    ----------
    carbon_mass_share, hydrogen_mass_share : float or array_like
        c and h. [1]
    oxygen_mass_share : float or array_like
        o; 0 of a fuel without oxygen. [1]
    oxygen_in_air, argon_in_air : float or array_like, optional
        Of dry air, by volume; the rest is nitrogen. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the shares do not add up to 1 within 0.5 %, or the fuel needs no air.

    Examples
    --------
    >>> print(round(stoichiometric_ratio_of_shares(0.8412, 0.1588, 0.0), 2))
    15.13

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, section 3.4 (from memory).
    """
    carbon = require("carbon_mass_share", carbon_mass_share)
    hydrogen = require("hydrogen_mass_share", hydrogen_mass_share)
    oxygen = require("oxygen_mass_share", oxygen_mass_share)
    require_between(
        "sum of the three shares",
        carbon + hydrogen + oxygen,
        Range(0.995, 1.005),
        source="a fuel of carbon, hydrogen and oxygen",
        advice="Shares are by mass, 0.85 and not 85",
    )
    atoms = (carbon / CARBON, hydrogen / HYDROGEN, oxygen / OXYGEN)
    return stoichiometric_ratio(*atoms, oxygen_in_air, argon_in_air)


def stoichiometric_ratio_of_formula(
    fuel_formula: str, oxygen_in_air: Pure = OXYGEN_IN_AIR, argon_in_air: Pure = ARGON_IN_AIR
) -> Pure:
    """Air over fuel, by mass, of a complete burn, by the fuel's formula.

    Parameters
    ----------
    fuel_formula : str
        Of carbon, hydrogen and oxygen, as `C8H18`, `C2H5OH` or `CH1.87`.
    oxygen_in_air, argon_in_air : float or array_like, optional
        As in `stoichiometric_ratio`.

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        The text is no such formula, or an input lies outside its range.

    Examples
    --------
    >>> print(round(stoichiometric_ratio_of_formula("C3H8"), 2))
    15.67

    References
    ----------
    .. [1] As in `stoichiometric_ratio`.
    """
    if not _ATOMS.match(fuel_formula) or _ATOMS.sub("", fuel_formula):
        raise OutOfRange(
            f"fuel_formula {fuel_formula!r}",
            None,
            "C, H and O with their numbers, as in C2H5OH or CH1.87",
            advice="Capitals, and no brackets",
        )
    atoms = dict.fromkeys("CHO", 0.0)
    for element, number in _ATOMS.findall(fuel_formula):
        atoms[element] += float(number or 1)
    return stoichiometric_ratio(atoms["C"], atoms["H"], atoms["O"], oxygen_in_air, argon_in_air)


def mixture(air_fuel_ratio: Pure, stoichiometric_ratio: Pure) -> Mixture:
    r"""Lambda and phi of a mixture.

    .. math:: \lambda = \frac{AFR}{AFR_{st}},\quad \phi = 1 / \lambda

    Parameters
    ----------
    air_fuel_ratio : float or array_like
        As measured or wanted. [1]
    stoichiometric_ratio : float or array_like
        Of the same fuel. [1]

    Returns
    -------
    Mixture
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(mixture(12.8, 14.6).lambda_ratio, 3))
    0.877

    References
    ----------
    .. [1] Definition.
    """
    ratio = require("air_fuel_ratio", air_fuel_ratio)
    complete = require("stoichiometric_ratio", stoichiometric_ratio)
    return Mixture(lambda_ratio=ratio / complete, equivalence_ratio=complete / ratio)


def ratio_for_lambda(lambda_ratio: Pure, stoichiometric_ratio: Pure) -> Pure:
    r"""Air-fuel ratio that a lambda stands for with a fuel.

    .. math:: AFR = \lambda\, AFR_{st}

    Parameters
    ----------
    lambda_ratio : float or array_like
        As the probe shows it. [1]
    stoichiometric_ratio : float or array_like
        Of the fuel that is burned, not of the one that the gauge was made for. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(ratio_for_lambda(0.85, 9.8), 2))
    8.33

    References
    ----------
    .. [1] Definition.
    """
    complete = require("stoichiometric_ratio", stoichiometric_ratio)
    return require("lambda_ratio", lambda_ratio) * complete


def fuel_blend(
    second_share: Pure,
    first_density: KilogramPerCubicMetre,
    second_density: KilogramPerCubicMetre,
    first_stoichiometric_ratio: Pure,
    second_stoichiometric_ratio: Pure,
    first_heating_value: JoulePerKilogram,
    second_heating_value: JoulePerKilogram,
) -> FuelBlend:
    r"""Density, stoichiometric ratio and heat of two fuels that are mixed by volume.

    .. math:: \rho = (1 - v) \rho_1 + v \rho_2,\quad m = v \rho_2 / \rho,\quad
        AFR = (1 - m) AFR_1 + m AFR_2

    Parameters
    ----------
    second_share : float or array_like
        v, by volume: 0.85 of E85, as measured; what the pump says is a nominal number. [1]
    first_density, second_density : float or array_like
        [kg/m3]
    first_stoichiometric_ratio, second_stoichiometric_ratio : float or array_like
        [1]
    first_heating_value, second_heating_value : float or array_like
        Lower heating values. [J/kg]

    Returns
    -------
    FuelBlend
        Density in [kg/m3], shares and ratio in [1], heat in [J/kg].

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> blend = fuel_blend(0.85, 745.0, 789.0, 14.6, 9.0, 43.5e6, 26.8e6)
    >>> print(round(blend.blend_stoichiometric_ratio, 2))
    9.8

    References
    ----------
    .. [1] Conservation of mass and heat; volumes are taken to add up.
    """
    share = require("second_share", second_share)
    first = (1.0 - share) * require("first_density", first_density)
    second = share * require("second_density", second_density)
    mass = second / (first + second)
    ratios = (
        require("first_stoichiometric_ratio", first_stoichiometric_ratio),
        require("second_stoichiometric_ratio", second_stoichiometric_ratio),
    )
    heats = (
        require("first_heating_value", first_heating_value),
        require("second_heating_value", second_heating_value),
    )
    return FuelBlend(
        blend_density=first + second,
        second_mass_share=mass,
        blend_stoichiometric_ratio=(1.0 - mass) * ratios[0] + mass * ratios[1],
        blend_heating_value=(1.0 - mass) * heats[0] + mass * heats[1],
    )


def engine_flows(
    displacement: CubicMetre,
    engine_speed: RadianPerSecond,
    volumetric_efficiency: Pure,
    charge_density: KilogramPerCubicMetre,
    air_fuel_ratio: Pure,
) -> EngineFlows:
    r"""Air and fuel that a four-stroke engine takes.

    .. math:: \dot V = \eta_v V_d \frac{n}{2},\quad \dot m_a = \rho \dot V,\quad \dot m_f = \dot m_a / AFR

    Parameters
    ----------
    displacement : float or array_like
        V_d, of all cylinders. [m3]
    engine_speed : float or array_like
        One filling in two turns. [rad/s]
    volumetric_efficiency : float or array_like
        eta_v, at the stated density. [1]
    charge_density : float or array_like
        rho, of the air before the engine or in its manifold. [kg/m3]
    air_fuel_ratio : float or array_like
        [1]

    Returns
    -------
    EngineFlows
        Masses in [kg/s], volume in [m3/s].

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> flows = engine_flows(5.7e-3, 5500 * 3.14159265 / 30, 0.9, 1.184, 12.8)
    >>> print(round(flows.air_flow, 4), round(flows.fuel_flow * 3600, 1))
    0.2784 78.3

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.27 (from memory).
    """
    fillings = require("engine_speed", engine_speed) / (2.0 * TURN)
    drawn: Real = require("displacement", displacement) * fillings
    volume = drawn * require("volumetric_efficiency", volumetric_efficiency)
    air = volume * require("charge_density", charge_density)
    fuel = air / require("air_fuel_ratio", air_fuel_ratio)
    return EngineFlows(air_flow=air, air_volume_flow=volume, fuel_flow=fuel)


def measured_filling(
    air_flow: KilogramPerSecond,
    displacement: CubicMetre,
    engine_speed: RadianPerSecond,
    charge_density: KilogramPerCubicMetre,
) -> Pure:
    r"""Volumetric efficiency of a four-stroke engine from the air that it takes.

    .. math:: \eta_v = \frac{2 \dot m_a}{\rho V_d n}

    Parameters
    ----------
    air_flow : float or array_like
        Measured. [kg/s]
    displacement : float or array_like
        V_d, of all cylinders. [m3]
    engine_speed : float or array_like
        One filling in two turns. [rad/s]
    charge_density : float or array_like
        rho, of the air for which the filling is counted. [kg/m3]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the engine stands still.

    Examples
    --------
    >>> print(round(measured_filling(0.2784, 5.7e-3, 5500 * 3.14159265 / 30, 1.184), 3))
    0.9

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.27 (from memory).
    """
    speed = require_between(
        "engine_speed",
        require("engine_speed", engine_speed),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
        source="an engine that stands still takes no air",
    )
    drawn = require("displacement", displacement) * speed / (2.0 * TURN)
    return require("air_flow", air_flow) / (drawn * require("charge_density", charge_density))
