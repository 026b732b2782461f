"""An engine swept over one of its numbers: all else as it is, at one speed or over a band."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tappetry.records.problems import BadInput, Where
from tappetry.services.breathing import Described
from tappetry.services.simulate import Simulated, Told, simulate_described, steps_of
from tappetry.simulation.engine import Engine, Valve

MOST_VALUES = 50


@dataclass(frozen=True, slots=True)
class Lever:
    """A number of an engine that can be swept.

    Attributes
    ----------
    name, title, unit : str
    low, high : float
        Between which it makes sense, in its unit.
    read : callable
        Its value in an engine, in its unit.
    put : callable
        The engine with another value.
    """

    name: str
    title: str
    unit: str
    low: float
    high: float
    read: Callable[[Engine], float]
    put: Callable[[Engine, float], Engine]


@dataclass(frozen=True, slots=True)
class Swept:
    """What came of it: a value of the lever and the engine with it, one after the other."""

    lever: Lever
    now: float
    values: tuple[float, ...]
    found: tuple[Simulated, ...]


def _turned(valve: Valve, degrees: float) -> Valve:
    return replace(valve, nose=valve.nose + math.radians(degrees))


def _intake(engine: Engine) -> float:
    return math.degrees(engine.intake.nose)


def _exhaust(engine: Engine) -> float:
    return 720.0 - math.degrees(engine.exhaust.nose)


def _separation(engine: Engine) -> float:
    return 0.5 * (_intake(engine) + _exhaust(engine))


def _with_separation(engine: Engine, value: float) -> Engine:
    more = value - _separation(engine)
    return replace(engine, intake=_turned(engine.intake, more), exhaust=_turned(engine.exhaust, -more))


def _advance(engine: Engine) -> float:
    return 0.5 * (_exhaust(engine) - _intake(engine))


def _with_advance(engine: Engine, value: float) -> Engine:
    more = value - _advance(engine)
    return replace(engine, intake=_turned(engine.intake, -more), exhaust=_turned(engine.exhaust, -more))


def _with_centreline(engine: Engine, value: float) -> Engine:
    return replace(engine, intake=_turned(engine.intake, value - _intake(engine)))


def _with_compression(engine: Engine, value: float) -> Engine:
    return replace(engine, bore=replace(engine.bore, compression_ratio=value))


def _with_runner(engine: Engine, value: float) -> Engine:
    runner = engine.runner
    more = value / 1e3 - runner.positions[1]
    first, *rest = runner.positions
    return replace(
        engine,
        runner=replace(
            runner,
            positions=(first, *(place + more for place in rest)),
            loss_to=runner.loss_to + more,
            pocket_from=runner.pocket_from + more,
            pocket_to=runner.pocket_to + more,
        ),
    )


LEVERS = {
    lever.name: lever
    for lever in (
        Lever("advance", "camshaft earlier than straight up", "deg", -12.0, 12.0, _advance, _with_advance),
        Lever("separation", "lobe separation, cam", "deg", 95.0, 125.0, _separation, _with_separation),
        Lever(
            "intake-centreline",
            "intake lobe alone, and with it the closing of its valve",
            "deg",
            90.0,
            130.0,
            _intake,
            _with_centreline,
        ),
        Lever(
            "compression",
            "compression ratio",
            "1",
            6.0,
            15.0,
            lambda engine: engine.bore.compression_ratio,
            _with_compression,
        ),
        Lever(
            "runner-length",
            "runner before the port",
            "mm",
            50.0,
            900.0,
            lambda engine: engine.runner.positions[1] * 1e3,
            _with_runner,
        ),
    )
}


def lever_of(text: str) -> tuple[Lever, tuple[float, ...]]:
    """A lever and its values from NAME=LOW..HIGH..STEP.

    Raises
    ------
    BadInput
        There is no such lever, or the values cannot be read or lie outside what makes sense.
    """
    where = Where("tappetry simulate", field="--sweep")
    name, _, ends = text.partition("=")
    if name not in LEVERS:
        raise BadInput.at(where, "there is no such quantity to sweep", name, "one of " + ", ".join(LEVERS))
    lever = LEVERS[name]
    try:
        low, high, step = (float(part) for part in ends.split(".."))
    except ValueError:
        raise BadInput.at(where, "values cannot be read", text, "NAME=LOW..HIGH..STEP") from None
    if not lever.low <= low < high <= lever.high:
        unit = "" if lever.unit == "1" else f" {lever.unit}"
        between = f"{lever.low:g} to {lever.high:g}{unit}, rising"
        raise BadInput.at(where, f"no such {name}", ends, between)
    count = steps_of(high - low, step) + 1 if step > 0.0 else 0
    if not 2 <= count <= MOST_VALUES:
        raise BadInput.at(where, f"that makes {count} values", f"{step:g}", f"2 to {MOST_VALUES}")
    return lever, tuple(low + step * number for number in range(count))


def sweep(
    described: Described, lever: Lever, values: Sequence[float], speeds: Sequence[float], told: Told
) -> Swept:
    """Turn an engine at some speeds [rpm] with each value of a lever.

    Raises
    ------
    Refusal
        Cycles do not come to repeat.
    """
    found = tuple(
        simulate_described(replace(described, engine=lever.put(described.engine, value)), speeds, told)
        for value in values
    )
    return Swept(lever, lever.read(described.engine), tuple(values), found)
