"""Part load: the opening of the throttle at which an engine holds a load, or turns itself and no more.

Knock is not looked for: the delay of the end gas was fitted at full load, and knows nothing of a charge of
which half may be burned gas.
"""

from __future__ import annotations

import math
from dataclasses import replace

from tappetry.simulation.cycle import Run, Settling
from tappetry.simulation.engine import Engine, Mesh
from tappetry.simulation.results import Point, simulate

OPENINGS = (2e-4, 0.3)
"""Shares of the throttle's area among which idle is looked for. [1]"""

ANY_OPENING, FIRST_OPENING = (2e-4, 1.0), 0.01
"""Shares among which any other load is looked for, and the first that is tried. [1]"""

LEVEL = 2e3
"""By how much the mean pressure at the crankshaft may miss what is wanted. [Pa]"""

NO_KNOCK = 0.0
MOST_TRIALS = 30
IDLE_MESH = Mesh(4, 6, 5, 12)
"""Longer cells than at other speeds: a cycle takes long, and waves matter little."""


class NoOpening(RuntimeError):
    """No opening of the throttle leaves what is wanted at the crankshaft."""

    def __init__(self, speed: float, opening: float, brake_pressure: float, wanted: float) -> None:
        self.opening, self.brake_pressure = opening, brake_pressure
        super().__init__(
            f"at {speed * 30 / math.pi:.0f} rpm no opening of the throttle leaves {wanted / 1e3:.0f} kPa at "
            f"the crankshaft: with {opening:.2%} of it {brake_pressure / 1e3:+.0f} kPa are left"
        )


class NoIdle(RuntimeError):
    """No opening in the range lets the engine turn itself."""

    def __init__(self, speed: float, opening: float, brake_pressure: float) -> None:
        self.opening, self.brake_pressure = opening, brake_pressure
        short = "still more than it needs" if brake_pressure > 0.0 else "too little to turn it"
        super().__init__(
            f"at {speed * 30 / math.pi:.0f} rpm the engine does not idle: with {opening:.2%} of its throttle "
            f"{brake_pressure / 1e3:+.0f} kPa are left at the crankshaft, {short}. "
            "Look at friction, and at the overlap: too much burned gas puts the fire out"
        )


def idle(engine: Engine, speed: float, settling: Settling | None = None) -> tuple[Point, float]:
    """The point at which an engine idles, and the share of its throttle that is open.

    Parameters
    ----------
    engine : Engine
        With the mixture of part load.
    speed : float
        [rad/s]
    settling : Settling, optional

    Returns
    -------
    tuple of Point and float
        The share is of the throttle's whole area. [1]

    Raises
    ------
    NoIdle
        There is no such opening.
    NotSettled
        Cycles do not repeat.
    """
    try:
        return at_load(engine, speed, 0.0, OPENINGS, settling)
    except NoOpening as none:
        raise NoIdle(speed, none.opening, none.brake_pressure) from None


def at_load(
    engine: Engine,
    speed: float,
    wanted: float,
    openings: tuple[float, float] = ANY_OPENING,
    settling: Settling | None = None,
) -> tuple[Point, float]:
    """The point at which a load is held at part throttle, and the share of the throttle that is open.

    Parameters
    ----------
    engine : Engine
        With the mixture of part load.
    speed : float
        [rad/s]
    wanted : float
        Mean pressure at the crankshaft. [Pa]
    openings : tuple of float
        Shares among which it is looked for. [1]
    settling : Settling, optional

    Returns
    -------
    tuple of Point and float
        The share is of the throttle's whole area. [1]

    Raises
    ------
    NoOpening
        There is no such opening.
    NotSettled
        Cycles do not repeat.
    """
    run: Run | None = None
    engine = replace(engine, fuel=replace(engine.fuel, octane=NO_KNOCK))

    def at(opening: float) -> Point:
        nonlocal run
        part = replace(engine, throttle_area=opening * engine.throttle_area)
        point, run = simulate(part, speed, IDLE_MESH, settling, run)
        return point

    low, high = (math.log(opening) for opening in openings)
    guess = math.log(FIRST_OPENING)
    below = above = None
    point = at(math.exp(guess))
    for _ in range(MOST_TRIALS):
        left = point.brake_pressure - wanted
        if abs(left) < LEVEL:
            return point, math.exp(guess)
        if left > 0.0:
            high, above = guess, left
        else:
            low, below = guess, left
        if above is not None and below is not None:
            # In the middle between halves and the straight line: the one is slow, the other may stick.
            straight = low + (high - low) * below / (below - above)
            guess = 0.25 * (0.5 * (low + high)) + 0.75 * straight
        else:
            guess += -0.5 if left > 0.0 else 0.5
        if not low < guess < high:
            break
        point = at(math.exp(guess))
    raise NoOpening(speed, math.exp(min(max(guess, low), high)), point.brake_pressure, wanted)
