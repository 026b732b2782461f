"""Ideal-gas mixtures: heat capacity, enthalpy and entropy of any composition, from the table of gases."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.gas_tables import DRY_AIR, MOLAR_GAS_CONSTANT, SPECIES
from tappetry.engineering.ranges import (
    JoulePerKilogram,
    JoulePerKilogramKelvin,
    KilogramPerMole,
    Pure,
    Real,
)

Polynomial = Callable[[tuple[float, ...], Real], Real]


def _heat_capacity(a: tuple[float, ...], t: Real) -> Real:
    return a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * a[4])))


def _enthalpy(a: tuple[float, ...], t: Real) -> Real:
    """H/R, so that it stays smooth where T does not appear below a line."""
    return a[5] + t * (a[0] + t * (a[1] / 2 + t * (a[2] / 3 + t * (a[3] / 4 + t * a[4] / 5))))


def _entropy(a: tuple[float, ...], t: Real) -> Real:
    rest: Real = t * (a[1] + t * (a[2] / 2 + t * (a[3] / 3 + t * a[4] / 4)))
    total: Real = a[0] * np.log(t) + rest + a[6]
    return total


def _of(name: str, polynomial: Polynomial, temperature: Real) -> Real:
    gas = SPECIES[name]
    value: Real = np.where(
        temperature < 1000.0, polynomial(gas.cold, temperature), polynomial(gas.hot, temperature)
    )[()]
    return value


def molar_enthalpy_over_r(name: str, temperature: Real) -> Real:
    """Enthalpy of a gas, heat of formation included, over the molar gas constant. [K]"""
    return _of(name, _enthalpy, temperature)


def molar_entropy_over_r(name: str, temperature: Real) -> Real:
    """Entropy of a gas at the table's pressure, over the molar gas constant. [1]"""
    return _of(name, _entropy, temperature)


@dataclass(frozen=True, slots=True)
class Mixture:
    """A mixture of ideal gases.

    Attributes
    ----------
    moles : mapping
        Moles of each gas of the table, in any proportion; floats or arrays that broadcast.
    """

    moles: Mapping[str, Real]

    def _mean(self, polynomial: Polynomial, temperature: Real) -> Real:
        """Mean over the moles of a polynomial, times the gas constant of the mixture."""
        total = sum(amount * _of(name, polynomial, temperature) for name, amount in self.moles.items())
        return total / sum(self.moles.values()) * self.gas_constant

    @property
    def molar_mass(self) -> KilogramPerMole:
        """Mass of a mole of the mixture. [kg/mol]"""
        mass = sum(amount * SPECIES[name].molar_mass for name, amount in self.moles.items())
        return mass / sum(self.moles.values())

    @property
    def gas_constant(self) -> JoulePerKilogramKelvin:
        """R of the mixture. [J/kg.K]"""
        return MOLAR_GAS_CONSTANT / self.molar_mass

    def isobaric_heat_capacity(self, temperature: Real) -> JoulePerKilogramKelvin:
        """Heat capacity at constant pressure and composition. [J/kg.K]"""
        return self._mean(_heat_capacity, temperature)

    def heat_capacity_ratio(self, temperature: Real) -> Pure:
        """Gamma, cp/cv at constant composition. [1]"""
        capacity = self.isobaric_heat_capacity(temperature)
        return capacity / (capacity - self.gas_constant)

    def enthalpy(self, temperature: Real) -> JoulePerKilogram:
        """Enthalpy, heats of formation included. [J/kg]"""
        return self._mean(_enthalpy, temperature)

    def internal_energy(self, temperature: Real) -> JoulePerKilogram:
        """Enthalpy less R T. [J/kg]"""
        return self.enthalpy(temperature) - self.gas_constant * temperature

    def entropy(self, temperature: Real) -> JoulePerKilogramKelvin:
        """Entropy at the table's pressure, mixing left out: for differences of one composition. [J/kg.K]"""
        return self._mean(_entropy, temperature)


def properties_at(mixture: Mixture, temperature: Real) -> dict[str, Real]:
    """Heat capacities, gamma, speed of sound, enthalpy and constants of a mixture, by their names."""
    capacity = mixture.isobaric_heat_capacity(temperature)
    constant = mixture.gas_constant
    gamma = capacity / (capacity - constant)
    shape = 0.0 * capacity
    return {
        "isobaric_heat_capacity": capacity,
        "isochoric_heat_capacity": capacity - constant,
        "heat_capacity_ratio": gamma,
        "sound_speed": np.sqrt(gamma * constant * temperature),
        "gas_enthalpy": mixture.enthalpy(temperature),
        "molar_mass": mixture.molar_mass + shape,
        "gas_constant": constant + shape,
    }


AIR = Mixture(DRY_AIR)
"""Dry air."""


def root_between(residual: Callable[[Real], Real], low: Real, high: Real) -> Real:
    """The temperature at which a rising residual is 0, by halving; arrays each on their own.

    Where the residual is 0 nowhere between the ends the nearer end comes out.
    """
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = residual(middle) > 0.0
        low, high = np.where(above, low, middle)[()], np.where(above, middle, high)[()]
    return 0.5 * (low + high)
