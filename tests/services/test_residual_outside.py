"""Burned gas at the idle of the factory's engines, beside a correlation of measured ones.

Fox, Cheng and Heywood, SAE 931025 (1993), from memory: residual from the overlap factor (lift times diameter
of the inner seat over crank angle, of the valve that is less open, over swept volume), speed, pressures and
compression. Measured with overlaps of factory camshafts: with more, both part (docs/reference/simulation.md).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering.angles import DEGREE
from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.knowledge.breathing import read_breathing
from tappetry.services.simulate import simulate_idle
from tappetry.simulation.engine import Engine, Valve
from tests.kitting.support import demo

pytestmark = pytest.mark.slow

STEP = 0.25
ATMOSPHERE = 1.01325e5


def lift(valve: Valve, angles: np.ndarray) -> np.ndarray:
    """At crank angles of its cylinder, from the dead centre of gas exchange. [m]"""
    away = (angles - valve.nose + 2.0 * math.pi) % (4.0 * math.pi) - 2.0 * math.pi
    inside = np.clip(away, -valve.lobe_half_width, valve.lobe_half_width)
    lobe = lobe_lift_at_angle(inside, valve.lobe_lift, valve.lobe_exponent, valve.lobe_half_width)
    return np.maximum(lobe * valve.rocker_ratio - valve.taken_up, 0.0)


def overlap_factor(engine: Engine, intake_seat: float, exhaust_seat: float) -> float:
    """[deg/m]"""
    angles = np.arange(-120.0, 120.0, STEP) * DEGREE
    intake, exhaust = lift(engine.intake, angles), lift(engine.exhaust, angles)
    seats = np.where(intake <= exhaust, intake * intake_seat, exhaust * exhaust_seat)
    return float(np.sum(seats) * STEP / engine.bore.swept_volume)


def simulated_and_measured(variant: str, cam: str, head: str) -> tuple[float, float]:
    """Mean share of burned gas at the stated idle, and that of the correlation."""
    shop = demo()
    ports = read_breathing(shop.text).data["heads"][head]
    idling = simulate_idle(shop, variant, cam, None, lambda point: None)
    engine, point = idling.described.engine, idling.points[0]
    seats = [ports[side]["throat_mm"] * 1e-3 for side in ("intake", "exhaust")]
    turns = point.engine_speed / (2.0 * math.pi)
    level = point.manifold_pressure / ATMOSPHERE
    richness = engine.fuel.stoichiometric_ratio / engine.fuel.air_fuel_ratio
    back = 1.266 * overlap_factor(engine, *seats) / turns * level**-0.87
    back *= math.sqrt((ATMOSPHERE - point.manifold_pressure) / 1e5)
    stays = 0.632 * richness * level**-0.74 / engine.bore.compression_ratio
    return float(np.mean(point.residual_share)), back + stays


@pytest.mark.parametrize(("variant", "head"), [("B51", "S"), ("OS39", "OS"), ("ML55", "ML")])
def test_burned_gas_at_a_factory_idle_is_what_measured_engines_have(variant: str, head: str) -> None:
    simulated, measured = simulated_and_measured(variant, "", head)
    assert simulated == pytest.approx(measured, abs=0.025)


def test_with_a_little_more_overlap_it_is_near_what_they_would_have() -> None:
    """15 points apart as long as nearly shut valves passed more than the gap at their seats."""
    simulated, measured = simulated_and_measured("B51", "B1", "S")
    assert simulated == pytest.approx(measured, abs=0.09)
