"""Cycle after cycle until they repeat: what an engine does at one speed, or why it does not settle."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from tappetry.engineering.ranges import Range, require_between
from tappetry.simulation import columns, rows
from tappetry.simulation.cylinders import begin_cycle, set_fire
from tappetry.simulation.engine import Engine, Mesh, build
from tappetry.simulation.network import Array, Network

RELIEF = 0.08
"""More than the share of the knock integral that a degree of retard takes (0.045 to 0.055 in the invented
engines): a knocking fire is set later by as many degrees at once as surely will not be too many."""


@dataclass(frozen=True, slots=True)
class Settling:
    """When cycles count as repeating, and how many there may be.

    Attributes
    ----------
    change : float
        Greatest relative change from cycle to cycle of any cylinder's trapped air and work. [1]
    swing : float
        How much they may change where they swing about means that stay within `change`. [1]
    least, most : int
        Cycles.
    swinging : int
        Cycles of each of the two means.
    """

    change: float = 1e-3
    swing: float = 5e-3
    least: int = 5
    most: int = 80
    swinging: int = 10


class NotSettled(RuntimeError):
    """Cycles do not come to repeat: which cylinder, what, by how much, and what to look at."""

    def __init__(
        self, speed: float, cycles: int, cylinder: int, quantity: str, change: float, limit: float
    ) -> None:
        self.speed, self.cycles, self.cylinder = speed, cycles, cylinder
        self.quantity, self.change, self.limit = quantity, change, limit
        super().__init__(
            f"at {speed * 30 / math.pi:.0f} rpm cycles do not repeat after {cycles}: {quantity} of cylinder "
            f"{cylinder + 1} still changes by {change:.2%} from one to the next, allowed is {limit:.2%}. "
            "Look at overlap and at long pipes: an engine may breathe in turns at low speed"
        )


@dataclass
class Run:
    """An engine that turns at one speed, with its state.

    Attributes
    ----------
    engine : Engine
    speed : float
        [rad/s]
    network : Network
    half_burned : float
        Angle after the dead centre at which half is burned now. [deg]
    cycles, steps : int
        So far, and of the last cycle.
    mass_error, energy_error : float
        Of the last cycle: what is missing in the balance, over what was trapped and over the fire. [1]
    courant : float
        Share of the largest stable step. [1]
    history : list of ndarray, shape (2, n)
        Trapped air and work of each cylinder, cycle by cycle, since the fire was last set. [kg], [J]
    """

    engine: Engine
    speed: float
    network: Network
    half_burned: float
    cycles: int = 0
    steps: int = 0
    mass_error: float = 0.0
    energy_error: float = 0.0
    courant: float = 0.8
    history: list[Array] = field(default_factory=list)

    @property
    def knock(self) -> float:
        """Greatest knock integral of any cylinder."""
        return float(np.max(self.network.cylinders[:, columns.KNOCK]))


def begin(engine: Engine, speed: float, mesh: Mesh, neighbour: Run | None = None) -> Run:
    """An engine at a speed, from rest or from where it stood at another one."""
    require_between(
        "engine speed of a simulation",
        speed * 30.0 / math.pi,
        Range(300.0, 12000.0),
        "rpm",
        source="below, a cycle is no longer governed by waves; above, no pushrod engine turns",
    )
    network = build(engine, speed, mesh)
    run = Run(engine, speed, network, math.degrees(engine.burning.half_burned), courant=mesh.courant)
    if neighbour is not None:
        old = neighbour.network
        network.layout.buffer[:] = old.layout.buffer
        network.volumes[:] = old.volumes
        network.cylinders[:] = old.cylinders
        network.engine[columns.LEAK_AREA] = old.engine[columns.LEAK_AREA]
        network.volumes[:, columns.PRESSURE_RATE : columns.TEMPERATURE_RATE + 1] = 0.0
    return run


def settle_cycles(run: Run, settling: Settling) -> None:
    """Turn until cycles repeat and no cylinder knocks, or the fire is as late as it may be.

    Raises
    ------
    NotSettled
        They do not repeat.
    """
    latest = math.degrees(run.engine.burning.latest)
    begun, change = run.cycles, np.full((2, run.engine.cylinders), math.inf)
    while run.cycles - begun < settling.most:
        change = one_cycle(run)
        worst = float(np.max(change))
        if worst < 20.0 * settling.change and run.knock >= 1.0 and run.half_burned < latest:
            later = max(1.0, math.floor(math.log(run.knock) / RELIEF))
            run.half_burned = min(run.half_burned + later, latest)
            del run.history[:-1]
            continue
        repeats = worst < settling.change and run.cycles - begun >= settling.least
        if repeats or (worst < settling.swing and _only_swings(run, settling)):
            return
    quantity, cylinder = np.unravel_index(np.argmax(change), change.shape)
    raise NotSettled(
        run.speed,
        run.cycles - begun,
        int(cylinder),
        ("trapped air", "work")[quantity],
        float(np.max(change)),
        settling.change,
    )


def one_cycle(run: Run) -> Array:
    """Turn one cycle; return the relative changes of trapped air and work of each cylinder, shape (2, n)."""
    network, engine = run.network, run.engine
    cylinders = network.cylinders
    _light(run)
    begin_cycle(network)
    for pipe in range(len(network.layout.starts)):
        network.layout.row(pipe, rows.HEAT)[:] = 0.0
    before = _held(network)
    run.steps = network.turn(0.0, 720.0, run.courant)
    run.cycles += 1
    _balance(run, before)
    leaked = np.mean(cylinders[:, columns.LEAK]) / np.mean(cylinders[:, columns.TRAPPED_MASS])
    if leaked > 0.0:
        network.engine[columns.LEAK_AREA] *= engine.blow_by.share(run.speed) / leaked
    run.history.append(np.stack([cylinders[:, columns.TRAPPED_AIR], cylinders[:, columns.WORK]]))
    return last_change(run)


def last_change(run: Run) -> Array:
    """Relative changes of trapped air and work of each cylinder in the last cycle, shape (2, n)."""
    if len(run.history) < 2:
        return np.full((2, run.engine.cylinders), math.inf)
    return _between(run.history[-2], run.history[-1])


def _between(before: Array, after: Array) -> Array:
    change: Array = np.abs(after - before) / np.max(np.abs(after), axis=1, keepdims=True)
    return change


def _only_swings(run: Run, settling: Settling) -> bool:
    """Whether what changes from cycle to cycle has means that stay."""
    count = settling.swinging
    if len(run.history) < 2 * count:
        return False
    before, after = (
        np.mean(run.history[first:last], axis=0) for first, last in ((-2 * count, -count), (-count, None))
    )
    return bool(np.max(_between(before, after)) < settling.change)


def _light(run: Run) -> None:
    """Set the fire of the next cycle by the speed and by the residual of the last."""
    burning = run.engine.burning
    by_speed = math.degrees(burning.span) * (run.speed / burning.span_speed) ** burning.speed_exponent
    for number, residual in enumerate(residuals(run.network)):
        slower = 1.0 + burning.residual_factor * max(residual - burning.residual_from, 0.0)
        length, half_way = burning.shape.span(by_speed * slower)
        set_fire(run.network, number, length, run.half_burned, half_way)


def residuals(network: Network) -> Array:
    """Share of burned gas in what each cylinder trapped; 0 before the first time."""
    burned: Array = network.cylinders[:, columns.TRAPPED_BURNED] / network.cylinders[:, columns.TRAPPED_MASS]
    return burned


def _held(network: Network) -> Array:
    """Mass and energy in all pipes and in all volumes that may change."""
    layout, moving = network.layout, network.volumes[:, columns.FIXED] == 0.0
    held = np.array(
        [np.sum(network.volumes[moving, columns.MASS]), np.sum(network.volumes[moving, columns.ENERGY])]
    )
    for pipe in range(len(layout.starts)):
        volumes = layout.volumes(pipe)
        held += [
            np.sum(layout.row(pipe, rows.DENSITY) * volumes),
            np.sum(layout.row(pipe, rows.ENERGY) * volumes),
        ]
    return held


def _balance(run: Run, before: Array) -> None:
    """Compare what the engine holds after a cycle with what came in, went out, burned and worked."""
    network, cylinders = run.network, run.network.cylinders
    layout = network.layout
    change = _held(network) - before
    fixed = network.volumes[network.behind, columns.FIXED] == 1.0
    change += np.sum(network.totals[fixed, :2], axis=0)
    total = np.sum(cylinders, axis=0)
    walls = sum(
        float(np.sum(layout.row(pipe, rows.HEAT) * layout.volumes(pipe)))
        for pipe in range(len(layout.starts))
    )
    change[0] += total[columns.LEAK] - total[columns.ADDED_FUEL]
    change[1] += (
        total[columns.LEAK_ENERGY]
        + total[columns.HEAT]
        + total[columns.WORK]
        - total[columns.ADDED_ENERGY]
        - total[columns.FIRE]
        - walls
        - float(np.sum(network.volumes[:, columns.WALL_HEAT]))
    )
    run.mass_error = float(change[0] / total[columns.TRAPPED_MASS])
    run.energy_error = float(change[1] / total[columns.FIRE])
