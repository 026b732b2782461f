"""Charts of valve trains in motion: they show what was turned, tell it in words, refuse what has no line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tappetry.presentation.charts.chart import Chart, as_table, specification, svg
from tappetry.presentation.charts.motion import INTENT, by_angle, by_speed, surge_orders
from tappetry.presentation.charts.theme import DARK, LIGHT, Theme
from tappetry.records.problems import BadInput
from tappetry.services.shop import Shop
from tappetry.services.train_sources import source_of_variant
from tappetry.services.valve_motion import RPM, SpringMotion, ValveMotion, at_speed, simulate_valves

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def found() -> ValveMotion:
    shop = Shop(Path(__file__).parents[2] / "src/tappetry/demo/shop")
    return simulate_valves(source_of_variant(shop, "B56", "B2"), ["S1", "S2", "S3"])


def of(chart: Chart, name: str) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """The numbers of one series, as rows."""
    return np.array([row[1:] for row in chart.rows if row[0] == name], dtype=np.float64)


def test_motion_by_speed_is_that_of_the_valve_that_limits(found: ValveMotion) -> None:
    chart = by_speed(found)
    assert {row[0] for row in chart.rows} == {"S2, intake", "S3, intake"}
    shown, motion = of(chart, "S2, intake"), found.springs[1].worst.motion
    np.testing.assert_allclose(shown[:, 0], found.speeds / RPM)
    np.testing.assert_array_equal(shown[:, 1], motion.least_force)
    np.testing.assert_array_equal(shown[:, 2], motion.seating_speed)


def test_motion_by_angle_stands_beside_what_the_cam_asks(found: ValveMotion) -> None:
    chart = by_angle(at_speed(found, 3000.0))
    asked, turned = of(chart, INTENT), of(chart, "S2, intake")
    assert asked[np.argmax(asked[:, 1]), 0] == pytest.approx(0.0, abs=1e-9)
    assert np.max(asked[:, 1]) == pytest.approx(14.459, abs=1e-3)
    assert np.max(np.abs(asked[:, 1] - turned[:, 1])) < 0.6
    assert "3000 rpm" in chart.title


def test_orders_peak_where_they_meet_the_spring(found: ValveMotion) -> None:
    spring = found.springs[1]
    chart = surge_orders(found, spring)
    series = list(dict.fromkeys(row[0] for row in chart.rows))
    assert 2 <= len(series) <= 6
    for name in set(series) & {"order 11", "order 12", "order 14"}:
        rows = of(chart, str(name))
        meets = 120.0 * 490.0 / int(str(name).split()[1])
        assert rows[np.argmax(rows[:, 1]), 0] == pytest.approx(meets, rel=0.02)
    assert np.max(of(chart, str(series[0]))[:, 0]) * RPM < found.limit(spring)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_they_are_drawn_with_units_and_told_in_words(found: ValveMotion, theme: Theme) -> None:
    for chart in (by_speed(found), by_angle(at_speed(found, 6000.0)), surge_orders(found, found.springs[1])):
        assert specification(chart, theme)["config"]["background"] == theme.paper
        assert len(as_table(chart)["rows"]) == len(chart.rows)
        assert all(math.isfinite(cell) for row in chart.rows for cell in row if isinstance(cell, float))
    assert "[m/s]" in svg(by_speed(found))


def test_what_has_no_line_is_refused(found: ValveMotion) -> None:
    solid = replace(found, springs=found.springs[:1])
    drawn: list[Callable[[], Chart]] = [
        lambda: by_speed(solid),
        lambda: by_angle(solid),
        lambda: surge_orders(solid, solid.springs[0]),
    ]
    for draw in drawn:
        with pytest.raises(BadInput, match="there is nothing to draw"):
            draw()
    many = replace(found, springs=tuple(_named(found, str(number)) for number in range(7)))
    with pytest.raises(BadInput, match="at most 6"):
        by_speed(many)


def _named(found: ValveMotion, name: str) -> SpringMotion:
    spring = found.springs[1]
    return replace(spring, candidate=replace(spring.candidate, spring=name))
