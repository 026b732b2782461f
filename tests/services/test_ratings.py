"""Factory engines of the invented shop at full load: their ratings, and the ranges that textbooks publish."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
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


HEYWOOD = "Heywood, Internal Combustion Engine Fundamentals (1988), from memory:"


@dataclass(frozen=True)
class Published:
    """A range of naturally aspirated petrol engines at full load, with where it is published."""

    what: str
    low: float
    high: float
    source: str
    of: Callable[[Point], float]


AT_EVERY_SPEED = (
    Published(
        "volumetric efficiency",
        0.80,
        1.05,
        f"{HEYWOOD} section 2.10, 0.8 to 0.9 at its best; chapter 7, above where tuned",
        lambda point: point.volumetric_efficiency,
    ),
    Published(
        "rubbing and auxiliaries, without pumping and accessories [bar]",
        0.7,
        2.0,
        f"{HEYWOOD} chapter 13, of motored engines",
        lambda point: (point.friction.total - point.friction.accessories) / 1e5,
    ),
    Published(
        "gas exchange [bar]",
        -1.4,
        0.1,
        f"{HEYWOOD} section 13.4",
        lambda point: point.pumping_pressure / 1e5,
    ),
    Published(
        "burned gas left",
        0.02,
        0.12,
        f"{HEYWOOD} section 6.4, at full load",
        lambda point: float(np.mean(point.residual_share)),
    ),
    Published(
        "exhaust at the valves [K]",
        950,
        1400,
        f"{HEYWOOD} section 6.5, some 1200 K at high power, behind the port; here before it",
        lambda point: point.exhaust_temperature,
    ),
    Published(
        "highest pressure [bar]",
        30,
        85,
        f"{HEYWOOD} section 9.1",
        lambda point: point.peak_pressure / 1e5,
    ),
    Published(
        "heat to the walls of the fire",
        0.08,
        0.25,
        f"{HEYWOOD} table 12.1, 17 to 26 % to the coolant, with ports and friction",
        lambda point: point.wall_heat_share,
    ),
    Published(
        "hottest burned gas [K]",
        2200,
        2900,
        f"{HEYWOOD} section 9.2",
        lambda point: point.burned_temperature,
    ),
    Published(
        "knock integral", 0.0, 1.0, "Livengood and Wu: at 1 it knocks", lambda point: point.knock_integral
    ),
)
AT_MOST_TORQUE_AND_POWER = Published(
    "fuel for work [g/kWh]",
    255,
    370,
    f"{HEYWOOD} section 2.8, 270 at best; chapter 15, up to 360 rich and fast",
    lambda point: point.fuel_consumption * 3.6e9,
)
AT_MOST_TORQUE = Published(
    "mean pressure at the crankshaft [bar]",
    8.5,
    13.0,
    f"{HEYWOOD} section 2.7, 8.5 to 10.5; later ones up to 13: Stone, Introduction to Internal "
    "Combustion Engines, chapter 2 (from memory)",
    lambda point: point.brake_pressure / 1e5,
)
MOST_POWER_OVER_MOST_TORQUE = (0.72, 0.97)
"""Of the mean pressure: 10 to 15 % lower (Heywood, section 2.7, from memory); some less, some more."""


def hold(published: Published, point: Point) -> None:
    value = published.of(point)
    assert published.low < value < published.high, (published.what, value, published.source)


@pytest.mark.parametrize("variant", EVERY)
def test_every_quantity_lies_in_the_range_of_textbooks(variant: str) -> None:
    """Look each range up before relying on it: all are from memory."""
    points = full_load(variant)
    torque = max(points, key=lambda point: point.brake_torque)
    power = max(points, key=lambda point: point.brake_power)
    hold(AT_MOST_TORQUE, torque)
    low, high = MOST_POWER_OVER_MOST_TORQUE
    assert low < power.brake_pressure / torque.brake_pressure < high
    for point in points:
        for published in AT_EVERY_SPEED:
            hold(published, point)
    for point in (torque, power):
        hold(AT_MOST_TORQUE_AND_POWER, point)
    assert points[-1].friction.total > points[0].friction.total
