"""Units by person: the same quantity in either system, and both where the trade reads both."""

from __future__ import annotations

import pytest

from tappetry.presentation.measures import INCH, METRIC, SYSTEMS, figure_in_both, figure_in_first


def test_a_quantity_is_told_in_either_system() -> None:
    assert METRIC.said(0.0127, "length") == "12.70 mm"
    assert INCH.said(0.0127, "length") == "0.500 in"
    assert INCH.both(400.0, "torque") == "295 lb·ft (400 N·m)"
    assert METRIC.both(250e3, "power") == "250 kW (335 hp)"
    assert METRIC.both(40e3, "pressure") == "40 kPa (11.8 inHg)"
    assert METRIC.other is INCH
    assert INCH.other is METRIC


def test_both_systems_read_the_same_kinds() -> None:
    assert set(METRIC.by_kind) == set(INCH.by_kind)
    assert set(SYSTEMS) == {"metric", "inch"}


@pytest.mark.parametrize(
    ("value", "unit", "told", "metric", "inch"),
    [
        (0.12, "in", "0.120 in (3.05 mm)", "3.05 mm (0.120 in)", "0.120 in (3.05 mm)"),
        (1.8, "mm", "1.80 mm (0.071 in)", "1.80 mm (0.071 in)", "0.071 in (1.80 mm)"),
        (120.0, "lb", "120 lb (534 N)", "534 N (120 lb)", "120 lb (534 N)"),
        (9.8, "1", "9.8", "9.8", "9.8"),
        (14.0, "deg", "14.0°", "14.0°", "14.0°"),
        (None, "in", "–", "–", "–"),
    ],
)
def test_what_a_shop_states_is_told_in_both(
    value: float | None, unit: str, told: str, metric: str, inch: str
) -> None:
    assert figure_in_both(value, unit) == told
    assert figure_in_both(value, unit, METRIC) == metric
    assert figure_in_both(value, unit, INCH) == inch


def test_a_margin_keeps_its_sign() -> None:
    assert figure_in_first(0.0256, "in", METRIC, signed=True) == "+0.65 mm"
    assert figure_in_first(0.0256, "in", INCH) == figure_in_first(0.0256, "in") == "0.026 in"
    assert figure_in_both(0.0256, "in", METRIC, signed=True) == "+0.65 mm (+0.026 in)"
    assert figure_in_both(-0.3, "mm", signed=True) == "−0.30 mm (−0.012 in)"
