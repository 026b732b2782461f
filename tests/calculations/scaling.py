"""Other units of length, mass, time and temperature, in which every formula has to come out the same."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import numpy as np

from tappetry.calculations.model import Calculation

DIMENSIONS = {  # exponents of length, mass, time and temperature
    "m": (1, 0, 0, 0),
    "kg": (0, 1, 0, 0),
    "s": (0, 0, 1, 0),
    "K": (0, 0, 0, 1),
    "rad": (0, 0, 0, 0),
    "mol": (0, 0, 0, 0),
    "N": (1, 1, -2, 0),
    "Pa": (-1, 1, -2, 0),
    "J": (2, 1, -2, 0),
    "W": (2, 1, -3, 0),
    "Hz": (0, 0, -1, 0),
    "1": (0, 0, 0, 0),
    "": (0, 0, 0, 0),
}


def dimensions(unit: str) -> tuple[int, int, int, int]:
    """Exponents of length, mass, time and temperature of a SI unit such as `N/m` or `J/kg.K`."""
    total = [0, 0, 0, 0]
    top, _, bottom = unit.partition("/")
    for sign, part in ((1, top), (-1, bottom)):
        for factor in part.split("."):
            symbol, power = re.fullmatch(r"([A-Za-z]*|1)(\d?)", factor).groups()  # type: ignore[union-attr]
            for axis, exponent in enumerate(DIMENSIONS[symbol]):
                total[axis] += sign * exponent * int(power or 1)
    return total[0], total[1], total[2], total[3]


@dataclass(frozen=True)
class Scale:
    """How many new units there are in the old one, of length, mass, time and temperature."""

    length: float
    mass: float
    time: float
    temperature: float

    def of(self, unit: str) -> float:
        """The factor of a value in a unit."""
        length, mass, time, temperature = dimensions(unit)
        return float(self.length**length * self.mass**mass * self.time**time * self.temperature**temperature)

    def inputs(self, calculation: Calculation, inputs: dict[str, Any]) -> dict[str, Any]:
        """The same inputs in the new units."""
        units = {each.name: each.unit for each in calculation.inputs}
        return {
            name: value if isinstance(value, str) else np.asarray(value) * self.of(units[name])
            for name, value in inputs.items()
        }


def full_example(calculation: Calculation) -> dict[str, Any]:
    """The example with every default written out, so that defaults are scaled too."""
    defaults = {each.name: each.default for each in calculation.inputs if each.default is not None}
    return {**defaults, **calculation.example}
