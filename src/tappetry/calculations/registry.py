"""Every calculation by name: the one list behind the command line, the pages and the outside checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import import_module
from typing import Any

from tappetry.calculations.model import Calculation, closest

CHAPTERS = (
    "lobe",
    "timing",
    "degree",
    "crank",
    "compression",
    "springs",
    "valvetrain",
    "pushrod",
    "clearances",
    "joints",
    "flow",
    "oil",
    "vehicle",
    "fuel",
    "gas",
    "cycles",
    "gasdynamics",
    "combustion",
    "power",
    "uncertainty",
    "marks",
)
"""The catalogues, in the order in which people read them."""


class UnknownCalculation(LookupError):
    """No calculation has this name.

    Attributes
    ----------
    name : str
        As it was asked for.
    closest : str
        The nearest name there is; empty where none is near.
    """

    def __init__(self, name: str, names: tuple[str, ...]) -> None:
        self.name = name
        self.closest = closest(name, names)
        hint = f"the closest is {self.closest!r}" if self.closest else f"there are: {', '.join(names)}"
        super().__init__(f"no calculation is called {name!r}; {hint}")


@dataclass(frozen=True)
class Registry:
    """All calculations, in the order of their chapters."""

    calculations: tuple[Calculation, ...]

    @cached_property
    def _by_name(self) -> dict[str, Calculation]:
        return {each.name: each for each in self.calculations}

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The names of all calculations."""
        return tuple(self._by_name)

    @cached_property
    def chapters(self) -> dict[str, tuple[Calculation, ...]]:
        """The calculations of each chapter."""
        chapters = dict.fromkeys(each.chapter for each in self.calculations)
        return {
            chapter: tuple(each for each in self.calculations if each.chapter == chapter)
            for chapter in chapters
        }

    def get(self, name: str) -> Calculation:
        """The calculation of a name.

        Raises
        ------
        UnknownCalculation
            There is none; the error names the closest.
        """
        try:
            return self._by_name[name]
        except KeyError:
            raise UnknownCalculation(name, self.names) from None

    def run(self, name: str, inputs: Mapping[str, Any]) -> dict[str, Any]:
        """Outputs of a calculation from inputs by name, all in SI units; see `Calculation.evaluate`."""
        return self.get(name).evaluate(inputs)


@cache
def registry() -> Registry:
    """The registry, built when it is first asked for."""
    catalogues = (import_module(f"tappetry.calculations.catalogue_{chapter}") for chapter in CHAPTERS)
    return Registry(tuple(each for catalogue in catalogues for each in catalogue.CALCULATIONS))


def get(name: str) -> Calculation:
    """The calculation of a name; see `Registry.get`."""
    return registry().get(name)


def run(name: str, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Outputs of a calculation from inputs by name, all in SI units; see `Calculation.evaluate`."""
    return registry().run(name, inputs)
