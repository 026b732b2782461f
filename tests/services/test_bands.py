"""Bands of results against closed forms, a general-purpose library, and draws of their own."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from tappetry.calculations.registry import registry
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.services.bands import FIRST_ORDER, MONTE_CARLO, Bands, Varied, bands


def within(
    name: str, nominal: float, plus: float, minus: float | None = None, place: int | None = None
) -> Varied:
    lower = plus if minus is None else minus
    return Varied(name, Toleranced(nominal, plus, lower, Spread.LIMITS, Origin.STATED), place)


def of(calculation: str, inputs: dict[str, Any], *varied: Varied, singly: bool = False) -> Bands:
    return bands(registry().get(calculation).evaluate, inputs, varied, singly=singly)


def test_a_sum_is_the_root_of_the_squares() -> None:
    inputs = {"installed_height": 45e-3, "solid_height": 28e-3, "lift_at_valve": 14e-3}
    found = of(
        "coil-bind-margin",
        inputs,
        within("installed_height", 45e-3, 3e-4),
        within("lift_at_valve", 14e-3, 1e-4),
    ).of["coil_bind_margin"]
    assert found.mean == pytest.approx(3e-3)
    assert found.deviation == pytest.approx(math.hypot(3e-4, 1e-4) / math.sqrt(3))
    assert (found.worst_low, found.worst_high) == pytest.approx((2.6e-3, 3.4e-3))
    assert found.shares == pytest.approx({"installed_height": 0.9, "lift_at_valve": 0.1})
    assert (found.method, found.drawn) == (FIRST_ORDER, None)


def test_one_input_alone_never_leaves_its_limits() -> None:
    """1.96 standard deviations of one even spread would reach beyond the limits."""
    found = of(
        "quench", {"deck_clearance": 5e-4, "gasket_thickness": 1.3e-3}, within("deck_clearance", 5e-4, 1e-4)
    )
    band = found.of["quench"]
    assert (band.low, band.high) == pytest.approx((1.7e-3, 1.9e-3))


def test_lopsided_limits_have_their_middle_elsewhere() -> None:
    found = of(
        "quench",
        {"deck_clearance": 5e-4, "gasket_thickness": 1.3e-3},
        within("deck_clearance", 5e-4, 3e-4, 1e-4),
    )
    assert found.of["quench"].mean == pytest.approx(1.9e-3)


def test_an_input_that_is_used_twice_counts_once() -> None:
    """Throw and rod stand in the formula several times; judged by a library that follows each variable."""
    inputs = {"stroke": 0.091, "rod_length": 0.156}
    varied = [within(name, value, value * 1e-3) for name, value in inputs.items()]
    speed = {"engine_speed": 600.0, "crank_angle": 1.1}
    found = of("piston-velocity", {**speed, **inputs}, *varied)
    throw, rod = (uncertainties.ufloat(value, value * 1e-3 / math.sqrt(3)) for value in (0.091, 0.156))
    throw = throw / 2
    aside = throw * math.sin(1.1)
    velocity = 600.0 * throw * (math.sin(1.1) + aside * math.cos(1.1) / umath.sqrt(rod**2 - aside**2))
    assert found.of["piston_velocity"].deviation == pytest.approx(velocity.std_dev, rel=1e-5)


def test_results_that_share_an_input_go_together() -> None:
    inputs = dict(registry().get("spring-fit").example)
    found = of(
        "spring-fit",
        inputs,
        within("installed_height", inputs["installed_height"], 2e-4),
        within("spring_rate", inputs["spring_rate"], 0.02 * inputs["spring_rate"]),
    )
    assert found.correlations["seat_load", "coil_bind_margin"] == pytest.approx(-1.0, abs=1e-3)
    rate, squeeze = inputs["spring_rate"], inputs["reference_height"] - inputs["installed_height"]
    seat = np.array([2e-4 * rate, 0.02 * rate * squeeze])
    opened = np.array([2e-4 * rate, 0.02 * rate * (squeeze + inputs["lift_at_valve"])])
    wanted = seat @ opened / np.linalg.norm(seat) / np.linalg.norm(opened)
    assert found.correlations["seat_load", "open_load"] == pytest.approx(wanted, rel=1e-3)


def test_a_strongly_bent_result_is_drawn() -> None:
    """A piston somewhere within 40 degrees of its dead centre, where the first order sees no change."""
    inputs = {"crank_angle": 0.0, "engine_speed": 600.0, "stroke": 0.09, "rod_length": 0.15}
    width = math.radians(40)
    found = of(
        "piston-fall",
        {k: v for k, v in inputs.items() if k != "engine_speed"},
        within("crank_angle", 0.0, width),
    )
    band = found.of["piston_fall"]
    assert band.method == MONTE_CARLO
    assert band.drawn is not None
    angles = np.linspace(-width, width, 100_001)
    falls = (
        registry().get("piston-fall").evaluate({"crank_angle": angles, "stroke": 0.09, "rod_length": 0.15})
    )
    wanted = falls["piston_fall"]
    assert band.drawn.mean == pytest.approx(wanted.mean(), rel=2e-3)
    assert band.drawn.deviation == pytest.approx(wanted.std(), rel=2e-3)
    assert (band.low, band.high) == pytest.approx(
        tuple(np.percentile(wanted, (2.5, 97.5))), rel=0.02, abs=1e-6
    )
    assert band.deviation < 0.01 * band.drawn.deviation


def test_entries_of_a_list_vary_one_by_one() -> None:
    stiffnesses = [2e9, 1e9]
    found = of(
        "series-stiffness",
        {"stiffnesses": stiffnesses},
        within("stiffnesses", 2e9, 1e7, place=0),
        within("stiffnesses", 1e9, 1e7, place=1),
        singly=True,
    ).of["series_stiffness"]
    assert found.shares == pytest.approx({"stiffnesses 1": 1 / 17, "stiffnesses 2": 16 / 17}, rel=1e-3)
    assert stiffnesses == [2e9, 1e9]


def test_words_have_no_band_and_the_same_comes_out_twice() -> None:
    inputs = dict(registry().get("flat-curvature").example)
    varied = within("lobe_lift", inputs["lobe_lift"], 0.1 * inputs["lobe_lift"])
    one, two = (of("flat-curvature", inputs, varied, singly=True) for _ in range(2))
    assert one == two
    money = {"amount": "2.675"}
    assert registry().get("round-money").evaluate(money) == {"rounded": "2.68"}
