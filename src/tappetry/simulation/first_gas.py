"""About what gas stands in the pipes and chambers of an engine that runs, from which its first cycle begins.

Nothing is left of these figures when cycles repeat; the nearer they are, the sooner cycles do. What lasts
longest is how warm the air is that waits in the runners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tappetry.simulation import rows
from tappetry.simulation.gas import Gas
from tappetry.simulation.pipes import Layout, Pipe, fill, fill_alike

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tappetry.simulation.engine import Engine

FILLING, FUEL = 0.88, 1.07
"""How full cylinders get of what stands in the plenum; exhaust over air by mass. [1]"""

EXHAUST, COLLECTED = 950.0, 1080.0
"""Temperature of burned gas in pipes and in collectors. [K]"""

IN_PLENUM = 0.1
"""Share of what warms the air in the runners that comes back to the plenum. [1]"""

LEAVING = 0.8
"""Loss where exhaust leaves a tailpipe, over the head of its velocity. [1]"""

CHOKED = 0.528
"""Pressure of air behind a throttle over that before it, below which no more passes. [1]"""

LARGEST_FLOW = 0.685
"""Of air through a throttle: times area and pressure, over the root of gas constant and temperature. [1]"""


@dataclass(frozen=True, slots=True)
class FirstGas:
    """What is expected.

    Attributes
    ----------
    plenum_pressure, collector_pressure : float
        [Pa]
    runner_temperature, plenum_temperature : float
        [K]
    air, exhaust : float
        What flows to the plenum, and out of each tailpipe. [kg/s]
    """

    plenum_pressure: float
    collector_pressure: float
    runner_temperature: float
    plenum_temperature: float
    air: float
    exhaust: float


def first_gas(engine: Engine, engine_speed: float, gas: Gas) -> FirstGas:
    """What is expected of an engine at a speed. [rad/s]

    The plenum stands at the pressure at which as much air passes the throttle, after an ellipse [1]_, as
    cylinders take in.

    References
    ----------
    .. [1] Stodola, Dampf- und Gasturbinen, on the flow through nozzles (from memory).
    """
    air, path, tail = engine.air, engine.air_path, engine.tail
    warmth = float(gas.table[0, 0]) * air.temperature
    taken = FILLING * engine.displacement * engine_speed / (4.0 * math.pi * warmth)
    area = min(engine.throttle_area, _area(path, -1))
    area /= math.sqrt(1.0 + _loss(path) * (area / _area(path, -1)) ** 2)
    ratio = _level(taken * math.sqrt(warmth) / (LARGEST_FLOW * area))
    drawn = ratio * air.pressure
    tails = 1 + max(engine.collectors)
    exhaust = FUEL * taken * drawn / tails
    density = air.pressure / (float(gas.table[1, 0]) * EXHAUST)
    pushed = (LEAVING + _loss(tail)) * (exhaust / _area(tail, -1)) ** 2 / (2.0 * density)
    warmer = _warmed(engine.runner) * (float(np.mean(engine.runner.wall_temperature)) - air.temperature)
    return FirstGas(
        drawn,
        air.pressure + pushed,
        air.temperature + warmer,
        air.temperature + IN_PLENUM * warmer,
        taken * drawn,
        exhaust,
    )


def fill_pipes(layout: Layout, engine: Engine, gas: Gas, first: FirstGas) -> None:
    """Fill all pipes of an engine with it."""
    air, count = engine.air, engine.cylinders
    cold, hot = float(gas.table[0, 0]) * air.temperature, float(gas.table[1, 0]) * EXHAUST
    fill(layout, 0, gas, air.pressure, air.temperature, _velocity(layout, 0, first.air * cold / air.pressure))
    fill(layout, 1, gas, first.plenum_pressure, first.runner_temperature)
    fill_alike(layout, 1, range(2, count + 1))
    for tail in range(count + 1, layout.own):
        cells = int(layout.cells[tail])
        along = np.linspace(first.collector_pressure, air.pressure, 2 * cells + 1)[1::2]
        fill(layout, tail, gas, along, EXHAUST, _velocity(layout, tail, first.exhaust * hot / along), 1.0)
    fill(layout, layout.own, gas, first.collector_pressure, EXHAUST, burned=1.0)
    fill_alike(layout, layout.own, range(layout.own + 1, layout.own + count))


def _level(demand: float) -> float:
    """Pressure behind a throttle over that before it, where what is taken grows with it.

    ``demand`` is what would be taken at the pressure before it, over the largest flow.
    """
    if demand * CHOKED >= 1.0:
        return 1.0 / demand
    steep = 1.0 / (1.0 - CHOKED) ** 2
    both = demand * demand + steep
    return (CHOKED * steep + math.sqrt((CHOKED * steep) ** 2 - both * (CHOKED**2 * steep - 1.0))) / both


def _loss(pipe: Pipe) -> float:
    """Pressure lost over the head of the velocity."""
    return pipe.added_loss + 4.0 * pipe.friction * pipe.length / float(np.mean(pipe.diameters))


def _warmed(pipe: Pipe) -> float:
    """By which share of what it differs from the wall gas becomes warmer on its way, after Reynolds."""
    return -math.expm1(-2.0 * pipe.friction * pipe.length / float(np.mean(pipe.diameters)))


def _area(pipe: Pipe, station: int) -> float:
    return 0.25 * math.pi * pipe.diameters[station] ** 2


def _velocity(layout: Layout, pipe: int, volume_flow: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """In the cells of a pipe through which gas flows steadily. [m/s]"""
    first = int(layout.starts[pipe]) + rows.AREA + 1
    faces = layout.buffer[first : first + int(layout.cells[pipe]) + 1]
    velocity: NDArray[np.float64] = 2.0 * volume_flow / (faces[1:] + faces[:-1])
    return velocity
