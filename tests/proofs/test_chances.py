"""The chance of a sum of spreads: against closed forms, quadrature and drawn sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import kstest, norm

from tappetry.engineering.uncertainty import failing_chance
from tappetry.proofs.chances import chance_below_zero, even_draws, normal_draws

NONE = np.array([])


@pytest.mark.parametrize("mean", [-1.0, -0.99, -0.6, 0.0, 0.3, 0.9, 1.0, 2.0])
def test_one_even_spread(mean: float) -> None:
    expected = min(1.0, max(0.0, (1.0 - mean) / 2.0))
    assert chance_below_zero(mean, np.array([1.0]), 0.0) == pytest.approx(expected, abs=4e-4)


@pytest.mark.parametrize("mean", [-1.9, -0.7, 0.0, 0.2, 1.0, 1.8, 2.0])
def test_two_like_even_spreads_make_a_triangle(mean: float) -> None:
    expected = (2.0 - mean) ** 2 / 8.0 if mean >= 0 else 1.0 - (2.0 + mean) ** 2 / 8.0
    assert chance_below_zero(mean, np.array([1.0, 1.0]), 0.0) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("mean", [-3.0, 0.0, 1.0, 2.5, 4.0])
def test_normal_spreads_alone(mean: float) -> None:
    expected = norm.cdf(-mean / 0.8)
    assert chance_below_zero(mean, NONE, 0.8) == pytest.approx(expected, abs=1e-10)
    if mean > 0:
        assert chance_below_zero(mean, NONE, 0.8) == pytest.approx(failing_chance(mean, 0.8), abs=1e-10)


@pytest.mark.parametrize("mean", [-0.5, 0.4, 1.2, 2.0, 2.6])
def test_an_even_and_a_normal_spread(mean: float) -> None:
    def density(x: float) -> float:
        return float((norm.cdf((x + 1.5) / 0.4) - norm.cdf((x - 1.5) / 0.4)) / 3.0)

    expected, _ = quad(density, -10.0, -mean, limit=200)
    assert chance_below_zero(mean, np.array([1.5]), 0.4) == pytest.approx(expected, abs=1e-8)


def test_limits_that_do_not_reach_zero_cannot_fail() -> None:
    assert chance_below_zero(0.31, np.array([0.1, 0.2]), 0.0) == 0.0
    assert chance_below_zero(-0.31, np.array([0.1, 0.2]), 0.0) == 1.0
    assert chance_below_zero(0.29, np.array([0.1, 0.2]), 0.0) > 0.0


def test_a_sum_of_many_lies_where_drawn_sums_lie() -> None:
    widths = np.array([0.4, 0.9, 0.2, 1.3, 0.05])
    generator = np.random.default_rng(20260302)
    sums = generator.uniform(-widths, widths, (200_000, 5)).sum(axis=1) + generator.normal(0, 0.3, 200_000)
    for mean in (-0.8, 0.0, 0.9, 1.7):
        observed = float((sums + mean < 0).mean())
        error = 4 * math.sqrt(observed * (1 - observed) / len(sums))
        assert chance_below_zero(mean, widths, 0.3) == pytest.approx(observed, abs=error)


def test_draws_are_even_and_normal_and_the_same_each_time() -> None:
    even, normal = even_draws("engine.bore_mm", 4096), normal_draws("engine.bore_mm", 4096)
    assert kstest(even, "uniform").pvalue > 0.99
    assert kstest(normal, "norm").pvalue > 0.99
    assert np.sort(even) == pytest.approx((np.arange(4096) + 0.5) / 4096)
    assert even_draws.__wrapped__("engine.bore_mm", 4096) == pytest.approx(even, abs=0)


def test_draws_of_two_names_share_nothing() -> None:
    names = [f"engine.size_{n}_mm" for n in range(30)]
    together = np.corrcoef([even_draws(name, 4096) for name in names])
    assert np.abs(together - np.eye(30)).max() < 5 / math.sqrt(4096)
