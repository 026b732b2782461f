"""An invented engine of four cylinders for tests, small enough to settle in a fraction of a second."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from tappetry.engineering.angles import DEGREE
from tappetry.simulation.cylinders import Bore, WiebeShape
from tappetry.simulation.engine import Air, BlowBy, Burning, Engine, Fuel, Mesh, Valve
from tappetry.simulation.friction import Bearings, FrictionParts
from tappetry.simulation.pipes import Pipe

RPM = math.pi / 30.0
COARSE = Mesh(6, 8, 5, 12)

LIFTS = (0.0, 2.54e-3, 5.08e-3, 7.62e-3, 10.16e-3, 12.7e-3)
INTAKE = Valve(
    LIFTS, (0.0, 2.6e-4, 5.2e-4, 7.2e-4, 8.4e-4, 8.9e-4), 7.3e-3, 5.3, 159 * DEGREE, 110 * DEGREE, 1.6
)
EXHAUST = Valve(
    LIFTS, (0.0, 2.0e-4, 3.9e-4, 5.2e-4, 6.1e-4, 6.5e-4), 7.3e-3, 5.4, 162 * DEGREE, 606 * DEGREE, 1.6
)

ENGINE = Engine(
    bore=Bore(0.09, 0.09, 0.15, 9.5, 520.0, 560.0, 430.0),
    lags=(0.0, 540.0, 180.0, 360.0),
    collectors=(0, 0, 0, 0),
    intake=INTAKE,
    exhaust=EXHAUST,
    air=Air(99e3, 1e3, 298.15),
    fuel=Fuel("C8H18", 14.6, 12.7, 43e6, 340e3, 0.4, 91.0),
    burning=Burning(
        WiebeShape(6.908, 2.0), 30 * DEGREE, 2000 * RPM, 0.15, 1.5, 0.08, 8 * DEGREE, 30 * DEGREE, 0.97
    ),
    blow_by=BlowBy((2000 * RPM, 5000 * RPM), (0.010, 0.006)),
    friction=FrictionParts(
        Bearings(5, 0.06, 0.022), Bearings(4, 0.05, 0.02), Bearings(3, 0.05, 0.018), True, 8.0, 0.0, 800 * RPM
    ),
    air_path=Pipe((0.0, 0.5), (0.07, 0.07), 0, 0.006, 305.0),
    throttle_area=3.0e-3,
    plenum_volume=2.5e-3,
    collector_volume=1.0e-3,
    runner=Pipe((0.0, 0.25, 0.35), (0.044, 0.041, 0.039), 0, 0.006, 340.0),
    primary=Pipe((0.0, 0.07, 0.4), (0.034, 0.037, 0.038), 0, 0.008, 800.0),
    tail=Pipe((0.0, 2.5), (0.05, 0.05), 0, 0.008, 680.0, added_loss=4.0, loss_from=1.2, loss_to=1.5),
)


def changed(**values: Any) -> Engine:
    """The engine with some of its parts changed."""
    return replace(ENGINE, **values)
