"""Engines drawn at random within what pushrod engines are like, and beyond: for tests that none fails."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tappetry.engineering.angles import DEGREE
from tappetry.simulation.cylinders import Bore
from tappetry.simulation.engine import Engine, Valve
from tappetry.simulation.pipes import Pipe
from tests.simulation.bench_engine import ENGINE, RPM

ORDERS = {
    1: (0,),
    2: (0, 1),
    4: (0, 2, 3, 1),
    6: (0, 4, 2, 5, 1, 3),
    8: (0, 7, 3, 2, 5, 4, 6, 1),
}
"""Cylinders in the order in which they fire."""


def draw(seed: int) -> tuple[Engine, float]:
    """An engine and a speed from 600 to 9,000 rpm; every other one is throttled. [rad/s]"""
    random = np.random.default_rng(seed)
    between = random.uniform
    cylinders = int(random.choice(list(ORDERS)))
    order = ORDERS[cylinders]
    banks = 2 if cylinders in (6, 8) and random.random() < 0.5 else 1
    bore = between(0.07, 0.115)
    stroke = bore * between(0.75, 1.2)
    scale = bore / 0.09
    long = between(0.5, 1.8)
    engine = replace(
        ENGINE,
        bore=Bore(
            bore, stroke, stroke * between(1.5, 2.0), between(7.0, 12.5), between(450, 600), 560.0, 430.0
        ),
        lags=tuple(720.0 / cylinders * order.index(number) for number in range(cylinders)),
        collectors=tuple(number % banks for number in range(cylinders)),
        intake=_valve(random, ENGINE.intake, scale, 100.0, 120.0),
        exhaust=_valve(random, ENGINE.exhaust, scale, 596.0, 620.0),
        fuel=replace(
            ENGINE.fuel, air_fuel_ratio=between(11.5, 15.5), octane=random.choice([0.0, 85.0, 95.0])
        ),
        air_path=Pipe((0.0, between(0.1, 1.0)), (0.06 * scale,) * 2, 0, 0.006, 305.0, 2.5, 0.0, 0.1),
        throttle_area=ENGINE.throttle_area
        * scale**2
        * (10 ** between(-1.5, 0.0) if random.random() < 0.5 else 1.0),
        plenum_volume=10 ** between(-3.3, -2.0),
        collector_volume=10 ** between(-3.5, -2.5),
        runner=_scaled(ENGINE.runner, long, scale * between(0.8, 1.2)),
        primary=_scaled(ENGINE.primary, between(0.6, 2.0), scale * between(0.8, 1.3)),
        tail=Pipe(
            (0.0, between(0.5, 4.0)), (between(0.04, 0.08),) * 2, 0, 0.008, 680.0, between(0.0, 8.0), 0.1, 0.4
        ),
    )
    return engine, between(600.0, 9000.0) * RPM


def _valve(random: np.random.Generator, valve: Valve, scale: float, earliest: float, latest: float) -> Valve:
    return replace(
        valve,
        areas=tuple(scale**2 * area for area in valve.areas),
        lobe_lift=random.uniform(5.5e-3, 10e-3),
        lobe_half_width=random.uniform(105.0, 145.0) * DEGREE,
        nose=random.uniform(earliest, latest) * DEGREE,
        hot_lash=random.uniform(0.0, 0.5e-3),
    )


def _scaled(pipe: Pipe, length: float, width: float) -> Pipe:
    return replace(
        pipe,
        positions=tuple(length * position for position in pipe.positions),
        diameters=tuple(width * diameter for diameter in pipe.diameters),
    )
