"""The indicator diagram of a simulated engine: pressure and volume of its first cylinder through a cycle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.simulation import columns
from tappetry.simulation.cycle import Run
from tappetry.simulation.network import Array


@dataclass(frozen=True, slots=True)
class Indicated:
    """One cylinder at each whole degree, the first of them once more at the end.

    Attributes
    ----------
    angles, volumes, pressures : ndarray, shape (721,)
        After the dead centre of gas exchange; over the piston; of the gas. [rad], [m3], [Pa]
    work : float
        Of the gas on the piston in the cycle, as the simulation counts it. [J]
    """

    angles: Array
    volumes: Array
    pressures: Array
    work: float


def indicate(run: Run) -> Indicated:
    """What the first cylinder of an engine did in the last cycle that it turned."""
    from tappetry.simulation.cylinder_kernels import cylinder_volume

    degrees = np.arange(columns.DEGREES + 1)
    volumes = np.array([cylinder_volume(run.network.engine, float(each)) for each in degrees])
    pressures = run.network.trace[0, degrees % columns.DEGREES, columns.TRACE_PRESSURE]
    return Indicated(np.radians(degrees), volumes, pressures, float(run.network.cylinders[0, columns.WORK]))
