"""Adiabatic flames and burned gas in equilibrium: temperature, composition and gamma with dissociation."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.charge import fresh_moles, product_moles
from tappetry.engineering.dissociation import atoms_in, equilibrium_moles
from tappetry.engineering.gas_mixtures import Mixture
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Kelvin, KilogramPerMole, Pascal, Pure, Real

COLDEST, HOTTEST = 1000.0, 6000.0
"""Between these temperatures a flame is looked for; below the first nothing dissociates. [K]"""


@dataclass(frozen=True, slots=True)
class BurnedEquilibrium:
    """Burned gas in chemical equilibrium.

    Attributes
    ----------
    molar_mass : float or ndarray
        [kg/mol]
    heat_capacity_ratio : float or ndarray
        gamma, at this composition. [1]
    carbon_dioxide_fraction : float or ndarray
        By moles, as all that follow. [1]
    carbon_monoxide_fraction : float or ndarray
        [1]
    water_fraction : float or ndarray
        [1]
    hydrogen_fraction : float or ndarray
        [1]
    oxygen_fraction : float or ndarray
        [1]
    nitrogen_fraction : float or ndarray
        [1]
    nitric_oxide_fraction : float or ndarray
        [1]
    hydroxyl_fraction : float or ndarray
        [1]
    """

    molar_mass: KilogramPerMole
    heat_capacity_ratio: Pure
    carbon_dioxide_fraction: Pure
    carbon_monoxide_fraction: Pure
    water_fraction: Pure
    hydrogen_fraction: Pure
    oxygen_fraction: Pure
    nitrogen_fraction: Pure
    nitric_oxide_fraction: Pure
    hydroxyl_fraction: Pure


@dataclass(frozen=True, slots=True)
class Flame:
    """What an adiabatic burn makes of a mixture.

    Attributes
    ----------
    flame_temperature : float or ndarray
        With dissociation. [K]
    flame_pressure : float or ndarray
        [Pa]
    undissociated_temperature : float or ndarray
        As if the products of the complete burn stayed: too high. [K]
    molar_mass : float or ndarray
        Of the burned gas. [kg/mol]
    heat_capacity_ratio : float or ndarray
        gamma of the burned gas, at its composition. [1]
    """

    flame_temperature: Kelvin
    flame_pressure: Pascal
    undissociated_temperature: Kelvin
    molar_mass: KilogramPerMole
    heat_capacity_ratio: Pure


_FRACTIONS = ("CO2", "CO", "H2O", "H2", "O2", "N2", "NO", "OH")


def equilibrium_products(
    fuel: str, equivalence_ratio: Pure, product_temperature: Kelvin, gas_pressure: Pascal
) -> BurnedEquilibrium:
    r"""Composition of burned gas in equilibrium at a temperature and a pressure.

    .. math:: \sum_j n_j \mu_j \to \min,\quad \text{atoms of each element kept}

    Products are CO2, H2O, N2, O2, CO, H2, OH, O, H, NO and N. Nitric oxide of an engine's exhaust is not in
    equilibrium: this is what the hot gas tends to.

    Parameters
    ----------
    fuel : str
        One of `tappetry.engineering.charge.FUELS`.
    equivalence_ratio : float or array_like
        phi. [1]
    product_temperature : float or array_like
        [K]
    gas_pressure : float or array_like
        Absolute. [Pa]

    Returns
    -------
    BurnedEquilibrium
        [kg/mol] and [1]

    Raises
    ------
    OutOfRange
        The fuel has no name here, an input lies outside its range, or the mixture is so rich that it soots.

    Examples
    --------
    >>> gas = equilibrium_products("C8H18", 1.0, 2500.0, 30e5)
    >>> print(round(gas.carbon_monoxide_fraction, 4), round(gas.nitric_oxide_fraction, 4))
    0.0114 0.0032

    References
    ----------
    .. [1] Gordon and McBride, NASA Reference Publication 1311 (1994), chapter 2 (method, from memory);
       McBride, Gordon and Reno, NASA TM-4513 (1993) (gases).
    """
    ratio = require("equivalence_ratio", equivalence_ratio)
    temperature = require("product_temperature", product_temperature)
    pressure = require("gas_pressure", gas_pressure)

    def at_one_state(phi: float, t: float, p: float) -> tuple[float, ...]:
        moles = equilibrium_moles(atoms_in(_floats(product_moles(fuel, phi))), t, p)
        mixture, total = Mixture(moles), sum(moles.values())
        fractions = (moles.get(name, 0.0) / total for name in _FRACTIONS)
        return (float(mixture.molar_mass), float(mixture.heat_capacity_ratio(t)), *fractions)

    return BurnedEquilibrium(*_each(at_one_state, ratio, temperature, pressure))


def constant_pressure_flame(
    fuel: str, equivalence_ratio: Pure, reactant_temperature: Kelvin, reactant_pressure: Pascal
) -> Flame:
    r"""Adiabatic flame at constant pressure, with dissociation.

    .. math:: h_{burned}(T, p) = h_{fresh}(T_0)

    Parameters
    ----------
    fuel : str
        One of `tappetry.engineering.charge.FUELS`, as a vapour.
    equivalence_ratio : float or array_like
        phi. [1]
    reactant_temperature : float or array_like
        T_0. [K]
    reactant_pressure : float or array_like
        p, absolute. [Pa]

    Returns
    -------
    Flame
        [K], [Pa], [kg/mol] and [1]

    Raises
    ------
    OutOfRange
        The fuel has no name here, an input lies outside its range, or the mixture is so rich that it soots.

    Examples
    --------
    [1]_ prints 2226 K for methane, with other polynomials:

    >>> print(round(constant_pressure_flame("CH4", 1.0, 298.15, 101325.0).flame_temperature))
    2225

    References
    ----------
    .. [1] Turns, An Introduction to Combustion, table B.1 (from memory).
    """

    def energy(mixture: Mixture, temperature: float) -> float:
        return float(mixture.enthalpy(temperature))

    def pressure_after(reactant: float, growth: float) -> float:
        return reactant

    return _flame(fuel, equivalence_ratio, reactant_temperature, reactant_pressure, energy, pressure_after)


def constant_volume_flame(
    fuel: str, equivalence_ratio: Pure, reactant_temperature: Kelvin, reactant_pressure: Pascal
) -> Flame:
    r"""Adiabatic flame in a closed vessel, with dissociation: the peak of a cycle without losses.

    .. math:: u_{burned}(T, p) = u_{fresh}(T_0),\quad p = p_0 \frac{n T}{n_0 T_0}

    Parameters
    ----------
    fuel : str
        One of `tappetry.engineering.charge.FUELS`, as a vapour.
    equivalence_ratio : float or array_like
        phi. [1]
    reactant_temperature : float or array_like
        T_0. [K]
    reactant_pressure : float or array_like
        p_0, absolute. [Pa]

    Returns
    -------
    Flame
        [K], [Pa], [kg/mol] and [1]

    Raises
    ------
    OutOfRange
        The fuel has no name here, an input lies outside its range, or the mixture is so rich that it soots.

    Examples
    --------
    >>> flame = constant_volume_flame("C8H18", 1.0, 700.0, 15e5)
    >>> print(round(flame.flame_temperature), round(flame.flame_pressure / 1e5, 1))
    2890 66.8

    References
    ----------
    .. [1] First law for a closed vessel; Gordon and McBride, NASA Reference Publication 1311 (1994).
    """

    def energy(mixture: Mixture, temperature: float) -> float:
        return float(mixture.internal_energy(temperature))

    def pressure_after(reactant: float, growth: float) -> float:
        return reactant * growth

    return _flame(fuel, equivalence_ratio, reactant_temperature, reactant_pressure, energy, pressure_after)


def _flame(
    fuel: str,
    equivalence_ratio: Real,
    reactant_temperature: Real,
    reactant_pressure: Real,
    energy: Callable[[Mixture, float], float],
    pressure_after: Callable[[float, float], float],
) -> Flame:
    """A flame that keeps an energy; `growth` is n T of the burned gas over n T of the fresh one."""
    ratio = require("equivalence_ratio", equivalence_ratio)
    temperature = require("reactant_temperature", reactant_temperature)
    pressure = require("reactant_pressure", reactant_pressure)

    def at_one_state(phi: float, t0: float, p0: float) -> tuple[float, ...]:
        from scipy.optimize import brentq

        fresh, products = _floats(fresh_moles(fuel, phi)), _floats(product_moles(fuel, phi))
        mass, held, elements = (
            float(Mixture(fresh).molar_mass),
            energy(Mixture(fresh), t0),
            atoms_in(products),
        )

        def settled(t: float) -> tuple[Mixture, float]:
            """Burned gas at a temperature, and its pressure, which hangs on its moles."""
            mixture = Mixture(products)
            pressure = pressure_after(p0, t / t0 * mass / float(mixture.molar_mass))
            for _ in range(50):
                mixture, before = Mixture(equilibrium_moles(elements, t, pressure)), pressure
                pressure = pressure_after(p0, t / t0 * mass / float(mixture.molar_mass))
                if math.isclose(pressure, before, rel_tol=1e-10):
                    break
            return mixture, pressure

        plain = brentq(lambda t: energy(Mixture(products), t) - held, 200.0, HOTTEST, xtol=1e-6)
        if energy(settled(COLDEST)[0], COLDEST) >= held:
            hot, mixture = plain, Mixture(products)
            pressure = pressure_after(p0, hot / t0 * mass / float(mixture.molar_mass))
        else:
            hot = brentq(lambda t: energy(settled(t)[0], t) - held, COLDEST, HOTTEST, xtol=1e-6)
            mixture, pressure = settled(hot)
        return hot, pressure, plain, float(mixture.molar_mass), float(mixture.heat_capacity_ratio(hot))

    return Flame(*_each(at_one_state, ratio, temperature, pressure))


def _floats(moles: dict[str, Real]) -> dict[str, float]:
    """Moles of one state as plain numbers."""
    return {name: float(amount) for name, amount in moles.items()}


def _each(function: Callable[..., tuple[float, ...]], *values: Real) -> tuple[Real, ...]:
    """The results of a function for each value of arrays that broadcast."""
    results = np.vectorize(
        lambda *one: np.array(function(*one)), signature=",".join(["()"] * len(values)) + "->(n)"
    )(*values)
    return tuple(results[..., index][()] for index in range(results.shape[-1]))
