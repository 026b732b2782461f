"""`tappetry calc`: values as they are typed, units, ranges, names that do not exist."""

from __future__ import annotations

import numpy as np
import pytest

from tappetry.calculations.model import TEXT, Calculation
from tappetry.services.calculate import calculations
from tappetry.services.calculation_cards import default_text, limits, range_text
from tests.cli.calling import call, refused

CALCULATIONS = {each.name: each for each in calculations()}
LIFT = ("calc", "lift-at-valve")


def typed(calculation: Calculation) -> list[str]:
    """The example of a calculation as a person types it, in SI units."""
    inputs = {each.name: each for each in calculation.inputs}
    words = []
    for name, value in calculation.example.items():
        if inputs[name].kind == TEXT:
            words.append(f"{name}={value}")
            continue
        unit = "" if inputs[name].unit == "1" else inputs[name].unit
        numbers = [np.format_float_positional(each, trim="-") for each in np.atleast_1d(value)]
        words += [f"{name}={number} {unit}" for number in numbers]
    return words


def test_inches_at_the_lobe_become_inches_at_the_valve() -> None:
    data = call(*LIFT, "lobe_lift=.353in", "rocker_ratio=1.65", "hot_lash=0.010 in", "--json").data
    assert data["inputs"]["lobe_lift"] == {
        "as_read": ".353in",
        "value": 0.353,
        "unit": "in",
        "si": pytest.approx(0.353 * 0.0254),
        "si_unit": "m",
    }
    lift = data["outputs"]["lift_at_valve"]
    assert (lift["value"], lift["unit"]) == (pytest.approx(0.353 * 1.65 - 0.010), "in")
    assert all(source["text"] and source["kind"] for source in data["sources"])


def test_a_default_is_shown_as_used_and_not_as_typed() -> None:
    data = call(*LIFT, "lobe_lift=.353", "rocker_ratio=1.65", "--json").data
    assert data["inputs"]["hot_lash"]["value"] == 0
    assert data["inputs"]["hot_lash"]["as_read"] == ""


def test_a_person_sees_the_result_with_unit_source_and_caution() -> None:
    said = call(*LIFT, "lobe_lift=9mm", "rocker_ratio=1.65")
    assert said.code == 0
    assert "lift_at_valve 0.584646 in largest lift of the valve" in said.words
    assert "source: lever arms (textbook)" in said.words
    assert "caution: The ratio is measured, not stamped" in said.words


@pytest.mark.parametrize("name", [name for name, each in CALCULATIONS.items() if each.example])
def test_what_is_typed_is_what_is_calculated(name: str) -> None:
    calculation = CALCULATIONS[name]
    data = call("calc", name, *typed(calculation), "--json").data
    direct = calculation.evaluate(dict(calculation.example))
    assert list(data["outputs"]) == list(direct)
    for output, value in direct.items():
        wanted = value if isinstance(value, str) else pytest.approx(value, rel=1e-9)
        assert data["outputs"][output]["si"] == wanted, output


def test_several_values_are_stated_one_by_one() -> None:
    data = call(
        "calc",
        "shim-stack",
        *("reference_height=1.845", "least_height=1.795", "greatest_height=1.805"),
        *("shelf=.015", "shelf=.030", "--json"),
    ).data
    assert data["inputs"]["shelf"]["as_read"] == ".015; .030"
    assert data["inputs"]["shelf"]["value"] == [0.015, 0.030]
    assert data["outputs"]["shim_count"]["value"] == 2
    assert data["outputs"]["installed_height"]["value"] == pytest.approx(1.845 - 0.045)


def test_unknown_calculation_names_the_closest() -> None:
    code, error = refused("calc", "lift-at-vlave", "lobe_lift=1")
    assert code == 3
    assert error["message"] == (
        "calculation: there is no such calculation; did you mean lift-at-valve? (read: lift-at-vlave)"
    )


def test_unknown_calculation_without_a_close_one_says_where_to_look() -> None:
    code, error = refused("calc", "zzz")
    assert code == 3
    assert error["complaints"][0]["expected"] == "a name from `tappetry calc --list`"


def test_words_are_taken_as_they_are_written() -> None:
    data = call("calc", "round-money", "amount=2.675", "--json").data
    assert data["inputs"]["amount"] == {
        "as_read": "2.675",
        "value": "2.675",
        "unit": "",
        "si": "2.675",
        "si_unit": "",
    }
    assert data["outputs"]["rounded"]["value"] == "2.68"


