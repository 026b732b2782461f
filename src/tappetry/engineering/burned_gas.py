"""The charge of a cylinder: burned gas whose composition stays, and fresh mixture with what was left over."""

from __future__ import annotations

from tappetry.engineering.charge import fresh_moles, product_moles
from tappetry.engineering.gas_mixtures import Mixture, properties_at
from tappetry.engineering.gas_properties import GasProperties
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Kelvin, Pure


def burned_gas(fuel: str, equivalence_ratio: Pure, gas_temperature: Kelvin) -> GasProperties:
    r"""Properties of burned gas whose composition stays: exhaust, residual, expansion below 1,800 K.

    .. math::

        C_a H_b O_c + \frac{\nu}{\phi} (O_2 + 3.76 N_2) \to CO_2, CO, H_2O, H_2, O_2, N_2,\quad
        \nu = a + \frac{b}{4} - \frac{c}{2}

    Rich of a complete burn the oxygen is shared as the water-gas reaction leaves it at 1740 K. Above
    1,800 K the gas dissociates, and the true heat capacity is larger; see `constant_pressure_flame`.

    Parameters
    ----------
    fuel : str
        One of `FUELS`.
    equivalence_ratio : float or array_like
        phi. [1]
    gas_temperature : float or array_like
        T. [K]

    Returns
    -------
    GasProperties
        [J/kg.K], [1], [m/s], [J/kg] and [kg/mol]

    Raises
    ------
    OutOfRange
        The fuel has no name here, an input lies outside its range, or the mixture is so rich that it soots.

    Examples
    --------
    >>> gas = burned_gas("C8H18", 1.0, 1500.0)
    >>> print(round(gas.heat_capacity_ratio, 3), round(gas.molar_mass * 1e3, 3))
    1.267 28.607

    References
    ----------
    .. [1] McBride, Gordon and Reno, NASA TM-4513 (1993); Heywood, Internal Combustion Engine Fundamentals,
       section 4.6 (rich products, from memory).
    """
    ratio = require("equivalence_ratio", equivalence_ratio)
    temperature = require("gas_temperature", gas_temperature)
    return GasProperties(**properties_at(Mixture(product_moles(fuel, ratio)), temperature))


def unburned_mixture(
    fuel: str, equivalence_ratio: Pure, residual_fraction: Pure, gas_temperature: Kelvin
) -> GasProperties:
    r"""Properties of fuel vapour and air with burned gas left from the cycle before.

    .. math:: x = (1 - x_r)\ \text{fresh} + x_r\ \text{burned, by mass}

    Parameters
    ----------
    fuel : str
        One of `FUELS`, as a vapour.
    equivalence_ratio : float or array_like
        phi, of fresh and burned gas alike. [1]
    residual_fraction : float or array_like
        x_r, by mass. [1]
    gas_temperature : float or array_like
        T. [K]

    Returns
    -------
    GasProperties
        [J/kg.K], [1], [m/s], [J/kg] and [kg/mol]

    Raises
    ------
    OutOfRange
        The fuel has no name here, an input lies outside its range, or the mixture is so rich that it soots.

    Examples
    --------
    >>> print(round(unburned_mixture("C8H18", 1.0, 0.1, 700.0).heat_capacity_ratio, 3))
    1.295

    References
    ----------
    .. [1] McBride, Gordon and Reno, NASA TM-4513 (1993).
    """
    ratio = require("equivalence_ratio", equivalence_ratio)
    left = require("residual_fraction", residual_fraction)
    temperature = require("gas_temperature", gas_temperature)
    fresh, burned = fresh_moles(fuel, ratio), product_moles(fuel, ratio)
    # A mole of fuel and its air have the mass of their products, so masses are shared as these amounts are.
    moles = {
        name: (1.0 - left) * fresh.get(name, 0.0) + left * burned.get(name, 0.0)
        for name in {**fresh, **burned}
    }
    return GasProperties(**properties_at(Mixture(moles), temperature))
