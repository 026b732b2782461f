"""An engine turned at one speed until its cycles repeat, and what is seen then of its first cylinder."""

from __future__ import annotations

import math

from tappetry.records.problems import Refusal
from tappetry.services.breathing import Described
from tappetry.simulation.cycle import NotSettled, Run
from tappetry.simulation.engine import Mesh
from tappetry.simulation.indicator import Indicated, indicate
from tappetry.simulation.network import GasLost
from tappetry.simulation.results import simulate
from tappetry.simulation.waves import Waves, listen


def indicated(described: Described, speed: float, mesh: Mesh) -> Indicated:
    """Its pressure and volume through a cycle, at an engine speed [rpm].

    Raises
    ------
    Refusal
        Cycles do not come to repeat.
    """
    return indicate(_settled(described, speed, mesh))


def heard(described: Described, speed: float, mesh: Mesh) -> Waves:
    """The pressure at its valves and the waves that come back to them, at an engine speed [rpm].

    Raises
    ------
    Refusal
        Cycles do not come to repeat.
    """
    return listen(_settled(described, speed, mesh))


def _settled(described: Described, speed: float, mesh: Mesh) -> Run:
    try:
        _, run = simulate(described.engine, speed * math.pi / 30.0, mesh)
    except (NotSettled, GasLost) as error:
        raise Refusal(str(error), ways_out=["try another speed"]) from None
    return run
