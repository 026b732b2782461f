"""What a candidate is weighed by: numbers of its curve and its idle, the more the better."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from tappetry.search.turning import Turned
from tappetry.simulation.engine import Engine
from tappetry.simulation.launch import Converter, launch
from tappetry.simulation.roughness import roughness


class Goal(StrEnum):
    """What is wanted of a camshaft."""

    TORQUE = "torque"
    POWER = "power"
    VACUUM = "vacuum"
    ROUGHNESS = "roughness"
    STALL = "stall"
    KNOCK = "knock"
    FUEL = "fuel"


@dataclass(frozen=True, slots=True)
class Figures:
    """What a curve says in a few numbers.

    Attributes
    ----------
    torque : float
        Area under the torque over the band, by the band's width. [N.m]
    power : float
        The most in the band. [W]
    vacuum : float or None
        At idle, in the manifold below the air around; None where there is no idle. [Pa]
    roughness : float or None
        At idle, deviation of the work from cycle to cycle over its mean; None where there is no idle, or it
        burns too unevenly to say. [1]
    stall : float or None
        Of the converter, by how much above the one with the factory's camshaft; None where it was not asked
        for, or lies too far off. [rad/s]
    knock : float
        By how much the fire is latest for knock, in the band. [rad]
    fuel : float
        Fuel of the whole band for its work, speeds alike. [kg/J]
    """

    torque: float
    power: float
    vacuum: float | None
    roughness: float | None
    stall: float | None
    knock: float
    fuel: float


def figures(turned: Turned, part_load: Engine, converter: Converter | None = None) -> Figures:
    """The numbers of a curve with at least one point.

    Parameters
    ----------
    turned : Turned
    part_load : Engine
        With the mixture of part load.
    converter : Converter, optional
        Behind the engine.
    """
    points = turned.points
    speeds = np.array([point.engine_speed for point in points])
    torques = np.array([point.brake_torque for point in points])
    width = float(speeds[-1] - speeds[0])
    area = float(np.trapezoid(torques, speeds))
    work = sum(point.brake_power for point in points)
    still = turned.idle
    stall = launch(converter, turned.stall) if converter is not None and turned.stall else None
    return Figures(
        torque=area / width if width > 0.0 else float(torques[0]),
        power=max(point.brake_power for point in points),
        vacuum=None if still is None else still.ambient_pressure - still.manifold_pressure,
        roughness=None if still is None else roughness(part_load, still).variation,
        stall=None if stall is None else stall.shift,
        knock=max(point.retarded for point in points),
        fuel=sum(point.fuel_flow for point in points) / work if work > 0.0 else math.inf,
    )


def score(goal: Goal, found: Figures) -> float:
    """How well a goal is met, the more the better; without an idle the least there is."""
    if goal is Goal.TORQUE:
        return found.torque
    if goal is Goal.POWER:
        return found.power
    if goal is Goal.VACUUM:
        return -math.inf if found.vacuum is None else found.vacuum
    if goal is Goal.ROUGHNESS:
        return -math.inf if found.roughness is None else -found.roughness
    if goal is Goal.STALL:
        return -math.inf if found.stall is None else found.stall
    return -found.knock if goal is Goal.KNOCK else -found.fuel
