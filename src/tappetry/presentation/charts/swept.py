"""The chart of a sweep: torque and power by the value that is swept."""

from __future__ import annotations

from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.columns import column
from tappetry.presentation.charts.lines import panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.presentation.measures import METRIC, Measures
from tappetry.services.sweeping import Swept


def sweep_chart(found: Swept, measures: Measures = METRIC) -> Chart:
    """Mean torque over all speeds and most power, by the value that is swept."""
    lever, told = found.lever, found.found[0].described
    value = Column(lever.name.replace("-", "_"), lever.title, "" if lever.unit == "1" else lever.unit)
    torque = column("mean_torque", "mean torque", "torque", measures)
    power = column("most_power", "most power", "power", measures)
    rows = tuple(
        (
            each,
            measures.of(one.mean_torque, "torque"),
            measures.of(one.best_power.brake_power, "power"),
        )
        for each, one in zip(found.values, found.found, strict=True)
    )

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            panel(data, theme, value, torque, zero=False, last=False, points=True),
            panel(data, theme, value, power, zero=False, points=True),
        )

    return Chart(f"{told.variant} with {told.cam}: {lever.title}", (value, torque, power), rows, draw)
