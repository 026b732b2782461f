"""Pictures of what `tappetry simulate` found, by the word that asks for them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tappetry.services.simulate import Simulated, rpm

if TYPE_CHECKING:
    from tappetry.presentation.charts.chart import Chart


def drawn(asked: str, found: Sequence[Simulated]) -> Chart:
    """A picture of curves, or of the engine with the first camshaft at its speed.

    Raises
    ------
    BadInput
        There is nothing to draw, or there are more camshafts than can be told apart.
    Refusal
        Cycles do not come to repeat.
    """
    from tappetry.presentation.charts import simulated, valves, waves
    from tappetry.services import first_cylinder

    if asked == "torque":
        return simulated.torque_power(found)
    if asked == "filling":
        return simulated.volumetric_efficiency(found)
    (one,) = found
    told = one.described
    if asked == "lift":
        return valves.lift_and_flow(told)
    speed = rpm(one.points[0])
    of = f"cylinder 1, {told.variant} with {told.cam} at {speed:.0f} rpm"
    if asked == "indicator":
        turned = first_cylinder.indicated(told, speed, one.mesh)
        return simulated.pressure_volume(
            f"Pressure and volume, {of}",
            turned.angles.tolist(),
            turned.volumes.tolist(),
            turned.pressures.tolist(),
        )
    found_there = first_cylinder.heard(told, speed, one.mesh)
    return waves.pressure_at_valves(f"Pressure at the valves, {of}", found_there)
