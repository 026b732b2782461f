"""The cam on the degree wheel: a simple reading, and an opening on the other side of the dead centre."""

from __future__ import annotations

import pytest

from tappetry.services.calculate import calculate


def given(name: str, **inputs: float) -> dict[str, float]:
    card = calculate(name, [f"{key}={value} deg" for key, value in inputs.items()])
    return {output.name: float(output.value) for output in card.outputs}


def test_a_simple_degree() -> None:
    """68 opening and 146 closing at one lift: centreline 107, and 2 deg advanced against a card of 109."""
    centre = given("intake-centreline", opening_reading=68, closing_reading=146)
    assert centre["intake_centreline"] == pytest.approx(107)
    advance = given("installed-advance", card_centreline=109, intake_centreline=107)
    assert advance["advance"] == pytest.approx(2)


def test_readings_over_a_positive_stop_lie_evenly_about_the_dead_centre() -> None:
    """-21 and +19 have their middle at -1: the pointer is a degree off. Moved by it, they are -20 and +20."""
    centre = given("intake-centreline", opening_reading=-21, closing_reading=19)
    assert centre["intake_centreline"] == pytest.approx(-1)
    moved = given("intake-centreline", opening_reading=-20, closing_reading=20)
    assert moved["intake_centreline"] == pytest.approx(0)


CARD = {"exhaust_opens": 50.0, "exhaust_closes": -4.0}


def test_an_opening_after_the_dead_centre_is_negative() -> None:
    """Opens 3 after, closes 41 after: 180 - 3 + 41 = 218 as carded, centreline 112, 3 deg retarded."""
    read = given("card-timing", intake_opens=-3, intake_closes=41, **CARD)
    assert read["intake_duration"] == pytest.approx(218)
    assert read["intake_centreline"] == pytest.approx(112)
    late = given("installed-advance", card_centreline=109, intake_centreline=112)
    assert late["advance"] == pytest.approx(-3)


def test_the_sign_that_was_forgotten_looks_like_another_cam() -> None:
    wrong = given("card-timing", intake_opens=3, intake_closes=41, **CARD)
    assert wrong["intake_duration"] == pytest.approx(224)
    assert wrong["intake_duration"] - 218 == pytest.approx(6)


def test_the_entry_says_which_side_is_meant() -> None:
    from tappetry.services.calculate import find_calculation

    card = find_calculation("card-timing")
    opens = next(taken for taken in card.inputs if taken.name == "intake_opens")
    assert opens.description == "before TDC; negative is after TDC"
    assert "An event on the other side of its dead centre is negative." in card.cautions
