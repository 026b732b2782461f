"""The binding itself: what an adapter may not do is refused, and a wrong result is seen."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pint
import pytest

from tests.checks.binding import Adapter, AdapterError, adapters
from tests.checks.reading import Check, parts
from tests.checks.units import CAM, CRANK, UNITS, in_turns_of

PINT = pint.UnitRegistry()
IN_PINT = {
    "kip": "kip",
    "kpsi": "kpsi",
    "reyn": "reyn",
    "gal/min": "gallon/minute",
    "nm": "nm",
    "rpm": "rpm",
    "rev/s": "turn/s",
    "lbm/hp h": "lb/(hp*h)",
    "lbm/h": "lb/h",
    "mm2/s": "mm**2/s",
    "kJ/kg K": "kJ/(kg*K)",
    "bar s/m": "bar*s/m",
    "in3/rev": "in**3",
    "N/mm2": "N/mm**2",
    "W/m2 K": "W/(m**2*K)",
    "rev/mile": "turn/mile",
    "tpi": "1/inch",
    "ft/min": "ft/min",
    "um": "um",
}


def check_of(expected: dict[str, tuple[Any, str]], **more: Any) -> Check:
    return Check(
        id="XX-01",
        topic="none",
        source="a note of 30 degrees",
        kind="identity",
        from_memory=False,
        derivation="",
        given={"lift": (10.0, "mm"), "ratio": (1.5, "-"), "turned": (20.0, "cam deg")},
        expected=expected,
        tolerance={"rel": 1e-6},
        **more,
    )


def adapter_of(inputs: dict[str, Any], *, output: Any = "lift_at_valve", **more: Any) -> Adapter:
    run = {"calculation": "lift-at-valve", "inputs": inputs, **more}
    return Adapter(check_of({"net": (15.0, "mm")}), {"only": run}, {"net": output}, {})


def test_a_renamed_and_converted_result() -> None:
    adapter = adapter_of({"lobe_lift": "lift", "rocker_ratio": "ratio"})
    assert adapter.results() == {"net": pytest.approx(15.0)}
    assert adapter.check.agrees("net", 15.00001)
    assert not adapter.check.agrees("net", 15.0001)


@pytest.mark.parametrize(
    ("adapter", "message"),
    [
        (adapter_of({"lobe_lft": "lift"}), "XX-01: lift-at-valve takes no lobe_lft"),
        (adapter_of({"lobe_lift": "lft"}), "XX-01: nothing is called 'lft'"),
        (adapter_of({"lobe_lift": "ratio"}), "XX-01: lobe_lift is in m, not in 1"),
        (
            adapter_of({"lobe_lift": {"literal": 9, "unit": "mm"}}),
            "XX-01: 9 stands nowhere in the check's words",
        ),
        (
            adapter_of({"lobe_lift": {"literal": 3, "unit": "mm"}}),
            "XX-01: 3 stands nowhere in the check's words",
        ),
        (adapter_of({}, formula="1 + 1"), "XX-01: a run takes no formula"),
        (
            adapter_of({"lobe_lift": {"sum": ["lift", "lift"]}}),
            "XX-01: {'sum': ['lift', 'lift']} is no given value, output or literal",
        ),
        (
            adapter_of({"lobe_lift": "lift", "rocker_ratio": "ratio"}, output={"product": ["lift", "lift"]}),
            "XX-01: product of lift, lift is no identity",
        ),
        (
            adapter_of({"lobe_lift": "lift", "rocker_ratio": "ratio"}, output={"sum": ["lift", "ratio"]}),
            "XX-01: sum of lift, ratio is no identity",
        ),
        (
            adapter_of({"lobe_lift": "lift", "rocker_ratio": "ratio"}, output="turned"),
            "XX-01: net is in mm, the result in rad",
        ),
    ],
)
def test_what_an_adapter_may_not_do(adapter: Adapter, message: str) -> None:
    with pytest.raises(AdapterError) as refusal:
        adapter.results()
    assert str(refusal.value) == message


def test_a_literal_may_stand_in_the_words() -> None:
    adapter = adapter_of({"lobe_lift": {"literal": 30, "unit": "mm"}, "rocker_ratio": {"literal": 1}})
    assert adapter.results() == {"net": pytest.approx(30.0)}


def test_numbers_that_take_any_unit_keep_it() -> None:
    run = {"calculation": "combined-uncertainty", "inputs": {"contributions": ["lift", "lift"]}}
    check = check_of({"both": (200.0**0.5, "mm")})
    assert Adapter(check, {"only": run}, {"both": "combined_uncertainty"}, {}).results() == {
        "both": pytest.approx(200.0**0.5)
    }
    mixed = {**run, "inputs": {"contributions": ["lift", "turned"]}}
    with pytest.raises(AdapterError) as refusal:
        Adapter(check, {"only": mixed}, {"both": "combined_uncertainty"}, {}).results()
    assert str(refusal.value) == "XX-01: all inputs are in one unit, not in m, rad"


def test_a_check_without_units_stands_for_any_system_of_them() -> None:
    check = check_of({"there and back": (2.0, "-")})
    outputs = {"there and back": "travel_time"}
    run = {"calculation": "travel-time", "inputs": {"pipe_length": "ratio", "sound_speed": "ratio"}}
    assert Adapter(check, {"only": run}, outputs, {}, plain=True).results() == {"there and back": 2.0}
    with pytest.raises(AdapterError) as refusal:
        Adapter(check, {"only": run}, outputs, {}).results()
    assert str(refusal.value) == "XX-01: pipe_length is in m, not in 1"
    mixed = {**run, "inputs": {"pipe_length": "ratio", "sound_speed": "lift"}}
    with pytest.raises(AdapterError, match="XX-01: sound_speed is in m/s, not in m"):
        Adapter(check, {"only": mixed}, outputs, {}, plain=True).results()


def test_degrees_of_the_cam_are_not_those_of_the_crank() -> None:
    assert in_turns_of(1.0, CAM, "crank, ATDC") == 2.0
    assert in_turns_of(1.0, CRANK, "cam") == 0.5
    assert in_turns_of(1.0, "", "crank") == in_turns_of(1.0, CRANK, "crank") == 1.0
    check = check_of({"angle": (40.0, "crank deg"), "same": (20.0, "cam deg")})
    run = {
        "calculation": "intake-centreline",
        "inputs": {"opening_reading": "turned", "closing_reading": "turned"},
    }
    adapter = Adapter(check, {"only": run}, {"angle": "intake_centreline", "same": "intake_centreline"}, {})
    assert adapter.results() == {"angle": pytest.approx(40.0), "same": pytest.approx(20.0)}


@pytest.mark.parametrize(
    ("value", "unit", "read"),
    [
        ("102 +- 0.01", "mm", {"": (102.0, "mm"), ".spread": (0.01, "mm")}),
        ("19.2 exact", "cm3", {"": (19.2, "cm3")}),
        ("[-2,3]", "interval", {".low": (-2.0, "-"), ".high": (3.0, "-")}),
        ("225/60R16", "text", {"": ("225/60R16", "text")}),
    ],
)
def test_numbers_that_are_written_as_words(value: str, unit: str, read: dict[str, Any]) -> None:
    assert parts(value, unit) == read


@pytest.mark.parametrize(("unit", "spelt"), IN_PINT.items())
def test_units_of_the_checks_agree_with_a_general_library(unit: str, spelt: str) -> None:
    assert UNITS[unit].to_si(1.0) == pytest.approx(
        PINT.Quantity(1.0, spelt).to_base_units().magnitude, rel=1e-9
    )


def test_units_go_there_and_back() -> None:
    for unit in UNITS.values():
        assert unit.from_si(unit.to_si(3.0)) == pytest.approx(3.0, rel=1e-12)


@pytest.mark.parametrize("name", ["CR-01", "VN-01", "UT-01"])
def test_a_changed_expectation_is_seen(name: str) -> None:
    adapter = adapters()[name]
    for key, (value, unit) in adapter.check.expected.items():
        other = value + "1" if isinstance(value, str) else math.nextafter(value, math.inf) * (1 + 1e-8)
        check = dataclasses.replace(adapter.check, expected={**adapter.check.expected, key: (other, unit)})
        assert not check.agrees(key, adapter.results()[key])
