"""Cam laws against a textbook's table, differences and other geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering import flanks, rise_laws
from tests.engineering.bench import DEG, MM

PEAKS = {  # Norton, Design of Machinery, table 8-3 (from memory): velocity, acceleration, jerk
    "harmonic": (1.571, 4.935, 15.5),
    "cycloidal": (2.000, 6.283, 39.5),
    "modified sine": (1.760, 5.528, 69.47),
    "modified trapezoid": (2.000, 4.888, 61.4),
    "3-4-5": (1.875, 5.7735, 60.0),
    "4-5-6-7": (2.1875, 7.5132, 52.5),
}


@pytest.mark.parametrize(("law", "peaks"), PEAKS.items())
def test_peaks_of_a_table(law: str, peaks: tuple[float, float, float]) -> None:
    found = rise_laws.rise_peaks(law)
    assert (found.peak_velocity, found.peak_acceleration, found.peak_jerk) == pytest.approx(peaks, rel=1e-3)
    x = np.linspace(0.0, 1.0, 100_001)
    motion = rise_laws.rise_motion(x, law)
    assert found.peak_velocity == pytest.approx(motion.rise_velocity.max(), rel=1e-7)
    assert found.peak_acceleration == pytest.approx(np.abs(motion.rise_acceleration).max(), rel=1e-7)
    assert x[motion.rise_acceleration.argmax()] == pytest.approx(found.peak_acceleration_at, abs=2e-5)


@pytest.mark.parametrize("law", rise_laws.RISE_LAWS)
def test_each_derivative_is_that_of_the_one_before(law: str) -> None:
    x = np.array([0.01, 0.1, 0.124, 0.126, 0.3, 0.5, 0.8, 0.874, 0.876, 0.99])
    step = 1e-6
    below, at, above = (rise_laws.rise_motion(x + shift, law) for shift in (-step, 0.0, step))
    for lower, upper in (
        ("lift_fraction", "rise_velocity"),
        ("rise_velocity", "rise_acceleration"),
        ("rise_acceleration", "rise_jerk"),
    ):
        slope = (getattr(above, lower) - getattr(below, lower)) / (2 * step)
        np.testing.assert_allclose(getattr(at, upper), slope, atol=2e-4)


@pytest.mark.parametrize("law", rise_laws.RISE_LAWS)
def test_a_rise_begins_and_ends_at_rest(law: str) -> None:
    ends = rise_laws.rise_motion(np.array([0.0, 1.0]), law)
    np.testing.assert_allclose(ends.lift_fraction, [0.0, 1.0], atol=1e-12)
    np.testing.assert_allclose(ends.rise_velocity, 0.0, atol=1e-12)
    if law != "harmonic":
        np.testing.assert_allclose(ends.rise_acceleration, 0.0, atol=1e-12)
    whole = rise_laws.rise_integrals(law)
    assert whole.velocity_integral == pytest.approx(1.0, abs=1e-12)
    assert whole.acceleration_integral == pytest.approx(0.0, abs=1e-11)
    assert whole.mean_lift_fraction == pytest.approx(0.5, abs=1e-12)


def test_curvature_of_a_flat_lobe_is_that_of_its_outline() -> None:
    """The outline that the follower touches, from its contact points; a circle through each three of them."""
    lift, flank = 8 * MM, 70 * DEG
    x = np.linspace(0.0, 1.0, 4001)
    motion = rise_laws.rise_motion(x, "3-4-5")
    reach, slope = 30 * MM + lift * motion.lift_fraction, lift / flank * motion.rise_velocity
    turned = x * flank
    points = np.stack(
        (reach * np.sin(turned) + slope * np.cos(turned), reach * np.cos(turned) - slope * np.sin(turned))
    )
    chord, last = np.diff(points[:, ::2]), np.diff(points)
    lengths = np.hypot(*last)
    sides = lengths[:-1:2], lengths[1::2], np.hypot(*chord)
    area = np.abs(last[0][:-1:2] * last[1][1::2] - last[1][:-1:2] * last[0][1::2]) / 2
    radius = sides[0] * sides[1] * sides[2] / (4 * area)
    found = flanks.flat_curvature(60 * MM, lift, flank, "3-4-5")
    assert found.least_curvature_radius == pytest.approx(radius.min(), rel=1e-3)
    assert found.least_curvature_at == pytest.approx(x[1::2][radius.argmin()], abs=2e-3)


def test_a_large_roller_lobe_is_nearly_a_flat_ones() -> None:
    """With a huge base circle the roller moves on a straight track: 1/rho = -s''/R^2 and the slope s'/R."""
    base, lift, flank = 99 * MM, 0.1 * MM, 60 * DEG
    found = flanks.roller_flank(base, 1 * MM, lift, flank, "cycloidal")
    reach = (base + 1 * MM) / 2
    assert math.tan(found.greatest_pressure_angle) == pytest.approx(2 * lift / flank / reach, rel=2e-3)
    curvature = 1 / reach + 2 * math.pi * lift / flank**2 / reach**2
    assert found.least_curvature_radius == pytest.approx(1 / curvature - 0.5 * MM, rel=2e-3)


def test_the_nose_of_a_roller_flank_agrees_with_the_nose() -> None:
    """At the end of a harmonic rise the slope is 0: rho = R^2/(R - s'') - Rr there, and nowhere less."""
    lift, flank, roller = 8 * MM, 70 * DEG, 9 * MM
    reach = 20 * MM + roller + lift
    bend = -lift / flank**2 * math.pi**2 / 2
    found = flanks.roller_flank(40 * MM, 2 * roller, lift, flank, "harmonic")
    assert found.least_curvature_at == pytest.approx(1.0)
    assert found.least_curvature_radius == pytest.approx(reach**2 / (reach - bend) - roller)


@pytest.mark.parametrize("law", rise_laws.RISE_LAWS)
def test_one_place_of_a_flank_is_where_the_extremes_lie(law: str) -> None:
    shape = (38.6 * MM, 18 * MM, 8.763 * MM, 75 * DEG)
    whole = flanks.roller_flank(*shape, law)
    at = flanks.flank_position(whole.least_curvature_at, *shape, law)
    assert at.roller_curvature_radius == pytest.approx(whole.least_curvature_radius, rel=1e-6)
    everywhere = flanks.flank_position(np.linspace(0.0, 1.0, 1001), *shape, law)
    assert everywhere.pressure_angle.max() == pytest.approx(whole.greatest_pressure_angle, rel=1e-5)
    flat = flanks.flat_curvature(shape[0], *shape[2:], law)
    assert everywhere.flat_curvature_radius.min() == pytest.approx(flat.least_curvature_radius, abs=1e-6)


def test_jerk_of_a_flank_scales_with_the_cube_of_the_speed() -> None:
    slow, fast = (flanks.flank_motion(8 * MM, 60 * DEG, speed, "3-4-5") for speed in (300.0, 600.0))
    assert fast.greatest_jerk / slow.greatest_jerk == pytest.approx(8.0)
    assert slow.greatest_jerk == pytest.approx(60 * 8 * MM * (150.0 / (60 * DEG)) ** 3)
