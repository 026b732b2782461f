"""The gas of the simulation: air, burned gas and fuel vapour in any shares, as numbers that kernels read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.charge import FREEZING_TEMPERATURE, fresh_moles, product_moles
from tappetry.engineering.dissociation import atoms_in, equilibrium_moles
from tappetry.engineering.gas_mixtures import Mixture
from tappetry.engineering.gas_tables import DRY_AIR, MOLAR_GAS_CONSTANT, SPECIES
from tappetry.engineering.ranges import JoulePerKilogramKelvin, Pascal, Pure, Real

STANDARD_TEMPERATURE = 298.15
"""Where the enthalpy of every component is 0: heats of formation are left out of it. [K]"""

SPLIT = 1000.0
"""Where the published polynomials change from one range to the other. [K]"""

DISSOCIATION_PRESSURE = 3e6
"""At which hot burned gas is taken to be in equilibrium: that of a fire at full load. [Pa]"""

HOTTEST, FITTED = 3100.0, 85
"""Up to which temperature its energy is fitted, and at how many temperatures from the split on. [K]"""

TERMS = 6
"""Terms of the internal energy as a polynomial of temperature."""


@dataclass(frozen=True, slots=True)
class Gas:
    """The three components and how their energies depend on temperature.

    Attributes
    ----------
    table : ndarray, shape (3, 13)
        For air, burned gas and fuel vapour: gas constant [J/kg.K], then six coefficients of the internal
        energy below `SPLIT`, then six above it [J/kg over powers of K].
    dry_share : float
        Dry air in the air, by mass. [1]
    heat_share : float
        Heat of burning the mixture over that of burning its fuel completely; below 1 where it is rich. [1]
    """

    table: NDArray[np.float64]
    dry_share: float
    heat_share: float


def perfect_gas(gas_constant: JoulePerKilogramKelvin, heat_capacity_ratio: Pure) -> Gas:
    """A gas whose heat capacity does not change: all components are alike, and nothing burns.

    Parameters
    ----------
    gas_constant : float
        R. [J/kg.K]
    heat_capacity_ratio : float
        gamma. [1]

    Returns
    -------
    Gas
        Its energy is 0 at 0 K.
    """
    table = np.zeros((3, 1 + 2 * TERMS))
    table[:, 0] = gas_constant
    table[:, [2, 2 + TERMS]] = gas_constant / (heat_capacity_ratio - 1.0)
    return Gas(table, 1.0, 0.0)


def engine_gas(fuel: str, equivalence_ratio: Pure, dry_pressure: Pascal, vapour_pressure: Pascal) -> Gas:
    """Humid air, vapour of a fuel, and what is left when they burn.

    Burned gas is frozen up to 1740 K. Above, its energy is that in equilibrium at 30 bar, by a polynomial
    that goes over into the frozen one at `SPLIT`; its gas constant stays, which is 2 % too little at 2900 K.

    Parameters
    ----------
    fuel : str
        One of `tappetry.engineering.charge.FUELS`, whose vapour and products stand for those of the fuel.
    equivalence_ratio : float
        phi of the mixture. [1]
    dry_pressure, vapour_pressure : float
        Of dry air and of water in the air. [Pa]

    Returns
    -------
    Gas
        Enthalpies are 0 at 298.15 K.

    Raises
    ------
    OutOfRange
        The fuel has no name, or the mixture is so rich that it soots.
    """
    table, dry_share, heat_share = _engine_table(
        fuel, float(equivalence_ratio), float(dry_pressure), float(vapour_pressure)
    )
    return Gas(table.copy(), dry_share, heat_share)


@lru_cache(maxsize=64)
def _engine_table(
    fuel: str, equivalence_ratio: float, dry_pressure: float, vapour_pressure: float
) -> tuple[NDArray[np.float64], float, float]:
    """The attributes of `engine_gas`."""
    air = {name: share * dry_pressure for name, share in DRY_AIR.items()}
    humid = {**air, "H2O": air.get("H2O", 0.0) + vapour_pressure}
    fresh, products = fresh_moles(fuel, equivalence_ratio), product_moles(fuel, equivalence_ratio)
    complete = fresh_moles(fuel, 1.0), product_moles(fuel, 1.0)
    dry_mass = _mass(air)
    return (
        np.array([_row(humid), burned_row(fuel, equivalence_ratio), _row({fuel: 1.0})]),
        float(dry_mass / (dry_mass + vapour_pressure * SPECIES["H2O"].molar_mass)),
        (_heat(fresh) - _heat(products)) / (_heat(complete[0]) - _heat(complete[1])),
    )


@lru_cache(maxsize=64)
def burned_row(fuel: str, equivalence_ratio: float) -> tuple[float, ...]:
    """Gas constant and coefficients of burned gas that dissociates where it is hot, for a unit of mass."""
    products = {name: float(amount) for name, amount in product_moles(fuel, equivalence_ratio).items()}
    frozen, elements = Mixture(products), atoms_in(products)
    t = np.linspace(SPLIT, HOTTEST, FITTED)
    energy = np.asarray(frozen.internal_energy(t))
    capacity = np.asarray(frozen.isobaric_heat_capacity(t)) - float(frozen.gas_constant)
    moles = None
    for number in np.nonzero(t > FREEZING_TEMPERATURE)[0]:
        moles = equilibrium_moles(elements, float(t[number]), DISSOCIATION_PRESSURE, moles)
        energy[number] = max(energy[number], float(Mixture(moles).internal_energy(float(t[number]))))
    # Energy and heat capacity go over smoothly at the split; the other four terms are fitted.
    above, weight = (t - SPLIT) / SPLIT, 1.0 / (capacity * t)
    straight = energy[0] + capacity[0] * (t - SPLIT)
    powers = above[:, np.newaxis] ** np.arange(2, TERMS)
    fitted = np.linalg.lstsq(powers * weight[:, np.newaxis], (energy - straight) * weight, rcond=None)[0]
    terms = _in_powers(np.array([energy[0], capacity[0] * SPLIT, *fitted]))
    row = _row(products)
    zero = float(frozen.enthalpy(STANDARD_TEMPERATURE))
    return (*row[: 1 + TERMS], terms[0] - zero, *terms[1:])


def _in_powers(coefficients: NDArray[np.float64]) -> list[float]:
    """Coefficients in powers of T from those in powers of (T - SPLIT) / SPLIT."""
    polynomial = np.polynomial.Polynomial(coefficients)(np.polynomial.Polynomial([-1.0, 1.0 / SPLIT]))
    return [float(each) for each in polynomial.coef]


def _mass(moles: Mapping[str, Real]) -> float:
    return float(sum(amount * SPECIES[name].molar_mass for name, amount in moles.items()))


def _heat(moles: Mapping[str, Real]) -> float:
    """Enthalpy of some moles at the standard temperature, heats of formation included. [J]"""
    return float(Mixture(moles).enthalpy(STANDARD_TEMPERATURE)) * _mass(moles)


def _row(moles: Mapping[str, Real]) -> NDArray[np.float64]:
    """Gas constant and coefficients of the internal energy of a mixture, for a unit of mass."""
    mixture = Mixture(moles)
    constant = float(mixture.gas_constant)
    molar = MOLAR_GAS_CONSTANT / _mass(moles)
    zero = float(mixture.enthalpy(STANDARD_TEMPERATURE))
    row = [constant]
    for warm in (False, True):
        terms = np.zeros(TERMS)
        for name, amount in moles.items():
            a = SPECIES[name].hot if warm else SPECIES[name].cold
            terms += amount * molar * np.array([a[5], a[0], a[1] / 2, a[2] / 3, a[3] / 4, a[4] / 5])
        terms[0] -= zero
        terms[1] -= constant
        row += list(terms)
    return np.array(row)
