"""What a settled cycle says of an engine: torque, power, breathing, fire, friction; one speed or a curve."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from queue import SimpleQueue

import numpy as np

from tappetry.engineering.gas_properties import gas_density
from tappetry.engineering.mean_pressure import engine_power, torque_from_mean_pressure
from tappetry.simulation import columns
from tappetry.simulation.cycle import Run, Settling, begin, last_change, residuals, settle_cycles
from tappetry.simulation.engine import Engine, Mesh
from tappetry.simulation.first_gas import COLLECTED
from tappetry.simulation.friction import Friction, friction
from tappetry.simulation.network import Array


@dataclass(frozen=True, slots=True)
class Point:
    """An engine at one speed.

    Attributes
    ----------
    engine_speed : float
        [rad/s]
    brake_torque, brake_power : float
        At the crankshaft, after friction; negative where it has to be turned. [N.m], [W]
    indicated_pressure, closed_pressure, pumping_pressure, brake_pressure : float
        Mean pressures: of the whole cycle, of compression and expansion, of gas exchange, at the crankshaft.
        The first is the sum of the next two. [Pa]
    friction : Friction
        By what rubs. [Pa]
    ambient_pressure, manifold_pressure, collector_pressure : float
        Of the air around; means over the cycle, of the plenum and of the collectors. [Pa]
    volumetric_efficiency : float
        Air, at its state around the engine, over displacement. [1]
    air_flow, fuel_flow : float
        Dry and humid air together; fuel. [kg/s]
    fuel_consumption : float
        Fuel for the work at the crankshaft. [kg/J]
    trapped_air, residual_share, trapped_pressure, trapped_temperature : tuple of float
        Of each cylinder when the intake valve shuts. [kg], [1], [Pa], [K]
    effective_compression_ratio : float
        Volume when the intake valve shuts over that at the dead centre. [1]
    exhaust_temperature : float
        Of the gas that passes the exhaust valves, by its energy. [K]
    peak_pressure, peak_angle : float
        Highest of all cylinders, and after which angle of the dead centre. [Pa], [rad]
    burned_temperature : float
        Highest of the burned gas while it is told apart from the end gas. [K]
    knock_integral : float
        Greatest of all cylinders; from 1 on the end gas lights itself. [1]
    half_burned, retarded : float
        Angle after the dead centre at which half is burned, and how much of it is owed to knock. [rad]
    wall_heat_share, blow_by_share : float
        Heat to the cylinder walls over that of the fire; gas past the rings over what was trapped. [1]
    beyond_bench : bool
        A valve lifts further than its port was measured; the last area was taken.
    cycle_change : float
        Greatest relative change of any cylinder's trapped air or work in the last cycle. [1]
    cycles, steps : int
        Turned, and steps of the last one.
    mass_error, energy_error : float
        What is missing in the balance of the last cycle. [1]
    """

    engine_speed: float
    brake_torque: float
    brake_power: float
    indicated_pressure: float
    closed_pressure: float
    pumping_pressure: float
    brake_pressure: float
    friction: Friction
    ambient_pressure: float
    manifold_pressure: float
    collector_pressure: float
    volumetric_efficiency: float
    air_flow: float
    fuel_flow: float
    fuel_consumption: float
    trapped_air: tuple[float, ...]
    residual_share: tuple[float, ...]
    trapped_pressure: tuple[float, ...]
    trapped_temperature: tuple[float, ...]
    effective_compression_ratio: float
    exhaust_temperature: float
    peak_pressure: float
    peak_angle: float
    burned_temperature: float
    knock_integral: float
    half_burned: float
    retarded: float
    wall_heat_share: float
    blow_by_share: float
    beyond_bench: bool
    cycle_change: float
    cycles: int
    steps: int
    mass_error: float
    energy_error: float


def simulate(
    engine: Engine,
    engine_speed: float,
    mesh: Mesh | None = None,
    settling: Settling | None = None,
    neighbour: Run | None = None,
) -> tuple[Point, Run]:
    """Turn an engine at one speed until cycles repeat.

    Parameters
    ----------
    engine : Engine
    engine_speed : float
        [rad/s]
    mesh : Mesh, optional
    settling : Settling, optional
    neighbour : Run, optional
        The same engine settled at another speed, from whose state to begin.

    Returns
    -------
    tuple of Point and Run
        What it does, and its state, for the next speed.

    Raises
    ------
    NotSettled
        Cycles do not repeat.
    OutOfRange
        The speed is none at which an engine runs.
    """
    run = begin(engine, engine_speed, mesh or Mesh(), neighbour)
    settle_cycles(run, settling or Settling())
    return read(run), run


def curve(
    engine: Engine,
    speeds: Iterable[float],
    mesh: Mesh | None = None,
    settling: Settling | None = None,
    told: Callable[[Point], None] = lambda point: None,
    chains: int = 1,
) -> tuple[Point, ...]:
    """Points of an engine at several speeds, each begun from the one before; `told` hears of each in order.

    Parameters
    ----------
    engine : Engine
    speeds : iterable of float
        [rad/s]
    mesh : Mesh, optional
    settling : Settling, optional
    told : callable
    chains : int
        Into how many rows of neighbours the speeds are parted; each is worked on by a thread of its own.

    Raises
    ------
    NotSettled
        Cycles do not repeat.
    OutOfRange
        The speed is none at which an engine runs.
    """
    rows = parted(np.fromiter(speeds, dtype=float), chains)
    points: list[Point] = []

    def hear(point: Point) -> None:
        points.append(point)
        told(point)

    if len(rows) <= 1:
        for row in rows:
            _turn_row(engine, row, mesh, settling, hear)
        return tuple(points)
    heard: list[SimpleQueue[Point | None]] = [SimpleQueue() for _ in rows]
    with ThreadPoolExecutor(len(rows)) as threads:
        work = [
            threads.submit(_turn_row, engine, row, mesh, settling, queue.put)
            for row, queue in zip(rows, heard, strict=True)
        ]
        for each, queue in zip(work, heard, strict=True):
            each.add_done_callback(partial(_end, queue))
            while (point := queue.get()) is not None:
                hear(point)
            each.result()
    return tuple(points)


def parted(speeds: Array, chains: int) -> list[Array]:
    """Rows of neighbours that take about as long as each other, at most `chains` of them.

    A cycle takes as many steps as its duration holds, so a point takes as long as its speed is low.
    """
    taken = np.cumsum(1.0 / speeds)
    at = np.searchsorted(taken, np.sum(1.0 / speeds) * np.arange(1, chains) / chains, side="left") + 1
    return [row for row in np.split(speeds, at) if len(row)]


def _end(queue: SimpleQueue[Point | None], _: object) -> None:
    """Say that a row of speeds has come to its end."""
    queue.put(None)


def _turn_row(
    engine: Engine,
    speeds: Iterable[float],
    mesh: Mesh | None,
    settling: Settling | None,
    told: Callable[[Point], None],
) -> None:
    """Turn an engine at one speed after the other, each begun from the one before."""
    neighbour: Run | None = None
    for speed in speeds:
        point, neighbour = simulate(engine, float(speed), mesh, settling, neighbour)
        told(point)


def read(run: Run) -> Point:
    """What the last cycle of a run says."""
    from tappetry.simulation.cylinder_kernels import cylinder_volume

    engine, network, cylinders = run.engine, run.network, run.network.cylinders
    total = np.sum(cylinders, axis=0)
    cycles_in_a_second = run.speed / (4.0 * math.pi)
    displacement = engine.displacement
    air = engine.air
    around = network.volumes[-1]
    density = float(gas_density(air.pressure, air.temperature, around[columns.CONSTANT]))
    air_mass = -float(network.totals[engine.air_path_end, 0])
    means = network.volumes[engine.cylinders : -1, columns.PRESSURE_TIME] * cycles_in_a_second
    work, closed = float(total[columns.WORK]), float(total[columns.CLOSED_WORK])
    rubbing = friction(
        engine.friction,
        engine.bore.bore,
        engine.bore.stroke,
        engine.cylinders,
        engine.bore.compression_ratio,
        engine.intake.greatest_lift,
        run.speed,
        load_ratio=float(means[0]) / air.pressure,
    )
    brake = work / displacement - rubbing.total
    torque = math.copysign(float(torque_from_mean_pressure(abs(brake), displacement)), brake)
    power = math.copysign(float(engine_power(abs(torque), run.speed)), brake)
    fuel = float(total[columns.ADDED_FUEL])
    highest = int(np.argmax(cylinders[:, columns.PEAK]))
    shuts = cylinder_volume(network.engine, float(network.engine[columns.INTAKE_SHUTS]))
    peak_angle = float(cylinders[highest, columns.PEAK_ANGLE]) - 360.0
    return Point(
        engine_speed=run.speed,
        brake_torque=torque,
        brake_power=power,
        indicated_pressure=work / displacement,
        closed_pressure=closed / displacement,
        pumping_pressure=(work - closed) / displacement,
        brake_pressure=brake,
        friction=rubbing,
        ambient_pressure=air.pressure,
        manifold_pressure=float(means[0]),
        collector_pressure=float(np.mean(means[1:])),
        volumetric_efficiency=air_mass / density / displacement,
        air_flow=air_mass * cycles_in_a_second,
        fuel_flow=fuel * cycles_in_a_second,
        fuel_consumption=fuel * cycles_in_a_second / power if power > 0.0 else math.inf,
        trapped_air=tuple(float(each) for each in cylinders[:, columns.TRAPPED_AIR]),
        residual_share=tuple(float(each) for each in residuals(network)),
        trapped_pressure=tuple(float(each) for each in cylinders[:, columns.TRAPPED_PRESSURE]),
        trapped_temperature=tuple(float(each) for each in cylinders[:, columns.TRAPPED_TEMPERATURE]),
        effective_compression_ratio=shuts / engine.bore.clearance_volume,
        exhaust_temperature=_exhaust_temperature(run),
        peak_pressure=float(cylinders[highest, columns.PEAK]),
        peak_angle=math.radians(peak_angle),
        burned_temperature=float(np.max(cylinders[:, columns.PEAK_BURNED])),
        knock_integral=run.knock,
        half_burned=math.radians(run.half_burned),
        retarded=math.radians(run.half_burned) - engine.burning.half_burned,
        wall_heat_share=float(total[columns.HEAT] / total[columns.FIRE]),
        blow_by_share=float(total[columns.LEAK] / total[columns.TRAPPED_MASS]),
        beyond_bench=engine.intake.beyond_bench or engine.exhaust.beyond_bench,
        cycle_change=float(np.max(last_change(run))),
        cycles=run.cycles,
        steps=run.steps,
        mass_error=run.mass_error,
        energy_error=run.energy_error,
    )


def _exhaust_temperature(run: Run) -> float:
    """At which the gas of the tails has the enthalpy that passed the exhaust valves."""
    from tappetry.simulation.volume_kernels import gas_state

    network = run.network
    mass, _, burned, fuel = np.sum(network.totals[list(run.engine.tail_ends), :4], axis=0)
    out = np.sum(network.cylinders[:, [columns.OUT_MASS, columns.OUT_ENTHALPY]], axis=0)
    wanted, temperature = out[1] / out[0], COLLECTED
    for _ in range(30):
        constant, energy, capacity = gas_state(
            network.gas.table, float(burned / mass), float(fuel / mass), temperature
        )
        change = float(wanted - energy - constant * temperature) / (capacity + constant)
        temperature += change
        if abs(change) < 1e-9 * temperature:
            break
    return temperature
