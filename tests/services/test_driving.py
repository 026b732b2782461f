"""Stall, launch and cruise by the facts of a vehicle: numbers where they are known, and what to ask."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.evidence import Fact, Grade
from tappetry.records.problems import Refusal
from tappetry.services.breathing import describe
from tappetry.services.driving import (
    DRAG,
    EFFICIENCY,
    LIMIT_OF_LAUNCH,
    MASS,
    RATIO,
    ROLLING,
    STALL,
    TOP_GEAR,
    TRANSMISSION,
    around_stall,
    converter_of,
    cruise,
    launch_limit,
    stall_speeds,
)
from tappetry.services.kits import identify_job
from tappetry.simulation.launch import AROUND_STALL, Converter, launch
from tappetry.simulation.results import Point
from tests.kitting.support import demo
from tests.simulation.bench_engine import RPM

pytestmark = pytest.mark.slow

MPH = 0.44704


@pytest.fixture(scope="module")
def facts() -> Mapping[str, Fact]:
    job = read_job(demo().jobs / "J1.yaml", demo().knowledge)
    return identify_job(demo(), job).engine_as_found.facts


@pytest.fixture(scope="module")
def factory(facts: Mapping[str, Fact]) -> tuple[Point, ...]:
    return around_stall(describe(demo(), "B56").engine, facts)


def stated(name: str, value: float | str) -> Fact:
    si = None if isinstance(value, str) else value
    return Fact(name, value, Grade.told, "customer", si=si)


def test_the_factory_stalls_where_its_converter_is_stated_to(
    facts: Mapping[str, Fact], factory: tuple[Point, ...]
) -> None:
    converter = converter_of(facts, factory)
    found = launch(converter, factory)
    assert found is not None
    assert found.stall_speed == pytest.approx(1850 * RPM)
    assert found.shift == pytest.approx(0.0, abs=1e-9)
    assert found.share == pytest.approx(1.0)
    assert found.behind is None, "the ratio is not known"
    assert converter.capacity_factor == pytest.approx(
        1850 / (converter.reference_torque / 1.35582) ** 0.5, rel=1e-4
    )


def test_a_longer_camshaft_stalls_lower_and_launches_softer(
    facts: Mapping[str, Fact], factory: tuple[Point, ...]
) -> None:
    """Less torque down low: what the trade says of long camshafts and stock converters (common practice)."""
    converter = converter_of({**facts, RATIO: stated(RATIO, 2.1)}, factory)
    found = [
        launch(converter, around_stall(describe(demo(), "B56", cam).engine, facts))
        for cam in ("F56", "B1", "B3")
    ]
    shifts = [each.shift / RPM for each in found if each is not None]
    assert len(shifts) == 3
    assert shifts == sorted(shifts, reverse=True)
    assert -350 < shifts[-1] < -100
    last = found[-1]
    assert last is not None
    assert last.share < 0.9
    assert last.behind == pytest.approx(2.1 * last.torque)
    assert last.torque == pytest.approx(last.share * converter.reference_torque)


def test_a_stall_too_far_from_the_stated_one_is_none(factory: tuple[Point, ...]) -> None:
    assert launch(Converter(1850 * RPM, 4 * factory[3].brake_torque, None), factory) is None


def test_without_a_converter_or_its_stall_there_is_none(facts: Mapping[str, Fact]) -> None:
    with pytest.raises(Refusal, match=r"There is no converter: the transmission is manual 6 \(customer\)\."):
        stall_speeds({**facts, TRANSMISSION: stated(TRANSMISSION, "manual 6")})
    with pytest.raises(Refusal) as told:
        stall_speeds({name: fact for name, fact in facts.items() if name != STALL})
    assert told.value.ways_out == ["state converter-stall"]
    assert stall_speeds(facts) == pytest.approx([share * 1850 * RPM for share in AROUND_STALL])


def test_what_is_not_known_of_a_vehicle_is_asked_for(facts: Mapping[str, Fact]) -> None:
    found = cruise(demo(), "B56", "", facts, 70 * MPH)
    assert found.unknown == (DRAG, ROLLING, EFFICIENCY)
    assert found.engine_speed == pytest.approx(1798 * RPM, abs=1 * RPM), "70 x 0.67 x 3.08 x 336 / 27"
    assert (found.load, found.torque, found.point, found.fuel_for_way) == (None,) * 4
    less = {name: fact for name, fact in facts.items() if name != TOP_GEAR}
    assert cruise(demo(), "B56", "", less, 70 * MPH).engine_speed is None
    assert cruise(demo(), "B56", "", less, 70 * MPH).unknown[0] == TOP_GEAR


def test_a_vehicle_cruises_with_vacuum_and_a_fuel_that_is_met_on_roads(facts: Mapping[str, Fact]) -> None:
    whole = {
        **facts,
        DRAG: stated(DRAG, 0.75),
        ROLLING: stated(ROLLING, 0.012),
        EFFICIENCY: stated(EFFICIENCY, 0.90),
    }
    found = cruise(demo(), "B56", "", whole, 70 * MPH)
    assert found.unknown == ()
    assert found.point is not None
    assert found.torque == pytest.approx(found.point.brake_torque, rel=0.02)
    assert 0.35 < found.point.manifold_pressure / found.point.ambient_pressure < 0.75
    assert found.throttle is not None
    assert 0.005 < found.throttle < 0.2
    assert found.fuel_for_way is not None
    litres = found.fuel_for_way / 745.0 * 1e3 * 1e5
    assert 7.0 < litres < 14.0, "for 100 km of such a sedan (common practice)"
    wild = cruise(demo(), "B56", "B3", whole, 70 * MPH)
    assert wild.point is not None
    assert max(wild.point.residual_share) > max(found.point.residual_share)
    assert wild.point.manifold_pressure > found.point.manifold_pressure
    heavy = cruise(
        demo(), "B56", "", {**whole, MASS: stated(MASS, 19000.0), ROLLING: stated(ROLLING, 0.05)}, 70 * MPH
    )
    assert heavy.point is None
    assert heavy.why_not.startswith("at 1798 rpm no opening of the throttle leaves ")


def test_the_limit_of_the_launch_is_the_house_books() -> None:
    shop = demo()
    assert launch_limit(shop) == pytest.approx(shop.knowledge.book.limits[LIMIT_OF_LAUNCH] / 100)
