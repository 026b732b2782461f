"""The cams of the bench: what cards, lift tables and nose radii say, worked out apart from the program."""

from __future__ import annotations

import numpy as np
import pytest

from tappetry.engineering import lobe, lobe_fit, nose, timing
from tests.engineering.bench import BENCH, DEG, INCH, MM, lobe_shape

CAMS = BENCH["cams"]
LOBES = [(cam, side) for cam in CAMS for side in (0, 1)]
TABLES = [(cam, side) for cam, side in LOBES if "lift_every_10_deg_in" in CAMS[cam]]


@pytest.mark.parametrize(("cam", "side"), LOBES)
def test_exponent_and_half_width(cam: str, side: int) -> None:
    shape = lobe_shape(cam, side)
    assert shape.lobe_exponent == pytest.approx(CAMS[cam]["exponent"][side], abs=0.00005001)
    assert shape.lobe_half_width / DEG == pytest.approx(CAMS[cam]["half_width_deg"][side], abs=0.0005001)


@pytest.mark.parametrize(("cam", "side"), TABLES)
def test_lift_table(cam: str, side: int) -> None:
    shape = lobe_shape(cam, side)
    lift = lobe.lobe_lift_at_angle(
        np.arange(0, 150, 10) * DEG,
        CAMS[cam]["lobe_lift_in"][side] * INCH,
        shape.lobe_exponent,
        shape.lobe_half_width,
    )
    expected = CAMS[cam]["lift_every_10_deg_in"]["IE"[side]]
    np.testing.assert_allclose(lift / INCH, expected, rtol=0, atol=0.00005001)


@pytest.mark.parametrize(("cam", "side"), LOBES)
def test_duration_at_the_third_height(cam: str, side: int) -> None:
    shape = lobe_shape(cam, side)
    duration = lobe_fit.duration_at_height(
        0.200 * INCH,
        CAMS[cam]["lobe_lift_in"][side] * INCH,
        shape.lobe_exponent,
        shape.lobe_half_width,
    )
    assert duration / DEG == pytest.approx(CAMS[cam]["duration_200_deg"][side], abs=0.5)


@pytest.mark.parametrize(("cam", "side"), LOBES)
def test_nose_radius(cam: str, side: int) -> None:
    card, shape = CAMS[cam], lobe_shape(cam, side)
    lift = card["lobe_lift_in"][side] * INCH
    acceleration = lobe.nose_acceleration(lift, shape.lobe_exponent, shape.lobe_half_width)
    if card["follower"] == "flat":
        radius = nose.nose_radius_flat(card["base_circle_mm"] * MM, lift, acceleration)
    else:
        radius = nose.nose_radius_roller(card["base_circle_mm"] * MM, lift, 18.0 * MM, acceleration)
    assert radius / MM == pytest.approx(card["nose_radius_mm"][side], abs=0.0051)


@pytest.mark.parametrize("cam", CAMS)
def test_nose_envelope(cam: str) -> None:
    card = CAMS[cam]
    envelope = nose.nose_envelope(card["base_circle_mm"] * MM, max(card["lobe_lift_in"]) * INCH)
    assert envelope / MM == pytest.approx(card["envelope_mm"], abs=0.0051)


@pytest.mark.parametrize("height", ["006", "050"])
@pytest.mark.parametrize("cam", CAMS)
def test_events_from_card(cam: str, height: str) -> None:
    card = CAMS[cam]
    intake, exhaust = (duration * DEG for duration in card[f"duration_{height}_deg"])
    events = timing.valve_events(
        intake, exhaust, card["intake_centreline_deg"] * DEG, card["exhaust_centreline_deg"] * DEG
    )
    got = (events.intake_opens, events.intake_closes, events.exhaust_opens, events.exhaust_closes)
    np.testing.assert_allclose(np.array(got) / DEG, card[f"events_{height}_deg"], atol=1e-9)
    overlap = timing.overlap(events.intake_opens, events.exhaust_closes)
    assert overlap / DEG == pytest.approx(card[f"overlap_{height}_deg"], abs=1e-9)


@pytest.mark.parametrize("cam", CAMS)
def test_card_from_events(cam: str) -> None:
    card = CAMS[cam]
    back = timing.card_timing(*(event * DEG for event in card["events_006_deg"]))
    assert back.intake_centreline / DEG == pytest.approx(card["intake_centreline_deg"])
    assert back.exhaust_centreline / DEG == pytest.approx(card["exhaust_centreline_deg"])
    assert back.lobe_separation / DEG == pytest.approx(card["lobe_separation_deg"])
    assert back.advance / DEG == pytest.approx(card["advance_deg"], abs=1e-9)
    assert back.intake_duration / DEG == pytest.approx(card["duration_006_deg"][0])
    assert back.exhaust_duration / DEG == pytest.approx(card["duration_006_deg"][1])
    assert timing.exhaust_centreline(back.lobe_separation, back.intake_centreline) == pytest.approx(
        back.exhaust_centreline
    )
