"""`tappetry calc` with tolerances: as they are typed, shown, refused, and as JSON."""

from __future__ import annotations

import math

import pytest

from tests.cli.calling import call, refused

MARGIN = ("calc", "coil-bind-margin", "solid_height=1.110 in")


@pytest.mark.parametrize("typed", ["1.790 in ±.010", "1.790 +/- .010 in", "1.790±.010"])
def test_a_tolerance_gives_the_result_a_band(typed: str) -> None:
    data = call(*MARGIN, f"installed_height={typed}", "lift_at_valve=.569", "--json").data
    given = data["inputs"]["installed_height"]
    assert given["as_read"] == typed
    assert given["tolerance"] == {
        "stated_as": "limits",
        "plus": pytest.approx(0.010),
        "minus": pytest.approx(0.010),
        "standard_uncertainty": pytest.approx(0.010 / math.sqrt(3)),
    }
    assert "tolerance" not in data["inputs"]["solid_height"]
    band = data["outputs"]["coil_bind_margin"]["band"]
    assert (band["low"], band["high"]) == pytest.approx((0.101, 0.121))
    assert (band["confidence"], band["method"], band["monte_carlo"]) == (0.95, "first order", None)
    assert band["shares"] == {"installed_height": pytest.approx(1.0)}
    assert data["correlations"] == []


def test_without_a_tolerance_nothing_is_said_of_bands() -> None:
    data = call(*MARGIN, "installed_height=1.790", "lift_at_valve=.569", "--json").data
    assert "band" not in data["outputs"]["coil_bind_margin"]
    assert "correlations" not in data


def test_a_person_sees_band_and_what_it_rests_on() -> None:
    said = call(*MARGIN, "installed_height=1.790 +.010/-.005", "lift_at_valve=.569 ±.004")
    assert "installed_height 1.79 +0.01/-0.005 in" in said.words
    assert "coil_bind_margin 0.103882 0.123118 in 0.102 to 0.125" in said.words
    assert "Tolerances were stated as limits" in said.words
    assert "Most of coil_bind_margin's variance comes from installed_height: 78%." in said.words


def test_a_temperatures_tolerance_is_a_difference() -> None:
    data = call("calc", "sound-speed", *sound("68 degF ±9"), "--json").data
    assert data["inputs"]["gas_temperature"]["tolerance"]["plus"] == pytest.approx(5.0)


def sound(temperature: str) -> tuple[str, ...]:
    card = call("calc", "sound-speed", "--list", "--json").data
    given = {"gas_temperature": temperature, "heat_capacity_ratio": "1.4", "gas_constant": "287 J/kg.K"}
    return tuple(f"{each['name']}={given[each['name']]}" for each in card["inputs"] if each["name"] in given)


def test_a_strongly_bent_result_says_so() -> None:
    words = ("crank_angle=0 deg ±40", "stroke=90mm", "rod_length=150mm")
    data = call("calc", "piston-fall", *words, "--json").data
    band = data["outputs"]["piston_fall"]["band"]
    assert band["method"] == "Monte Carlo"
    assert band["monte_carlo"]["draws"] == 4096
    assert band["high"] == band["monte_carlo"]["high"] > 100 * band["standard_uncertainty"]
    said = call("calc", "piston-fall", *words)
    assert "piston_fall is strongly bent within the tolerances" in said.words
    assert "the band is that of the draws." in said.words


def test_a_unit_that_no_shop_writes_takes_a_tolerance_too() -> None:
    words = ("joint_expansion=2.31e-5 ±1e-6 1/K", "bolt_expansion=1.17e-5", "temperature_rise=80 K")
    rest = ("grip=60mm", "bolt_stiffness=260000 N/mm", "joint_stiffness=800000 N/mm")
    data = call("calc", "thermal-load-change", *words, *rest, "--json").data
    assert data["inputs"]["joint_expansion"]["tolerance"]["plus"] == pytest.approx(1e-6)
    change = data["outputs"]["thermal_load_change"]
    assert change["value"] == pytest.approx(10.7375, rel=1e-4)
    assert change["band"]["high"] - change["value"] == pytest.approx(change["value"] / 11.4, rel=1e-6)


def test_a_tolerance_that_leaves_the_range_is_told_as_it_was_typed() -> None:
    code, error = refused(
        "calc", "lift-at-valve", "lobe_lift=.353", "rocker_ratio=1.6", "hot_lash=.001 ±.002"
    )
    assert code == 3
    assert error["complaints"] == [
        {
            "where": "lift-at-valve, hot_lash",
            "message": "with its tolerance the value is out of range: "
            "clearance at the valve; 0 for hydraulic lifters",
            "value": ".001 ±.002",
            "expected": "from 0 to 0.0787402 in",
        }
    ]


def test_tolerances_that_a_calculation_does_not_survive() -> None:
    code, error = refused("calc", "spring-index", "mean_diameter=16mm ±2", "wire_diameter=5mm")
    assert code == 3
    (complaint,) = error["complaints"]
    assert complaint["where"] == "spring-index"
    assert complaint["message"].startswith(
        "within the tolerances the calculation does not hold: spring index = 2."
    )
    assert complaint["value"] == "mean_diameter=16mm ±2"
    assert complaint["expected"] == "smaller tolerances, or a value farther from the limit"


def test_a_tolerance_that_cannot_be_read() -> None:
    code, error = refused(*MARGIN, "installed_height=1.790 ± x", "lift_at_valve=.569")
    assert code == 3
    assert error["complaints"][0]["where"] == "coil-bind-margin, installed_height"


@pytest.mark.parametrize("word", ["flat", "infinite", "inf"])
def test_a_flat_face_has_a_radius_without_end(word: str) -> None:
    words = ("contact_load=500 N", "first_diameter=12mm", "contact_modulus=113.7GPa")
    data = call("calc", "sphere-contact", *words, f"second_diameter={word}", "--json").data
    assert data["inputs"]["second_diameter"]["value"] is None
    assert data["outputs"]["contact_radius"]["value"] == pytest.approx(0.2705, abs=5e-5)
    card = call("calc", "sphere-contact", "--list")
    assert "any number mm, or flat" in card.words


def test_a_size_that_has_an_end_is_not_flat() -> None:
    code, _ = refused("calc", "sphere-contact", "contact_load=500 N", "first_diameter=flat")
    assert code == 3
