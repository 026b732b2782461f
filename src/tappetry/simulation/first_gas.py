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
from tappetry.simulation.pipes import Layout, Pipe, fill_cells

if TYPE_CHECKING:
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
    """Fill all pipes of an engine with it: the air path, the runners, the tails, the primaries."""
    air, cells, runners = engine.air, layout.cells, engine.cylinders
    behind = len(cells) - 1 - runners
    cold, hot = float(gas.table[0, 0]) * air.temperature, float(gas.table[1, 0]) * EXHAUST
    drawn, pushed = first.plenum_pressure, first.collector_pressure
    pressure = np.repeat([air.pressure, *[drawn] * runners, *[pushed] * behind], cells)
    warmed = first.runner_temperature
    temperature = np.repeat([air.temperature, *[warmed] * runners, *[EXHAUST] * behind], cells)
    burned = np.repeat([*[0.0] * (1 + runners), *[1.0] * behind], cells)
    flow = np.zeros(len(pressure))  # of volume
    flow[: cells[0]] = first.air * cold / air.pressure
    after = np.cumsum(cells)
    for tail in range(1 + runners, layout.own):
        inside = slice(after[tail - 1], after[tail])
        pressure[inside] = np.linspace(pushed, air.pressure, 2 * int(cells[tail]) + 1)[1::2]
        flow[inside] = first.exhaust * hot / pressure[inside]
    where = layout.all_cells()
    area = layout.table[rows.AREA // rows.ROW]
    velocity = 2.0 * flow / (area[where + 1] + area[where])
    fill_cells(layout, where, gas, pressure, temperature, velocity, burned)


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
