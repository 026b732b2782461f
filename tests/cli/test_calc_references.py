"""`tappetry calc`: words behind a number that say what it refers to, checked against the input."""

from __future__ import annotations

import pytest

from tests.cli.calling import call

PRESSURE = ("calc", "cranking-pressure", "effective_compression_ratio=8")
OIL = ("calc", "pump-power", "pump_flow=30 L/min", "overall_efficiency=0.8")
COIL = ("calc", "spring-index", "wire_diameter=4 mm")
CENTRES = ("calc", "lobe-separation", "exhaust_centreline=116 deg")


@pytest.mark.parametrize(
    ("words", "given", "plain"),
    [
        (PRESSURE, "ambient_pressure=14.2 psi absolute", "ambient_pressure=14.2 psi"),
        (PRESSURE, "ambient_pressure=14.2 psia", "ambient_pressure=14.2 psi"),
        (PRESSURE, "ambient_pressure=0.98 bar(a)", "ambient_pressure=0.98 bar"),
        (OIL, "oil_pressure=4 bar gauge", "oil_pressure=4 bar"),
        (OIL, "oil_pressure=60psig", "oil_pressure=60psi"),
        (COIL, "mean_diameter=24 mm mean ±0.1", "mean_diameter=24 mm ±0.1"),
        (CENTRES, "intake_centreline=108 crank deg ATDC", "intake_centreline=108 deg"),
    ],
)
def test_a_word_that_fits_changes_nothing(words: tuple[str, ...], given: str, plain: str) -> None:
    said, bare = call(*words, given, "--json").data, call(*words, plain, "--json").data
    assert said["outputs"] == bare["outputs"]
    name, _, typed = given.partition("=")
    assert said["inputs"][name]["as_read"] == typed


@pytest.mark.parametrize(
    ("words", "given", "message"),
    [
        (
            PRESSURE,
            "ambient_pressure=0 psig",
            "'gauge' is stated, but this is absolute (air pressure around the engine): add the pressure of "
            "the air (read: 0 psig)",
        ),
        (
            OIL,
            "oil_pressure=5 bar abs",
            "'absolute' is stated, but this is gauge (pressure in the main gallery): take the pressure of "
            "the air off (read: 5 bar abs)",
        ),
        (
            COIL,
            "mean_diameter=28 mm outside",
            "'outside' is stated, but this is mean (diameter of the coil to the wire's centre): a mean "
            "diameter is the outside one less one wire (read: 28 mm outside)",
        ),
        (
            CENTRES,
            "intake_centreline=54 cam deg",
            "'cam' is stated, but this is crank (intake lobe's centre after TDC): a degree of the cam is two "
            "of the crank (read: 54 cam deg)",
        ),
        (
            CENTRES,
            "intake_centreline=108 deg BTDC",
            "'BTDC' is stated, but this is ATDC (intake lobe's centre after TDC): before a dead centre is "
            "negative after it (read: 108 deg BTDC)",
        ),
        (
            ("calc", "curtain-lift", "valve_head_diameter=50 mm", "port_diameter=44 mm"),
            "stem_diameter=8 mm outside",
            "'outside' says nothing here: diameter of the valve's stem (read: 8 mm outside)",
        ),
    ],
)
def test_a_word_that_does_not_fit_is_refused(words: tuple[str, ...], given: str, message: str) -> None:
    said = call(*words, given)
    assert said.code == 3
    assert message in said.words


def test_a_person_is_told_what_a_value_refers_to() -> None:
    said = call(*PRESSURE, "ambient_pressure=14 psi").words
    assert "air pressure around the engine (absolute)" in said
    assert "(gauge)" in said


def test_a_limit_of_the_calculation_itself_is_told_and_not_that_of_the_quantity() -> None:
    said = call("calc", "interval-root", "first_low=-1", "first_high=4")
    assert said.code == 3
    assert "interval-root, first_low: first low = -1 must be" in said.words
    assert "(read: -1)" in said.words
    assert "any number" not in said.words
