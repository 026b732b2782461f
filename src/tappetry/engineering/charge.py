"""What a charge is made of: fuel and air before the burn, products without dissociation after it."""

from __future__ import annotations

import math

import numpy as np

from tappetry.engineering.gas_mixtures import molar_enthalpy_over_r, molar_entropy_over_r
from tappetry.engineering.gas_tables import BURNED_AIR, SPECIES
from tappetry.engineering.ranges import OutOfRange, Range, Real, require_between

FUELS = ("CH4", "C3H8", "C7H8", "C7H16", "C8H18", "CH3OH", "C2H5OH", "H2", "CO")
"""Fuels by their formulas: C7H8 is toluene, C7H16 n-heptane, C8H18 iso-octane."""

FREEZING_TEMPERATURE = 1740.0
"""Where the water-gas reaction of rich products stops (Heywood, section 4.6, from memory). [K]"""


def atoms_of(fuel: str) -> tuple[int, int, int]:
    """Carbon, hydrogen and oxygen atoms of a fuel."""
    if fuel not in FUELS:
        raise OutOfRange(f"fuel {fuel!r}", None, f"one of {', '.join(FUELS)}")
    atoms = SPECIES[fuel].atoms
    return atoms.get("C", 0), atoms.get("H", 0), atoms.get("O", 0)


def oxygen_needed(fuel: str) -> float:
    """Moles of O2 that burn a mole of a fuel."""
    carbon, hydrogen, oxygen = atoms_of(fuel)
    return carbon + hydrogen / 4.0 - oxygen / 2.0


def fresh_moles(fuel: str, equivalence_ratio: Real) -> dict[str, Real]:
    """Moles of fuel, oxygen and nitrogen for one mole of fuel."""
    oxygen = oxygen_needed(fuel) / equivalence_ratio
    air = {name: share * oxygen for name, share in BURNED_AIR.items()}
    return {fuel: 1.0, **air}


def _water_gas_constant() -> float:
    """n(H2O) n(CO) / (n(CO2) n(H2)) in equilibrium where the reaction stops."""
    sign = {"H2O": 1.0, "CO": 1.0, "CO2": -1.0, "H2": -1.0}
    t = FREEZING_TEMPERATURE
    gibbs = sum(
        sign[name] * (molar_enthalpy_over_r(name, t) / t - molar_entropy_over_r(name, t)) for name in sign
    )
    return math.exp(-float(gibbs))


def product_moles(fuel: str, equivalence_ratio: Real) -> dict[str, Real]:
    """Moles of the burned gas of one mole of fuel, without dissociation.

    Lean of a complete burn all is CO2, H2O and spare O2; rich of it CO, H2O, CO2 and H2 share the oxygen as
    the water-gas reaction leaves it where it stops.

    Raises
    ------
    OutOfRange
        There is not even the oxygen for CO: soot forms.
    """
    carbon, hydrogen, in_fuel = atoms_of(fuel)
    oxygen = oxygen_needed(fuel) / equivalence_ratio
    atoms = in_fuel + 2.0 * oxygen
    require_between(
        "oxygen atoms over carbon atoms",
        atoms / max(carbon, 1),
        Range(1.0 if carbon else 0.0, math.inf, low_excluded=True),
        source="with less, carbon is left as soot",
        advice="The mixture is too rich for these products",
    )
    rest, half = atoms - carbon, hydrogen / 2.0
    constant = _water_gas_constant()
    a, b = constant - 1.0, constant * (half - rest) + rest + carbon
    shifted = (np.sqrt(b**2 + 4.0 * a * carbon * rest) - b) / (2.0 * a)
    rich = np.asarray(equivalence_ratio) > 1.0
    dioxide: Real = np.where(rich, shifted, carbon)[()]
    water: Real = np.where(rich, rest - dioxide, half)[()]
    spare: Real = np.where(rich, 0.0, oxygen - oxygen_needed(fuel))[()]
    return {
        "CO2": dioxide,
        "CO": carbon - dioxide,
        "H2O": water,
        "H2": half - water,
        "O2": spare,
        "N2": BURNED_AIR["N2"] * oxygen,
    }
