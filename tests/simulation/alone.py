"""One cylinder without valves for tests, beside a shut pipe that has nothing to do with it."""

from __future__ import annotations

import numpy as np

from tappetry.simulation import columns
from tappetry.simulation.cylinders import NO_FUEL, Bore, Mixture, WiebeShape, begin_cycle, equip
from tappetry.simulation.gas import Gas
from tappetry.simulation.network import WALL, Chamber, Network, join
from tappetry.simulation.pipes import fill, straight

BORE = Bore(0.0965, 0.092, 0.155, 10.0)
SHAPE = WiebeShape(6.908, 2.0)


def alone(
    gas: Gas,
    pressure: float = 1e5,
    temperature: float = 300.0,
    burned: float = 0.0,
    step: float = 0.25,
    speed: float = 300.0,
    bore: Bore = BORE,
    mixture: Mixture = NO_FUEL,
    heat_factor: float = 0.0,
    leak_area: float = 0.0,
) -> Network:
    """A cylinder that stands at its lower dead centre before compression, at crank angle 180."""
    network = join(
        gas, [straight(1.0, 0.05, 3)], [(WALL, WALL)], [Chamber(1.0, pressure, temperature, burned)], 1
    )
    fill(network.layout, 0, gas, 1e5, 300.0)
    shut = np.zeros_like(network.valves)
    equip(network, bore, mixture, SHAPE, speed, [-180.0], shut, 1e5, heat_factor, leak_area, step)
    network.cylinders[0, columns.LAG] = 0.0
    begin_cycle(network)
    return network


def of(network: Network, column: int) -> float:
    """A column of the cylinder's volume."""
    return float(network.volumes[0, column])


def work(network: Network) -> float:
    return float(network.cylinders[0, columns.WORK])


def add_fuel_vapour(network: Network, share: float) -> None:
    """Take some of the air for fuel, at the same energy."""
    network.volumes[0, columns.FUEL] = share * network.volumes[0, columns.MASS]
