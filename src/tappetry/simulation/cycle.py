"""Cycle after cycle until they repeat: what an engine does at one speed, or why it does not settle."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from tappetry.engineering.crank import mean_piston_speed
from tappetry.engineering.ranges import Range, require_between
from tappetry.simulation import columns, rows
from tappetry.simulation.cylinders import begin_cycle, set_fire
from tappetry.simulation.engine import Engine, Mesh, build, pipes_of
from tappetry.simulation.network import Array, Network

RELIEF, TAKEN_UP = 0.05, 0.85
"""Share of a knock integral that a degree of retard takes: 0.045 to 0.055 in the invented engines; and share
of what knock asks for by which the fire is moved, for the charge follows it in the next cycle. [1/deg], [1]
"""

WORK = 2.5
PARTS = np.array([1.0, WORK])
"""How much more than trapped air the work of a cylinder may change from cycle to cycle. [1]"""

EARLY = 3.0
"""How many times what is allowed a cylinder may change that comes early in the second cycle. [1]"""

FARTHEST = 1.5
"""By how much the next step of speeds may exceed the last, for the state to go on in a straight line. [1]"""

NO_AIR = 0.9
"""Share of burned gas in what a cylinder traps above which next to no air comes to it. [1]"""

QUIET, NEAR = 0.99, 0.008
"""Knock integral for which a fire is set that would knock if it were earlier, and how near is enough. [1]"""


@dataclass(frozen=True, slots=True)
class Settling:
    """When cycles count as repeating, and how many there may be.

    Attributes
    ----------
    change : float
        Greatest relative change of any cylinder's trapped air from cycle to cycle, or all that is to come
        where changes become less; of its work, which follows air and fire, it may be `WORK` times that. In
        the second cycle those count that come late in it, see `EARLY`. [1]
    swing : float
        How much they may change where they swing about means that stay within `change`. [1]
    least, most : int
        Cycles.
    swinging : int
        Cycles of each of the two means.
    """

    change: float = 3e-3
    swing: float = 5e-3
    least: int = 2
    most: int = 80
    swinging: int = 10


class NotSettled(RuntimeError):
    """Cycles do not come to repeat: which cylinder, what, by how much, and what to look at.

    ``burned`` is the greatest share of burned gas that a cylinder traps; an engine that is `starved` hardly
    gets any air.
    """

    def __init__(
        self,
        speed: float,
        cycles: int,
        cylinder: int,
        quantity: str,
        change: float,
        limit: float,
        burned: float,
    ) -> None:
        self.speed, self.cycles, self.cylinder = speed, cycles, cylinder
        self.quantity, self.change, self.limit = quantity, change, limit
        self.starved = burned > NO_AIR
        super().__init__(
            f"at {speed * 30 / math.pi:.0f} rpm cycles do not repeat after {cycles}: {quantity} of cylinder "
            f"{cylinder + 1} still changes by {change:.2%} from one to the next, allowed is {limit:.2%}. "
            + (
                f"Look at the throttle: {100.0 * (1.0 - burned):.2g}% of what a cylinder traps is fresh, and "
                "of so little any change is large"
                if self.starved
                else "Look at overlap and at long pipes: an engine may breathe in turns at low speed"
            )
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
    mesh : Mesh
    half_burned : float
        Angle after the dead centre at which half is burned now. [deg]
    cycles, steps : int
        So far, and of the last cycle.
    mass_error, energy_error : float
        Of the last cycle: what is missing in the balance, over what was trapped and over the fire. [1]
    history : list of ndarray, shape (2, n)
        Trapped air and work of each cylinder, cycle by cycle. [kg], [J]
    earlier : Run or None
        That from whose state it began.
    """

    engine: Engine
    speed: float
    network: Network
    mesh: Mesh
    half_burned: float
    cycles: int = 0
    steps: int = 0
    mass_error: float = 0.0
    energy_error: float = 0.0
    history: list[Array] = field(default_factory=list)
    earlier: Run | None = None

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
    first, latest = math.degrees(engine.burning.half_burned), math.degrees(engine.burning.latest)
    if neighbour is None:
        return _from_rest(engine, speed, mesh, first)
    if neighbour.engine == engine and neighbour.mesh == mesh:
        network = neighbour.network.copied()
        network.engine[columns.SPEED] = speed
        network.engine[columns.PISTON_SPEED] = mean_piston_speed(engine.bore.stroke, speed)
    else:
        network = build(engine, speed, mesh)
        network.take_state(neighbour.network)
    network.volumes[:, columns.PRESSURE_RATE : columns.TEMPERATURE_RATE + 1] = 0.0
    half_burned, earlier = neighbour.half_burned, neighbour.earlier
    if earlier is not None and earlier.engine == engine and earlier.mesh == mesh:
        share = (speed - neighbour.speed) / (neighbour.speed - earlier.speed)
        if abs(share) <= FARTHEST:
            network.go_on(earlier.network, share)
            half_burned += share * (half_burned - earlier.half_burned)
    half_burned = min(max(half_burned, first), latest) if engine.fuel.octane > 0.0 else first
    run = Run(engine, speed, network, mesh, half_burned, earlier=neighbour)
    neighbour.earlier = None
    return run


ROUGH_CYCLES, ROUGH_STEP = 2, 4.0
"""Cycles from rest that are turned with few cells, and the largest step in them. [1], [deg]"""


