"""The indicator diagram of a simulated engine: pressure and volume of its first cylinder through a cycle."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.records.problems import Refusal
from tappetry.services.breathing import Described
from tappetry.simulation import columns
from tappetry.simulation.cycle import NotSettled
from tappetry.simulation.engine import Mesh
from tappetry.simulation.network import GasLost
from tappetry.simulation.results import simulate

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Indicated:
    """One cylinder by degrees, each value from within its degree.

    Attributes
    ----------
    angles, volumes, pressures : ndarray, shape (720,)
        After the dead centre of gas exchange; over the piston; of the gas. [rad], [m3], [Pa]
    work : float
        Of the gas on the piston in the cycle, as the simulation counts it. [J]
    """

    angles: Array
    volumes: Array
    pressures: Array
    work: float


def indicate(described: Described, speed: float, mesh: Mesh | None = None) -> Indicated:
    """Turn an engine at a speed [rpm] until its cycles repeat, and read its first cylinder.

    Raises
    ------
    Refusal
        Cycles do not come to repeat.
    """
    from tappetry.simulation.cylinder_kernels import cylinder_volume

    try:
        _, run = simulate(described.engine, speed * math.pi / 30.0, mesh or Mesh())
    except (NotSettled, GasLost) as error:
        raise Refusal(str(error), ways_out=["try another speed"]) from None
    degrees = np.arange(columns.DEGREES) + 0.5
    volumes = np.array([cylinder_volume(run.network.engine, float(each)) for each in degrees])
    pressures = run.network.trace[0, :, columns.TRACE_PRESSURE].copy()
    return Indicated(np.radians(degrees), volumes, pressures, float(run.network.cylinders[0, columns.WORK]))
