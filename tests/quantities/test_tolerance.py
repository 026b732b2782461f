"""Values with a spread."""

from __future__ import annotations

from math import inf, nan

import pytest

from tappetry.quantities.notation import parse
from tappetry.quantities.tolerance import Origin, Spread, Toleranced, ToleranceError


def limits(nominal: float, plus: float, minus: float) -> Toleranced:
    return Toleranced(nominal, plus, minus, Spread.LIMITS, Origin.ASSUMED)


def test_examples_of_the_guide_to_uncertainty() -> None:
    # JCGM 100:2008, examples of 4.3.7 (even limits) and 4.3.8 (lopsided limits): expansion of copper,
    # 16.52e-6 per degC, printed to two figures; from memory.
    assert limits(16.52, 0.40, 0.40).standard_deviation == pytest.approx(0.23, abs=0.005)
    lopsided = limits(16.52, 0.40, 0.12)
    assert lopsided.standard_deviation == pytest.approx(0.15, abs=0.005)
    assert lopsided.mean == pytest.approx((16.40 + 16.92) / 2)


def test_standard_deviation_is_kept_as_given() -> None:
    value = Toleranced(10.0, 0.2, 0.2, Spread.STANDARD_DEVIATION, Origin.STATED)
    assert value.standard_deviation == 0.2
    assert value.mean == 10.0
    assert str(value) == "10 +0.2/-0.2 (standard deviation, stated)"


def test_limits_stated_with_a_quantity() -> None:
    value = Toleranced.stated(parse("1.800 in +0.005/-0.015", "length"))
    assert value == Toleranced(0.04572, 0.000127, 0.000381, Spread.LIMITS, Origin.STATED)
    with pytest.raises(ToleranceError) as caught:
        Toleranced.stated(parse("1.800 in", "length"))
    assert str(caught.value) == "'1.800 in' states no tolerance; assume one and say so"


@pytest.mark.parametrize(
    ("plus", "minus", "spread", "message"),
    [
        (
            nan,
            0.1,
            Spread.LIMITS,
            "5 +nan/-0.1 (limits, assumed): each of the three numbers has to be finite",
        ),
        (
            0.1,
            inf,
            Spread.LIMITS,
            "5 +0.1/-inf (limits, assumed): each of the three numbers has to be finite",
        ),
        (
            0.1,
            -0.1,
            Spread.LIMITS,
            "5 +0.1/--0.1 (limits, assumed): plus and minus are distances and cannot be negative",
        ),
        (
            0.1,
            0.2,
            Spread.STANDARD_DEVIATION,
            "5 +0.1/-0.2 (standard deviation, assumed): a standard deviation is the same above and below",
        ),
    ],
)
def test_senseless_spreads_are_refused(plus: float, minus: float, spread: Spread, message: str) -> None:
    with pytest.raises(ToleranceError) as caught:
        Toleranced(5.0, plus, minus, spread, Origin.ASSUMED)
    assert str(caught.value) == message
