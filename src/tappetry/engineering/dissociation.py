"""Chemical equilibrium of burned gas: the moles that have the least Gibbs energy, by Lagrange multipliers."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.gas_mixtures import molar_enthalpy_over_r, molar_entropy_over_r
from tappetry.engineering.gas_tables import REFERENCE_PRESSURE, SPECIES

PRODUCTS = ("CO2", "H2O", "N2", "O2", "CO", "H2", "OH", "O", "H", "NO", "N")
"""The gases that burned gas may become."""

STEPS = 300
TRACE = math.log(1e-8)
"""Logarithm of the mole fraction below which a product is a trace."""

SMALL = math.log(1e4)
"""A trace grows in one step to at most the inverse of this, as a mole fraction."""

Vector = NDArray[np.float64]


def atoms_in(moles: Mapping[str, float]) -> dict[str, float]:
    """Moles of each element in a mixture."""
    total: dict[str, float] = {}
    for name, amount in moles.items():
        for element, count in SPECIES[name].atoms.items():
            total[element] = total.get(element, 0.0) + count * amount
    return {element: amount for element, amount in total.items() if amount > 0.0}


def equilibrium_moles(
    elements: Mapping[str, float],
    temperature: float,
    pressure: float,
    near: Mapping[str, float] | None = None,
) -> dict[str, float]:
    """Moles of each product in equilibrium at a temperature and a pressure.

    The iteration is Gordon and McBride's (NASA Reference Publication 1311, chapter 2, from memory): Newton's
    method on the logarithms of the moles, with steps held back.

    Parameters
    ----------
    elements : mapping
        Moles of each element.
    temperature : float
        [K]
    pressure : float
        Absolute. [Pa]
    near : mapping, optional
        What this gave for the same elements at a temperature nearby: it is there sooner from it.
    """
    names = [name for name in PRODUCTS if SPECIES[name].atoms.keys() <= elements.keys()]
    atoms = np.array([[SPECIES[name].atoms.get(each, 0) for name in names] for each in elements], dtype=float)
    wanted = np.array(list(elements.values()))
    scale = wanted.sum()
    wanted = wanted / scale
    gibbs = np.array(
        [
            molar_enthalpy_over_r(name, temperature) / temperature - molar_entropy_over_r(name, temperature)
            for name in names
        ]
    ) + math.log(pressure / REFERENCE_PRESSURE)
    if near is None:
        logs, log_total = np.full(len(names), math.log(0.3 / len(names))), math.log(0.3)
    else:
        moles = np.array([near[name] for name in names]) / scale
        logs, log_total = np.log(moles), math.log(moles.sum())
    for _ in range(STEPS):
        moles = np.exp(logs)
        step, step_total = _step(atoms, wanted, moles, math.exp(log_total), gibbs + logs - log_total)
        share = _share_of_step(logs - log_total, step, step_total)
        logs, log_total = logs + share * step, log_total + share * step_total
        if float((moles * np.abs(step)).max()) < 1e-12 and abs(step_total) < 1e-12:
            break
    return dict(zip(names, (np.exp(logs) * scale).tolist(), strict=True))


def _share_of_step(fractions: Vector, step: Vector, step_total: float) -> float:
    """How much of Newton's step is taken: no plenty changes by more than e^2, no trace jumps to plenty."""
    plenty = fractions > TRACE
    largest = max(5.0 * abs(step_total), float(np.abs(step[plenty]).max()))
    growing = ~plenty & (step > 0.0)
    jumps = np.abs((-fractions[growing] - SMALL) / (step[growing] - step_total))
    return float(min(1.0, 2.0 / max(largest, 1e-300), *jumps.tolist()))


def _step(
    atoms: Vector, wanted: Vector, moles: Vector, total: float, potential: Vector
) -> tuple[Vector, float]:
    """Newton's step of the logarithms of the moles, and of their sum."""
    weighted = atoms * moles
    held = weighted.sum(axis=1)
    count, excess = len(held), moles.sum() - total
    matrix, right = np.empty((count + 1, count + 1)), np.empty(count + 1)
    matrix[:count, :count] = weighted @ atoms.T
    matrix[:count, count] = matrix[count, :count] = held
    matrix[count, count] = excess
    right[:count], right[count] = wanted - held + weighted @ potential, float(moles @ potential) - excess
    solution = np.linalg.solve(matrix, right)
    step: Vector = solution[-1] + solution[:-1] @ atoms - potential
    return step, float(solution[-1])
