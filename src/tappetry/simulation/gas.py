"""The gas of the simulation: air, burned gas and fuel vapour in any shares, as numbers that kernels read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.charge import fresh_moles, product_moles
from tappetry.engineering.gas_mixtures import Mixture
from tappetry.engineering.gas_tables import DRY_AIR, MOLAR_GAS_CONSTANT, SPECIES
from tappetry.engineering.ranges import JoulePerKilogramKelvin, Pascal, Pure, Real

STANDARD_TEMPERATURE = 298.15
"""Where the enthalpy of every component is 0: heats of formation are left out of it. [K]"""

SPLIT = 1000.0
"""Where the published polynomials change from one range to the other. [K]"""

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
    """Humid air, vapour of a fuel, and what is left when they burn without dissociation.

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
    air = {name: share * dry_pressure for name, share in DRY_AIR.items()}
    humid = {**air, "H2O": air.get("H2O", 0.0) + vapour_pressure}
    fresh, products = fresh_moles(fuel, equivalence_ratio), product_moles(fuel, equivalence_ratio)
    complete = fresh_moles(fuel, 1.0), product_moles(fuel, 1.0)
    dry_mass = _mass(air)
    return Gas(
        np.array([_row(humid), _row(products), _row({fuel: 1.0})]),
        dry_share=float(dry_mass / (dry_mass + vapour_pressure * SPECIES["H2O"].molar_mass)),
        heat_share=(_heat(fresh) - _heat(products)) / (_heat(complete[0]) - _heat(complete[1])),
    )


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
