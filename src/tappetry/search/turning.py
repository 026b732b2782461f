"""One candidate: an engine with a camshaft, turned over a band of speeds and at idle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tappetry.simulation.cycle import NotSettled, Settling
from tappetry.simulation.engine import Engine, Mesh, Valve
from tappetry.simulation.idle import NoIdle, idle
from tappetry.simulation.network import GasLost
from tappetry.simulation.results import Point, curve


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be turned.

    Attributes
    ----------
    engine : Engine
        At full throttle.
    part_load : Engine
        The same with the whole throttle and the mixture of part load, for idle.
    speeds : tuple of float
        Of the band, rising. [rad/s]
    idle_speed : float
        Not looked for where it is 0. [rad/s]
    stall_speeds : tuple of float
        Around the stall of a converter, rising; empty where that is not asked for. [rad/s]
    mesh : Mesh
    settling : Settling
    """

    engine: Engine
    part_load: Engine
    speeds: tuple[float, ...]
    idle_speed: float
    stall_speeds: tuple[float, ...]
    mesh: Mesh
    settling: Settling


@dataclass(frozen=True, slots=True)
class Turned:
    """What came of it; ``idle`` is None where it was not looked for or not found.

    ``stall`` are the points around the stall, empty where they were not asked for.
    ``complaint`` says why there are no points, ``no_idle`` why there is no idle.
    """

    points: tuple[Point, ...]
    idle: Point | None
    stall: tuple[Point, ...] = ()
    complaint: str = ""
    no_idle: str = ""


def turn(asked: Asked) -> Turned:
    """The full curve of a candidate and its idle; what does not settle is told, not raised."""
    try:
        points = curve(asked.engine, asked.speeds, asked.mesh, asked.settling)
        stall = curve(asked.engine, asked.stall_speeds, asked.mesh, asked.settling)
    except (NotSettled, GasLost) as error:
        return Turned((), None, complaint=str(error))
    if asked.idle_speed <= 0.0:
        return Turned(points, None, stall)
    try:
        found, _ = idle(asked.part_load, asked.idle_speed, asked.settling)
    except (NotSettled, GasLost, NoIdle) as error:
        return Turned(points, None, stall, no_idle=str(error))
    return Turned(points, found, stall)


def advanced(asked: Asked, angle: float) -> Asked:
    """The same with the whole camshaft earlier by a crank angle. [rad]"""
    return _with(asked, lambda engine: _advanced(engine, angle))


def compressed(asked: Asked, more: float) -> Asked:
    """The same with a compression ratio that is larger by so much. [1]"""
    return _with(asked, lambda engine: _compressed(engine, more))


def _with(asked: Asked, change: Callable[[Engine], Engine]) -> Asked:
    return replace(asked, engine=change(asked.engine), part_load=change(asked.part_load))


def _advanced(engine: Engine, angle: float) -> Engine:
    def moved(valve: Valve) -> Valve:
        return replace(valve, nose=valve.nose - angle)

    return replace(engine, intake=moved(engine.intake), exhaust=moved(engine.exhaust))


def _compressed(engine: Engine, more: float) -> Engine:
    bore = engine.bore
    return replace(engine, bore=replace(bore, compression_ratio=bore.compression_ratio + more))
