"""Factory engines of the invented shop at full load: their ratings, and the ranges that textbooks publish."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from tappetry.knowledge.breathing import read_breathing
from tappetry.services.breathing import describe
from tappetry.services.shop import Shop, demo_folder
from tappetry.simulation.results import Point, curve

pytestmark = pytest.mark.slow

SHOP = Shop(demo_folder())
EVERY = sorted(read_breathing(SHOP.folder).data["engines"])
RPM = math.pi / 30.0


@cache
def full_load(variant: str) -> tuple[Point, ...]:
    """From 1500 rpm to the redline."""
    described = describe(SHOP, variant)
    steps = round((described.redline - 1500.0) / 250.0) + 1
    return curve(described.engine, np.linspace(1500.0, described.redline, steps) * RPM)


def stated(variant: str) -> dict[str, float]:
    for family in SHOP.knowledge.families.values():
        ratings = family.reference["power"]
        if variant in ratings:
            return dict(ratings[variant])
    raise AssertionError(variant)


@pytest.mark.parametrize("variant", EVERY)
def test_torque_and_power_are_those_that_the_maker_states(variant: str) -> None:
    """Within 8 %, with constants that are the same for all."""
    points, rating = full_load(variant), stated(variant)
    assert max(point.brake_torque for point in points) == pytest.approx(rating["torque_nm"], rel=0.08)
    assert max(point.brake_power for point in points) == pytest.approx(1e3 * rating["power_kw"], rel=0.08)


@pytest.mark.parametrize("variant", EVERY)
def test_every_quantity_lies_in_the_range_of_textbooks(variant: str) -> None:
    """Naturally aspirated petrol engines at full load; all from memory, look them up before relying on one.

    Heywood, Internal Combustion Engine Fundamentals, chapters 2, 5, 6, 12, 13 and 15; Stone, Introduction to
    Internal Combustion Engines, chapters 2 and 10; Ferguson and Kirkpatrick, chapters 1 and 10.
    """
    points = full_load(variant)
    torque = max(points, key=lambda point: point.brake_torque)
    power = max(points, key=lambda point: point.brake_power)
    assert 8.5e5 < torque.brake_pressure < 13e5  # 8.5 to 10.5 bar of older engines, up to 13 of later ones
    assert 0.72 < power.brake_pressure / torque.brake_pressure < 0.97  # 10 to 15 % lower at most power
    for point in points:
        assert 0.80 < point.volumetric_efficiency < 1.05  # 0.8 to 0.9, above 1 where pipes are tuned
        # Rubbing and auxiliaries without pumping; rises with speed.
        assert 0.7e5 < point.friction.total - point.friction.accessories < 2.0e5
        assert -1.4e5 < point.pumping_pressure < 0.1e5
        assert 0.02 < float(np.mean(point.residual_share)) < 0.12
        assert 950 < point.exhaust_temperature < 1400  # K
        assert 30e5 < point.peak_pressure < 85e5
        assert 0.08 < point.wall_heat_share < 0.25
        assert 2200 < point.burned_temperature < 2900
        assert point.knock_integral < 1.0
    for point in (torque, power):
        assert 255 < point.fuel_consumption * 3.6e9 < 370  # g/kWh; 270 at best to 360 rich and fast
    assert points[-1].friction.total > points[0].friction.total
