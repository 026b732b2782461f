"""Valve timing against its definitions: identities of symmetrical lobes, with signs."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.engineering import timing
from tests.engineering.bench import DEG

CARDS = [  # durations, separation, intake centreline; events; overlap; exhaust centreline (deg)
    ((220, 224, 112, 108), (2, 38, 48, -4), -2, 116),
    ((270, 276, 110, 106), (29, 61, 72, 24), 53, 114),
    ((220, 224, 112, 104), (6, 34, 52, -8), -2, 120),  # the first, four crank degrees early
]


@pytest.mark.parametrize(("card", "events", "overlap", "exhaust_centreline"), CARDS)
def test_card_to_events(
    card: tuple[float, ...], events: tuple[float, ...], overlap: float, exhaust_centreline: float
) -> None:
    intake, exhaust, separation, centreline = (angle * DEG for angle in card)
    other = timing.exhaust_centreline(separation, centreline)
    got = timing.valve_events(intake, exhaust, centreline, other)
    assert other / DEG == pytest.approx(exhaust_centreline)
    assert got.intake_opens / DEG == pytest.approx(events[0])
    assert got.intake_closes / DEG == pytest.approx(events[1])
    assert got.exhaust_opens / DEG == pytest.approx(events[2])
    assert got.exhaust_closes / DEG == pytest.approx(events[3])
    assert timing.overlap(got.intake_opens, got.exhaust_closes) / DEG == pytest.approx(overlap)


def test_events_to_card() -> None:
    card = timing.card_timing(10 * DEG, 50 * DEG, 60 * DEG, 8 * DEG)
    assert card.intake_duration / DEG == pytest.approx(240)
    assert card.exhaust_duration / DEG == pytest.approx(248)
    assert card.intake_centreline / DEG == pytest.approx(110)
    assert card.exhaust_centreline / DEG == pytest.approx(116)
    assert card.lobe_separation / DEG == pytest.approx(113)
    assert card.overlap / DEG == pytest.approx(18)
    assert card.advance / DEG == pytest.approx(3)


def test_an_opening_after_top_dead_centre_is_negative() -> None:
    """Opens 3 after TDC and closes 41 after BDC: 218 degrees with its centre at 112, 3 late of 109."""
    card = timing.card_timing(-3 * DEG, 41 * DEG, 50 * DEG, -4 * DEG)
    assert card.intake_duration / DEG == pytest.approx(218)
    assert card.intake_centreline / DEG == pytest.approx(112)
    assert timing.installed_advance(109 * DEG, card.intake_centreline) / DEG == pytest.approx(-3)


@pytest.mark.parametrize(("opening", "closing", "centre"), [(68, 146, 107), (78, 140, 109), (-4, 218, 107)])
def test_centreline_is_the_middle_of_equal_lifts(opening: float, closing: float, centre: float) -> None:
    assert timing.intake_centreline(opening * DEG, closing * DEG) / DEG == pytest.approx(centre)


@given(
    intake=st.floats(180, 320),
    exhaust=st.floats(180, 320),
    centreline=st.floats(95, 125),
    other=st.floats(95, 125),
)
def test_there_and_back(intake: float, exhaust: float, centreline: float, other: float) -> None:
    events = timing.valve_events(intake * DEG, exhaust * DEG, centreline * DEG, other * DEG)
    card = timing.card_timing(
        events.intake_opens, events.intake_closes, events.exhaust_opens, events.exhaust_closes
    )
    assert card.intake_duration == pytest.approx(intake * DEG)
    assert card.exhaust_duration == pytest.approx(exhaust * DEG)
    assert card.intake_centreline == pytest.approx(centreline * DEG)
    assert card.exhaust_centreline == pytest.approx(other * DEG)
    wanted = (intake + exhaust) / 2 - 2 * card.lobe_separation / DEG
    assert card.overlap / DEG == pytest.approx(wanted, abs=1e-9)
    assert card.intake_duration == pytest.approx(math.pi + events.intake_opens + events.intake_closes)


@pytest.mark.parametrize(("card", "events", "overlap", "exhaust_centreline"), CARDS)
def test_card_with_separation(
    card: tuple[float, ...], events: tuple[float, ...], overlap: float, exhaust_centreline: float
) -> None:
    intake, exhaust, separation, centreline = (angle * DEG for angle in card)
    found = timing.moved_timing(intake, exhaust, separation, centreline)
    named = (found.intake_opens, found.intake_closes, found.exhaust_opens, found.exhaust_closes)
    assert named == pytest.approx(tuple(angle * DEG for angle in events), abs=1e-12)
    assert timing.overlap_of_durations(intake, exhaust, separation) == pytest.approx(found.overlap, abs=1e-12)
    assert found.overlap == pytest.approx(overlap * DEG, abs=1e-12)
    assert timing.lobe_separation(centreline, exhaust_centreline * DEG) == pytest.approx(separation)


def test_time_open_is_a_share_of_a_turn() -> None:
    """270 of 360 degrees at 100 turns a second are 7.5 ms."""
    assert timing.open_time(270 * DEG, 200 * math.pi) == pytest.approx(7.5e-3)
