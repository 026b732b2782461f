"""Tyre, gears and speeds against geometry, workshop rules of thumb and each other."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.engineering import vehicle
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import INCH, MM, RPM

MPH = 0.44704  # NIST SP 811, exact
MILE = 1609.344  # NIST SP 811, exact

ratios = st.floats(1.0, 5.0)
tyres = st.floats(0.5, 1.0)
slips = st.floats(0.0, 0.3)


@pytest.mark.parametrize(
    ("size", "height", "diameter"),
    [
        ("225/60R16", 135 * MM, 676.4 * MM),  # ISO 4000-1, from memory
        ("P225/60R16 97H", 135 * MM, 676.4 * MM),
        ("LT265/70R17", 185.5 * MM, 802.8 * MM),
        ("315/35ZR20", 110.25 * MM, 728.5 * MM),
        ("195/70-14", 136.5 * MM, 628.6 * MM),
        ("225/70R19.5", 157.5 * MM, 810.3 * MM),
        ("31x10.50R15", 8 * INCH, 31 * INCH),  # a flotation size states the diameter
        ("33X12.5R15LT", 9 * INCH, 33 * INCH),
    ],
)
def test_sizes_as_they_stand_on_the_tyre(size: str, height: float, diameter: float) -> None:
    found = vehicle.tyre_from_size(size)
    assert found.section_height == pytest.approx(height)
    assert found.tyre_diameter == pytest.approx(diameter)
    turns = found.turns_per_length * MILE / (2 * math.pi)
    assert turns == pytest.approx(MILE / (math.pi * diameter))


@pytest.mark.parametrize("size", ["", "22/60R16", "225-60-16", "31 inch", "225/60R", "225/60R166"])
def test_what_is_no_size_is_refused(size: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        vehicle.tyre_from_size(size)
    assert str(refusal.value) == (
        f"tyre size {size!r} must be a size such as 225/60R16 or 31x10.50R15. Read it from the tyre's "
        "side, width first"
    )


@given(width=st.integers(125, 355), ratio=st.integers(25, 85), rim=st.integers(13, 24))
def test_a_size_and_its_numbers_agree(width: int, ratio: int, rim: int) -> None:
    text = vehicle.tyre_from_size(f"{width}/{ratio}R{rim}")
    numbers = vehicle.tyre_dimensions(width * MM, ratio / 100, rim * INCH)
    assert text.tyre_diameter == pytest.approx(numbers.tyre_diameter)
    assert text.section_height == pytest.approx(numbers.section_height)


def test_a_loaded_radial_rolls_about_three_per_cent_less() -> None:
    found = vehicle.rolling_tyre(0.6764)
    assert found.rolling_circumference / (math.pi * 0.6764) == pytest.approx(0.971, abs=0.0005)
    assert found.rolling_diameter == pytest.approx(found.rolling_circumference / math.pi)
    assert found.turns_per_length * found.rolling_circumference == pytest.approx(2 * math.pi)


@given(speed=st.floats(50, 300), tyre=tyres, axle=ratios, gear=ratios, slip=slips)
def test_speeds_and_ratios_lead_back_to_each_other(
    speed: float, tyre: float, axle: float, gear: float, slip: float
) -> None:
    road = vehicle.road_speed(speed, tyre, axle, gear, slip)
    assert vehicle.engine_speed_on_road(road, tyre, axle, gear, slip) == pytest.approx(speed)
    assert vehicle.final_drive_for_speeds(speed, road, tyre, gear, slip) == pytest.approx(axle)
    wheel = speed * (1 - slip) / (gear * axle)
    assert road == pytest.approx(wheel * tyre / 2)
    assert vehicle.converter_slip(speed, speed * (1 - slip)) == pytest.approx(slip, abs=1e-9)


def test_the_workshop_constant() -> None:
    """mph = rpm x inches / (336 x ratio): common practice, no source; 63,360 / (60 pi) is 336.135."""
    one = vehicle.engine_speed_on_road(1 * MPH, 1 * INCH, 1.0)
    assert one / RPM == pytest.approx(63360 / (60 * math.pi), rel=1e-9)
    assert one / RPM == pytest.approx(336.13, abs=0.01)


@pytest.mark.parametrize(
    ("mph", "gear", "axle", "tyre", "rpm"),
    [(70, 0.67, 3.73, 29.5, 1993), (70, 0.67, 3.08, 27.0, 1798), (70, 0.67, 3.73, 27.0, 2177)],
)
def test_cruise(mph: float, gear: float, axle: float, tyre: float, rpm: float) -> None:
    """Worked by hand with the constant 336, which is 0.04 % low."""
    speed = vehicle.engine_speed_on_road(mph * MPH, tyre * INCH, axle, gear)
    assert speed / RPM == pytest.approx(rpm, rel=6e-4)


def test_shift_and_stall() -> None:
    """Worked by hand: 6,000 in 3.06 are 3,196 in 1.63; a quarter more torque stalls 11.8 % higher."""
    assert vehicle.speed_after_shift(6000 * RPM, 3.06, 1.63) / RPM == pytest.approx(3196, abs=0.5)
    assert vehicle.stall_speed(500.0, 400.0, 2000 * RPM) / RPM == pytest.approx(2236, abs=0.5)


@given(speed=st.floats(5, 60), tyre=tyres, first=tyres, axle=ratios, other=ratios)
def test_a_speedometer_counts_turns_of_the_gearbox_output(
    speed: float, tyre: float, first: float, axle: float, other: float
) -> None:
    turned = vehicle.engine_speed_on_road(speed, first, other)  # what the speedometer takes for this speed
    assert vehicle.true_road_speed(speed, tyre, first, axle, other) == pytest.approx(
        vehicle.road_speed(turned, tyre, axle)
    )


@given(torque=st.floats(50, 900), speed=st.floats(50, 300), tyre=tyres, axle=ratios, gear=ratios)
def test_push_times_road_speed_is_power_at_the_wheels(
    torque: float, speed: float, tyre: float, axle: float, gear: float
) -> None:
    force = vehicle.tractive_force(torque, tyre, axle, gear, 0.85)
    assert force * vehicle.road_speed(speed, tyre, axle, gear) == pytest.approx(0.85 * torque * speed)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: vehicle.final_drive_for_speeds(200.0, 0.0, 0.7),
            "road speed = 0 m/s must be above 0 m/s (a car that stands has no ratio)",
        ),
        (
            lambda: vehicle.converter_slip(0.0, 0.0),
            "engine speed = 0 rad/s must be above 0 rad/s (an engine that stands still drives no converter)",
        ),
        (
            lambda: vehicle.converter_slip(200.0, 210.0),
            "turbine speed over engine speed = 1.05 must be 0..1 (the engine drives the converter). Measure "
            "under load, with the engine driving",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, message: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert str(refusal.value) == message
