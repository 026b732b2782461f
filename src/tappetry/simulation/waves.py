"""Pressure at the valves of a simulated engine, and when a wave that an opening valve sent out is back."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.simulation import columns, rows
from tappetry.simulation.cycle import Run
from tappetry.simulation.cylinders import begin_cycle
from tappetry.simulation.engine import Valve
from tappetry.simulation.network import Array

WHOLE = 4.0 * math.pi
"""A cycle. [rad]"""
BY = 0.1
"""How far a wave is followed at once. [deg]"""
MOST_RETURNS = 3
"""Ways there and back after which nobody knows a wave again. [1]"""


@dataclass(frozen=True, slots=True)
class AtValve:
    """The pipe at a valve of the first cylinder.

    Attributes
    ----------
    pressures : ndarray, shape (720,)
        In the cell of the pipe next to the valve, at each degree after the dead centre of gas exchange. [Pa]
    opens, closes : float
        The valve, as it passes gas; from 0 to 4 pi. [rad]
    returns : tuple of float
        When the wave that it sends out as it opens is back from the far end of the pipe, for the first
        times, until it closes; beyond 4 pi where that is in the next cycle. [rad]
    """

    pressures: Array
    opens: float
    closes: float
    returns: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Waves:
    """Both pipes of the first cylinder at an engine speed [rad/s]."""

    intake: AtValve
    exhaust: AtValve
    engine_speed: float


@dataclass(frozen=True, slots=True)
class Flow:
    """The gas of a pipe through a cycle, cells counted from the valve on.

    Attributes
    ----------
    places : ndarray, shape (n,)
        Middles of cells, from the valve. [m]
    velocities, sounds : ndarray, shape (720, n)
        At each degree; away from the valve, and of sound. [m/s]
    length : float
        [m]
    """

    places: Array
    velocities: Array
    sounds: Array
    length: float


def listen(run: Run) -> Waves:
    """Turn an engine whose cycles repeat by one more, and listen at the valves of its first cylinder."""
    engine, network = run.engine, run.network
    pipes = {"intake": 1, "exhaust": network.layout.own}
    heard = {
        name: np.empty((columns.DEGREES, 3, int(network.layout.cells[at]))) for name, at in pipes.items()
    }
    begin_cycle(network)
    for degree in range(columns.DEGREES):
        for name, at in pipes.items():
            for place, row in enumerate((rows.PRESSURE, rows.VELOCITY, rows.SOUND)):
                heard[name][degree, place] = network.layout.row(at, row)
        network.turn(float(degree), degree + 1.0, run.mesh.courant)
    # The valve of a runner stands at its high end, that of a primary at its low one.
    heard["intake"] = heard["intake"][:, :, ::-1]
    heard["intake"][:, 1] *= -1.0
    return Waves(
        _at_valve(engine.intake, heard["intake"], engine.runner.length, run.speed),
        _at_valve(engine.exhaust, heard["exhaust"], engine.primary.length, run.speed),
        run.speed,
    )


def returns(flow: Flow, leaves: float, until: float, engine_speed: float) -> tuple[float, ...]:
    """Crank angles at which what leaves a valve comes back to it, for the first times, up to an angle.

    A wave runs with the sound in the gas that flows: dx/dt = u + c outward, u - c back.

    Parameters
    ----------
    flow : Flow
    leaves, until : float
        [rad]
    engine_speed : float
        [rad/s]

    Returns
    -------
    tuple of float
        [rad]
    """
    found: list[float] = []
    degrees, x, outward = math.degrees(leaves), 0.0, True
    time = math.radians(BY) / engine_speed
    while degrees < math.degrees(until) and len(found) < MOST_RETURNS:
        now = int(degrees) % columns.DEGREES
        u = float(np.interp(x, flow.places, flow.velocities[now]))
        c = float(np.interp(x, flow.places, flow.sounds[now]))
        step = (u + c if outward else u - c) * time
        if not outward and x + step <= 0.0:
            found.append(math.radians(degrees + BY * x / -step))
        x, degrees = x + step, degrees + BY
        if x >= flow.length:
            x, outward = 2.0 * flow.length - x, False
        elif x <= 0.0:
            x, outward = -x, True
    return tuple(angle for angle in found if angle <= until)


def _at_valve(valve: Valve, heard: Array, length: float, engine_speed: float) -> AtValve:
    opens, closes = _events(valve)
    count = heard.shape[2]
    places = (np.arange(count) + 0.5) * length / count
    back = returns(Flow(places, heard[:, 1], heard[:, 2], length), opens, closes, engine_speed)
    return AtValve(heard[:, 0, 0].copy(), opens % WHOLE, closes % WHOLE, back)


def _events(valve: Valve) -> tuple[float, float]:
    """Where it begins and ends to pass gas, the second after the first. [rad]"""
    table = valve.area_table() > 0.0
    # From where it is shut: half a cycle from the nose.
    shut = round((math.degrees(valve.nose) + 360.0) * columns.VALVE_STEPS) % len(table)
    opened = np.nonzero(np.roll(table, -shut))[0]
    first, last = ((shut + int(at)) / columns.VALVE_STEPS for at in (opened[0], opened[-1]))
    return math.radians(first), math.radians(last)