def _from_rest(engine: Engine, speed: float, mesh: Mesh, half_burned: float) -> Run:
    """An engine after some rough cycles: what stood in it at rest is best forgotten with few cells."""
    rough_mesh = mesh.rough()
    if rough_mesh is None:
        return Run(engine, speed, build(engine, speed, mesh), mesh, half_burned)
    rough = Run(engine, speed, build(engine, speed, rough_mesh), rough_mesh, half_burned)
    tables = rough.network.engine
    largest, tables[columns.LARGEST_STEP] = tables[columns.LARGEST_STEP], ROUGH_STEP
    for _ in range(ROUGH_CYCLES):
        one_cycle(rough)
        _listen(rough)
    tables[columns.LARGEST_STEP] = largest
    return Run(engine, speed, rough.network.cut_anew(pipes_of(engine, mesh)), mesh, rough.half_burned)


def settle_cycles(run: Run, settling: Settling) -> None:
    """Turn until cycles repeat and no cylinder knocks, or the fire is as late as it may be.

    Raises
    ------
    NotSettled
        They do not repeat.
    """
    begun, change = run.cycles, np.full((2, run.engine.cylinders), math.inf)
    while run.cycles - begun < settling.most:
        change = one_cycle(run)
        quiet = _listen(run)
        allowed = settling.change * PARTS
        repeats = bool(np.all(_to_come(run, change) < allowed))
        repeats = repeats or (run.cycles - begun == 2 and _forgets(run, change, allowed))
        swings = float(np.max(change)) < settling.swing and _only_swings(run, settling)
        if quiet and run.cycles - begun >= settling.least and (repeats or swings):
            return
    quantity, cylinder = np.unravel_index(np.argmax(change / PARTS[:, np.newaxis]), change.shape)
    raise NotSettled(
        run.speed,
        run.cycles - begun,
        int(cylinder),
        ("trapped air", "work")[quantity],
        float(change[quantity, cylinder]),
        settling.change * float(PARTS[quantity]),
        float(np.max(residuals(run.network))),
    )


def _listen(run: Run) -> bool:
    """Whether the fire stands where the knock of the last cycle wants it; if not, set it for the next."""
    burning, knock = run.engine.burning, run.knock
    if run.engine.fuel.octane <= 0.0 or knock <= 0.0:
        return True
    first, latest = math.degrees(burning.half_burned), math.degrees(burning.latest)
    wanted = run.half_burned + math.log(knock / QUIET) / RELIEF
    later = min(max(wanted, first), latest) - run.half_burned
    if abs(later) * RELIEF <= NEAR:
        return True
    run.half_burned += TAKEN_UP * later
    return False


def one_cycle(run: Run) -> Array:
    """Turn one cycle; return the relative changes of trapped air and work of each cylinder, shape (2, n)."""
    network, engine = run.network, run.engine
    cylinders = network.cylinders
    _light(run)
    begin_cycle(network)
    network.layout.everywhere(rows.HEAT)[:] = 0.0
    volumes = network.layout.all_volumes
    before = _held(network, volumes)
    run.steps = network.turn(0.0, 720.0, run.mesh.courant)
    run.cycles += 1
    _balance(run, before, volumes)
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


def _to_come(run: Run, change: Array) -> Array:
    """What the greatest changes of the last cycle, shape (2,), leave to come; at most they themselves.

    From cycle to cycle a change becomes less by about the same share, so what is left is the sum of a series.
    """
    last = np.max(change, axis=1)
    if len(run.history) < 3:
        return last
    before = np.max(_between(run.history[-3], run.history[-2]), axis=1)
    falls = before > last
    left: Array = np.where(falls, last * last / np.where(falls, before - last, 1.0), last)
    return np.minimum(last, left)


def _forgets(run: Run, change: Array, allowed: Array) -> bool:
    """Whether the second cycle after all was set anew leaves no more to come than is allowed, shape (2,).

    Cylinders that come late in it were set nearly two cycles ago: those that come early, and still change by
    more, will change by about as much in the next.
    """
    lag = run.network.cylinders[:, columns.LAG]
    shuts, fires = (lag + run.network.engine[columns.INTAKE_SHUTS]) % 720.0, (lag + 360.0) % 720.0
    late = np.stack([shuts, fires]) >= 360.0
    of_late = np.max(change, axis=1, where=late, initial=0.0)
    few = np.all(np.max(change, axis=1) < EARLY * allowed)
    return bool(few and np.all(np.any(late, axis=1)) and np.all(of_late < allowed))


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
    for number, residual in enumerate(residuals(run.network)):
        length, half_way = burning.shape.span(math.degrees(burning.span_at(run.speed, float(residual))))
        set_fire(run.network, number, length, run.half_burned, half_way)


def residuals(network: Network) -> Array:
    """Share of burned gas in what each cylinder trapped; 0 before the first time."""
    burned: Array = network.cylinders[:, columns.TRAPPED_BURNED] / network.cylinders[:, columns.TRAPPED_MASS]
    return burned


def _held(network: Network, volumes: Array) -> Array:
    """Mass and energy in all pipes, whose places have these volumes, and in all volumes that may change."""
    layout, moving = network.layout, network.volumes[:, columns.FIXED] == 0.0
    return np.array(
        [
            np.sum(network.volumes[moving, columns.MASS]) + layout.total(rows.DENSITY, volumes),
            np.sum(network.volumes[moving, columns.ENERGY]) + layout.total(rows.ENERGY, volumes),
        ]
    )


def _balance(run: Run, before: Array, volumes: Array) -> None:
    """Compare what the engine holds after a cycle with what came in, went out, burned and worked."""
    network, cylinders = run.network, run.network.cylinders
    change = _held(network, volumes) - before
    fixed = network.volumes[network.behind, columns.FIXED] == 1.0
    change += np.sum(network.totals[fixed, :2], axis=0)
    total = np.sum(cylinders, axis=0)
    walls = network.layout.total(rows.HEAT, volumes)
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
