"""The registry: names, what it says of each calculation, and how it refuses."""

from __future__ import annotations

import dataclasses
import re
import subprocess
import sys

import numpy as np
import pytest

from tappetry.calculations import registry as room
from tappetry.calculations.examples import EXAMPLES
from tappetry.calculations.model import TEXT, Calculation, InputError
from tappetry.calculations.registry import UnknownCalculation, registry
from tappetry.engineering import valvetrain
from tappetry.quantities.units import to_si
from tests.calculations.scaling import full_example

pytestmark = pytest.mark.slow

CALCULATIONS = registry().calculations
each_calculation = pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda each: each.name)

# Derivatives by crank angle have no kind of their own among the units.
WITHOUT_TRADE_UNITS = {
    "jerk",
    "length-per-angle-cubed",
    "thermal-expansion",
    "length-per-angle",
    "length-per-angle-squared",
    "per-angle",
}


def test_the_registry_is_built_once() -> None:
    assert registry() is registry()
    assert registry().names == tuple(each.name for each in CALCULATIONS)
    assert len(set(registry().names)) == len(CALCULATIONS)


def test_chapters_hold_every_calculation_once() -> None:
    chapters = registry().chapters
    assert [each for chapter in chapters.values() for each in chapter] == list(CALCULATIONS)


@each_calculation
def test_names_and_words(calculation: Calculation) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", calculation.name)
    assert calculation.title[0].isupper()
    assert "\n" not in calculation.formula
    assert calculation.sources
    assert {source.kind for source in calculation.sources} <= {
        "standard",
        "textbook",
        "common practice, no source",
    }


@each_calculation
def test_example_is_complete_and_runs(calculation: Calculation) -> None:
    needed = {each.name for each in calculation.inputs if each.required}
    assert calculation.example.keys() == needed
    outputs = calculation.evaluate(calculation.example)
    assert list(outputs) == [each.name for each in calculation.outputs]
    assert np.all(np.isfinite([value for value in outputs.values() if not isinstance(value, str)]))
    texts = [each.name for each in calculation.outputs if each.kind == TEXT]
    assert texts == [name for name, value in outputs.items() if isinstance(value, str)]


def test_every_example_is_used() -> None:
    assert {number.name for each in CALCULATIONS for number in each.inputs} >= EXAMPLES.keys()


@each_calculation
def test_trade_units_are_of_the_kind(calculation: Calculation) -> None:
    for quantity in (*calculation.inputs, *calculation.outputs):
        if quantity.kind == TEXT or quantity.kind in WITHOUT_TRADE_UNITS:
            continue
        assert to_si(1, quantity.unit, quantity.kind) == 1.0
        assert to_si(1, quantity.display_unit, quantity.kind) > 0.0


@each_calculation
def test_an_input_means_the_same_everywhere(calculation: Calculation) -> None:
    for number in calculation.inputs:
        if number.kind == TEXT:
            continue
        for other in CALCULATIONS:
            for same in other.inputs:
                if same.name == number.name:
                    described = dataclasses.replace(same, required=number.required, default=number.default)
                    assert described == number


def test_run_gives_named_outputs() -> None:
    outputs = room.run("lift-at-valve", {"lobe_lift": 8.763e-3, "rocker_ratio": 1.65})
    assert outputs == {"lift_at_valve": pytest.approx(14.45895e-3)}
    assert room.get("lift-at-valve").function is valvetrain.lift_at_valve


def test_unknown_calculation_names_the_closest() -> None:
    with pytest.raises(UnknownCalculation) as refusal:
        room.get("lift-at-vlave")
    assert refusal.value.name == "lift-at-vlave"
    assert refusal.value.closest == "lift-at-valve"
    assert str(refusal.value) == "no calculation is called 'lift-at-vlave'; the closest is 'lift-at-valve'"


def test_unknown_calculation_without_a_close_one_lists_all() -> None:
    with pytest.raises(UnknownCalculation) as refusal:
        room.run("zzz", {})
    assert refusal.value.closest == ""
    assert all(name in str(refusal.value) for name in registry().names)


def test_unknown_and_missing_inputs_are_named_at_once() -> None:
    with pytest.raises(InputError) as refusal:
        room.run("lift-at-valve", {"lobe_lft": 8e-3})
    error = refusal.value
    assert error.calculation == "lift-at-valve"
    assert error.unknown == {"lobe_lft": "lobe_lift"}
    assert error.missing == ("lobe_lift", "rocker_ratio")
    assert str(error) == (
        "lift-at-valve: it takes no 'lobe_lft', the closest is 'lobe_lift'; "
        "it needs 'lobe_lift' (largest lift of the lobe above its base circle, at the tappet, in m); "
        "it needs 'rocker_ratio' (valve lift over tappet lift, measured, not stamped, in 1). "
        "It takes: lobe_lift, rocker_ratio, hot_lash"
    )


def test_an_unused_input_is_an_error_without_a_close_name() -> None:
    with pytest.raises(InputError) as refusal:
        room.run("quench", {"deck_clearance": 5e-4, "gasket_thickness": 1e-3, "zz": 1.0})
    assert refusal.value.unknown == {"zz": ""}
    assert str(refusal.value) == "quench: it takes no 'zz'. It takes: deck_clearance, gasket_thickness"


def test_a_word_for_a_number_and_a_number_for_a_word() -> None:
    with pytest.raises(InputError) as refusal:
        room.run("quench", {"deck_clearance": "5e-4", "gasket_thickness": 1e-3})
    assert refusal.value.wrong_kind == ("deck_clearance",)
    assert "'deck_clearance' is a number" in str(refusal.value)
    with pytest.raises(InputError) as refusal:
        room.run("property-class-strength", {"property_class": 10.9, "nominal_diameter": 0.012})
    assert refusal.value.wrong_kind == ("property_class",)
    assert "'property_class' is one of 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9, 12.9" in str(refusal.value)


@each_calculation
def test_defaults_are_those_of_the_function(calculation: Calculation) -> None:
    written_out = calculation.evaluate(full_example(calculation))
    left_out = calculation.evaluate(calculation.example)
    for name, value in left_out.items():
        np.testing.assert_array_equal(written_out[name], value)


def test_nothing_heavy_is_imported_until_it_is_needed() -> None:
    script = (
        "import sys\n"
        "from tappetry.calculations.registry import registry, run\n"
        "registry()\n"
        "run('quench', {'deck_clearance': 5e-4, 'gasket_thickness': 1e-3})\n"
        "assert 'scipy' not in sys.modules, 'too early'\n"
        "run('lobe-fit', dict(registry().get('lobe-fit').example))\n"
        "assert 'scipy' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True, env={"PYTHONPATH": ":".join(sys.path)})