def test_words_that_cannot_be_read_are_bad_input() -> None:
    code, error = refused("calc", "vin-check-digit", "vin=12")
    assert code == 3
    assert error["message"] == "vin-check-digit: '12' has 2 characters; a VIN has 17"


def test_all_that_is_wrong_with_the_inputs_is_told_at_once() -> None:
    said = call(*LIFT, "lobe_lft=.353", "hot_lash=3 furlongs")
    assert said.code == 3
    assert said.err.splitlines() == [
        "lift-at-valve: it takes no such input; did you mean lobe_lift? (read: lobe_lft)",
        "lift-at-valve: it needs lobe_lift: largest lift of the lobe above its base circle, at the tappet; "
        "expected above 0 to 1.1811 in",
        "lift-at-valve: it needs rocker_ratio: valve lift over tappet lift, measured, not stamped; "
        "expected from 0.5 to 3",
        "lift-at-valve, hot_lash: 'furlongs' is no unit of length; allowed: m, mm, cm, µm, in, thou "
        "(read: 3 furlongs); expected from 0 to 0.0787402 in",
    ]


def test_a_value_out_of_range_is_told_as_it_was_typed() -> None:
    code, error = refused(*LIFT, "lobe_lift=5 in", "rocker_ratio=1.65")
    assert code == 3
    assert error["complaints"] == [
        {
            "where": "lift-at-valve, lobe_lift",
            "message": "the value is out of range: "
            "largest lift of the lobe above its base circle, at the tappet",
            "value": "5 in",
            "expected": "above 0 to 1.1811 in",
        }
    ]


def test_values_that_do_not_go_together_are_told_in_the_handbooks_words() -> None:
    code, error = refused(
        "calc", "shim-stack", "reference_height=1.8", "least_height=1.9", "greatest_height=1.7", "shelf=.015"
    )
    assert code == 3
    assert error["where"] == "shim-stack"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["lobe_lift"], "an input cannot be read"),
        (["=3"], "an input cannot be read"),
        (["lobe_lift=1", "lobe_lift=2"], "the input is stated twice"),
        (["lobe_lift="], "nothing is written here"),
        (["lobe_lift=x"], "a number has to stand here"),
    ],
)
def test_inputs_that_cannot_be_read(words: list[str], message: str) -> None:
    code, error = refused(*LIFT, *words)
    assert code == 3
    assert message in [each["message"] for each in error["complaints"]]


def test_a_choice_that_does_not_exist_names_those_that_do() -> None:
    calculation, taken = next((c, i) for c in CALCULATIONS.values() for i in c.inputs if i.choices)
    words = [word for word in typed(calculation) if not word.startswith(taken.name)]
    code, error = refused("calc", calculation.name, *words, f"{taken.name}=zzz")
    assert code == 3
    assert error["complaints"][0]["message"] == "there is no such choice"
    assert error["complaints"][0]["expected"] == " | ".join(taken.choices)


def test_no_name_is_bad_input() -> None:
    assert call("calc").err == (
        "tappetry calc: no calculation is named; expected NAME input=value ..., or --list\n"
    )


@pytest.mark.slow
def test_the_list_names_every_calculation_with_units_ranges_and_sources() -> None:
    cards = call("calc", "--list", "--json").data["calculations"]
    assert [card["name"] for card in cards] == list(CALCULATIONS)
    for card in cards:
        assert card["sources"], card["name"]
        assert card["outputs"], card["name"]
        for each in card["inputs"]:
            assert each["unit"] or each["kind"] == TEXT, (card["name"], each["name"])
            assert set(each["range"]) == {"low", "high", "low_excluded"}
    said = call("calc", "--list")
    assert all(name in said.words for name in CALCULATIONS)


def test_the_card_of_one_says_what_it_takes() -> None:
    card = call(*LIFT, "--list", "--json").data
    ratio = next(each for each in card["inputs"] if each["name"] == "rocker_ratio")
    assert ratio["range"] == {"low": 0.5, "high": 3, "low_excluded": False}
    assert ratio["required"] is True
    said = call(*LIFT, "--list")
    assert "lobe lift x rocker ratio - hot lash" in said.words
    assert "rocker_ratio valve lift over tappet lift" in said.words


def test_limits_and_defaults_are_spoken_in_the_trades_units() -> None:
    inputs = {each.name: each for each in CALCULATIONS["lift-at-valve"].inputs}
    assert limits(inputs["lobe_lift"]).high == pytest.approx(0.03 / 0.0254)
    assert range_text(inputs["lobe_lift"]) == "above 0 to 1.1811 in"
    assert default_text(inputs["hot_lash"]) == "0 in"
    assert default_text(inputs["lobe_lift"]) == ""
