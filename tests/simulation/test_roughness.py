"""Roughness: the flame against what was published of it, and the trends that every builder knows."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tappetry.engineering.angles import DEGREE
from tappetry.engineering.ranges import OutOfRange
from tappetry.simulation.idle import idle
from tappetry.simulation.results import Point
from tappetry.simulation.roughness import WIDEST, burning_velocity, roughness
from tests.simulation.bench_engine import ENGINE, RPM, changed

pytestmark = pytest.mark.slow

PART = changed(
    fuel=replace(ENGINE.fuel, air_fuel_ratio=14.6),
    intake=replace(ENGINE.intake, lobe_half_width=150 * DEGREE),
    exhaust=replace(ENGINE.exhaust, lobe_half_width=152 * DEGREE),
)


@pytest.fixture(scope="module")
def mild() -> Point:
    return idle(PART, 800 * RPM)[0]


def test_without_burned_gas_the_flame_is_as_fast_as_was_measured() -> None:
    """30.5 - 54.9 x 0.21 x 0.21 = 28.1 cm/s of the right mixture (Rhodes and Keck, from memory)."""
    velocity, flame = burning_velocity(PART, 0.0, 298.0, 101325.0)
    assert velocity == pytest.approx(0.281, abs=0.0005)
    assert 2150.0 < flame < 2350.0, "of petrol and air, some 2,270 K (textbooks)"


@pytest.mark.parametrize("residual", [0.05, 0.10, 0.15, 0.20, 0.25, 0.30])
def test_burned_gas_slows_the_flame_as_was_measured(residual: float) -> None:
    """1 - 2.06 x^0.77 up to 30 % (Rhodes and Keck, SAE 850047, from memory)."""
    pure, _ = burning_velocity(PART, 0.0, 450.0, 2e5)
    diluted, _ = burning_velocity(PART, residual, 450.0, 2e5)
    assert diluted / pure == pytest.approx(1.0 - 2.06 * residual**0.77, abs=0.06)


def test_a_mild_camshaft_burns_as_evenly_as_good_engines_do(mild: Point) -> None:
    """1 to 8 % at idle (common practice, no source)."""
    found = roughness(PART, mild)
    assert found.variation is not None
    assert 0.01 < found.variation < 0.08
    assert found.why_not == ""


def test_more_overlap_leaves_more_burned_gas_and_burns_rougher(mild: Point) -> None:
    closer = replace(
        PART,
        intake=replace(PART.intake, nose=106 * DEGREE),
        exhaust=replace(PART.exhaust, nose=610 * DEGREE),
    )
    wild = idle(closer, 800 * RPM)[0]
    assert max(wild.residual_share) > max(mild.residual_share)
    assert variation(closer, wild) > 1.2 * variation(PART, mild)


def test_an_intake_valve_that_shuts_later_burns_rougher(mild: Point) -> None:
    """It opens where it did, but compresses less: the charge is colder at the spark."""
    later = replace(
        PART,
        intake=replace(PART.intake, nose=118 * DEGREE, lobe_half_width=158 * DEGREE),
    )
    late = idle(later, 800 * RPM)[0]
    assert late.effective_compression_ratio < mild.effective_compression_ratio - 0.3
    assert variation(later, late) > variation(PART, mild)


def test_more_load_burns_more_evenly(mild: Point) -> None:
    loaded = replace(
        mild,
        residual_share=tuple(0.5 * share for share in mild.residual_share),
        trapped_pressure=tuple(2.0 * pressure for pressure in mild.trapped_pressure),
    )
    assert variation(PART, loaded) < 0.5 * variation(PART, mild)


def test_it_rises_with_burned_gas_until_the_model_ends(mild: Point) -> None:
    shares = (0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.45)
    found = [roughness(PART, replace(mild, residual_share=(share,) * 4)) for share in shares]
    known = [each.variation for each in found if each.variation is not None]
    assert len(known) == len(shares) - 1
    assert known == sorted(known)
    assert found[-1].variation is None
    spread = found[-1].spread
    assert spread is not None
    assert spread > WIDEST
    assert found[-1].why_not == (
        f"cycles differ in phase by {math.degrees(spread):.0f} degrees, more than the 20 up to which work "
        "falls with the square"
    )


def test_the_cylinder_with_most_burned_gas_counts(mild: Point) -> None:
    one = replace(mild, residual_share=(0.1, 0.1, 0.3, 0.1))
    alike = replace(mild, residual_share=(0.3,) * 4)
    at = mild.trapped_temperature[2], mild.trapped_pressure[2]
    alike = replace(alike, trapped_temperature=(at[0],) * 4, trapped_pressure=(at[1],) * 4)
    assert variation(PART, one) == variation(PART, alike)


def test_no_flame_and_no_work_are_told(mild: Point) -> None:
    full = roughness(PART, replace(mild, residual_share=(0.8,) * 4))
    assert (full.variation, full.spread) == (None, None)
    assert full.why_not.startswith("flame temperature = ")
    assert full.why_not.endswith(" K must be 1500..3500 K (no flame spreads below)")
    idler = roughness(PART, replace(mild, indicated_pressure=-1e3))
    assert idler.why_not == "the cycle gives no work"


def test_what_was_never_measured_is_refused() -> None:
    lean = replace(PART, fuel=replace(PART.fuel, air_fuel_ratio=20.0))
    with pytest.raises(
        OutOfRange, match=r"equivalence ratio = 0\.73 must be 0\.8\.\.1\.5 \(burning velocity\)"
    ):
        burning_velocity(lean, 0.1, 500.0, 1e5)
    with pytest.raises(OutOfRange, match=r"charge temperature at the spark = 950 K must be 298\.\.900 K"):
        burning_velocity(PART, 0.1, 950.0, 1e5)


def variation(engine: object, point: Point) -> float:
    found = roughness(engine, point).variation  # type: ignore[arg-type]
    assert found is not None
    return found
