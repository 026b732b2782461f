"""Unit factors against published tables, against pint, and against each other."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import inf, nan, pi

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.quantities.unit_table import KINDS
from tappetry.quantities.units import (
    UnitError,
    convert,
    exact_si,
    find_kind,
    find_unit,
    from_si,
    span_to_si,
    to_si,
)

# NIST Special Publication 811 (2008), appendix B.8, as printed there; from memory. A factor that is exact
# by definition is printed in bold in the table and stands here with all its digits.
SP_811 = [
    ("length", "in", "2.54E-02"),
    ("length", "thou", "2.54E-05"),
    ("distance", "ft", "3.048E-01"),
    ("distance", "mi", "1.609344E+03"),
    ("area", "in2", "6.4516E-04"),
    ("volume", "in3", "1.638706E-05"),
    ("volume", "L", "1.0E-03"),
    ("angle", "deg", "1.745329E-02"),
    ("angle", "rev", "6.283185E+00"),
    ("mass", "lb", "4.535924E-01"),
    ("force", "lbf", "4.448222E+00"),
    ("pressure", "bar", "1.0E+05"),
    ("pressure", "mbar", "1.0E+02"),
    ("pressure", "atm", "1.01325E+05"),
    ("pressure", "psi", "6.894757E+03"),
    ("pressure", "inHg", "3.386389E+03"),
    ("pressure", "mmHg", "1.333224E+02"),
    ("pressure", "inH2O", "2.490889E+02"),
    ("torque", "lbf.ft", "1.355818E+00"),
    ("torque", "lbf.in", "1.129848E-01"),
    ("stiffness", "lbf/in", "1.751268E+02"),
    ("density", "g/cm3", "1.0E+03"),
    ("time", "day", "8.64E+04"),
    ("speed", "km/h", "2.777778E-01"),
    ("speed", "mph", "4.4704E-01"),
    ("speed", "ft/s", "3.048E-01"),
    ("speed", "ft/min", "5.08E-03"),
    ("acceleration", "ft/s2", "3.048E-01"),
    ("acceleration", "in/s2", "2.54E-02"),
    ("angular-speed", "rpm", "1.047198E-01"),
    ("temperature-difference", "degF", "5.555556E-01"),
    ("volume-flow", "cfm", "4.719474E-04"),
    ("mass-flow", "lb/h", "1.259979E-04"),
    ("power", "hp", "7.456999E+02"),
    ("power", "PS", "7.354988E+02"),
    ("energy", "kWh", "3.6E+06"),
    ("energy", "BTU", "1.055056E+03"),
    ("specific-energy", "BTU/lb", "2.326E+03"),
    ("force", "kip", "4.448222E+03"),
    ("pressure", "ksi", "6.894757E+06"),
    ("torque", "kgf.m", "9.80665E+00"),
    ("density", "lb/in3", "2.767990E+04"),
    ("specific-fuel-consumption", "lb/hp.h", "1.689659E-07"),
]

# How pint writes each unit. Nothing is left out: a test sees to that.
IN_PINT = {
    "length": {"m": "m", "mm": "mm", "cm": "cm", "µm": "um", "in": "in", "thou": "thou"},
    "distance": {"m": "m", "km": "km", "ft": "ft", "mi": "mi"},
    "area": {"m2": "m**2", "cm2": "cm**2", "mm2": "mm**2", "in2": "in**2"},
    "volume": {
        "m3": "m**3",
        "L": "L",
        "cc": "cc",
        "mL": "mL",
        "mm3": "mm**3",
        "in3": "in**3",
        "ft3": "ft**3",
        "US gal": "gallon",
    },
    "length-times-angle": {"m.rad": "m*rad", "mm.deg": "mm*deg", "in.deg": "in*deg"},
    "angle-per-length": {"rad/m": "rad/m", "deg/mm": "deg/mm", "rev/mi": "turn/mile", "rev/km": "turn/km"},
    "angle": {"rad": "rad", "deg": "deg", "rev": "turn"},
    "mass": {"kg": "kg", "g": "g", "lb": "lb"},
    "force": {"N": "N", "kN": "kN", "lbf": "lbf", "kgf": "kgf", "kip": "kip"},
    "pressure": {
        unit: unit
        for unit in ["Pa", "kPa", "MPa", "GPa", "bar", "mbar", "atm", "psi", "ksi", "inHg", "mmHg", "inH2O"]
    },
    "torque": {"N.m": "N*m", "lbf.ft": "lbf*ft", "lbf.in": "lbf*in", "kgf.m": "kgf*m"},
    "stiffness": {"N/m": "N/m", "N/mm": "N/mm", "lbf/in": "lbf/in"},
    "inertia": {"kg.m2": "kg*m**2", "g.mm2": "g*mm**2"},
    "density": {
        "kg/m3": "kg/m**3",
        "g/cm3": "g/cm**3",
        "kg/L": "kg/L",
        "lb/ft3": "lb/ft**3",
        "lb/in3": "lb/in**3",
    },
    "time": {"s": "s", "ms": "ms", "min": "min", "h": "h", "day": "day", "year": "julian_year"},
    "speed": {"m/s": "m/s", "km/h": "km/h", "mph": "mph", "ft/s": "ft/s", "ft/min": "ft/min"},
    "acceleration": {"m/s2": "m/s**2", "in/s2": "in/s**2", "ft/s2": "ft/s**2"},
    "angular-speed": {"rad/s": "rad/s", "rpm": "rpm", "Hz": "turn/s"},
    "frequency": {"Hz": "Hz", "kHz": "kHz", "cpm": "1/min"},
    "temperature": {"K": "K", "degC": "degC", "degF": "degF", "degR": "degR"},
    "temperature-difference": {"K": "K", "degC": "delta_degC", "degF": "delta_degF"},
    "volume-flow": {
        "m3/s": "m**3/s",
        "L/min": "L/min",
        "cc/min": "cc/min",
        "cfm": "ft**3/min",
        "US gal/min": "gallon/min",
    },
    "mass-flow": {"kg/s": "kg/s", "g/s": "g/s", "kg/h": "kg/h", "lb/h": "lb/h"},
    "power": {"W": "W", "kW": "kW", "hp": "hp", "PS": "metric_horsepower"},
    "energy": {"J": "J", "kJ": "kJ", "MJ": "MJ", "kWh": "kWh", "BTU": "Btu_it"},
    "energy-density": {"J/m3": "J/m**3", "MJ/m3": "MJ/m**3", "MJ/L": "MJ/L"},
    "specific-energy": {"J/kg": "J/kg", "kJ/kg": "kJ/kg", "MJ/kg": "MJ/kg", "BTU/lb": "Btu_it/lb"},
    "specific-heat-capacity": {"J/kg.K": "J/(kg*K)", "kJ/kg.K": "kJ/(kg*K)"},
    "heat-transfer-coefficient": {"W/m2.K": "W/(m**2*K)"},
    "heat-flux": {"W/m2": "W/m**2", "kW/m2": "kW/m**2", "MW/m2": "MW/m**2"},
    "thermal-conductivity": {"W/m.K": "W/(m*K)"},
    "kinematic-viscosity": {"m2/s": "m**2/s", "mm2/s": "mm**2/s"},
    "leak-conductance": {"m3/s.Pa": "m**3/(s*Pa)", "L/min.bar": "L/(min*bar)"},
    "dynamic-viscosity": {"Pa.s": "Pa*s", "mPa.s": "mPa*s", "reyn": "reyn"},
    "molar-mass": {"kg/mol": "kg/mol", "g/mol": "g/mol"},
    "pressure-per-speed": {"Pa.s/m": "Pa*s/m", "bar.s/m": "bar*s/m"},
    "pressure-per-speed-squared": {"Pa.s2/m2": "Pa*s**2/m**2", "bar.s2/m2": "bar*s**2/m**2"},
    "specific-fuel-consumption": {"kg/J": "kg/J", "g/kWh": "g/kWh", "lb/hp.h": "lb/(hp*h)"},
    "dimensionless": {"1": "", "%": "percent", ":1": ""},
}

EVERY_UNIT = [(kind.name, unit.symbol) for kind in KINDS.values() for unit in kind.units]
PROPORTIONAL = [(kind, unit) for kind, unit in EVERY_UNIT if not KINDS[kind].absolute]
SIZES = st.floats(1e-6, 1e6) | st.floats(-1e6, -1e-6) | st.just(0.0)
PINT = pint.UnitRegistry()


def factor(unit: str, kind: str) -> Fraction:
    return find_unit(unit, kind).factor


@pytest.mark.parametrize(("kind", "unit", "printed"), SP_811)
def test_factors_are_those_of_nist_sp_811(kind: str, unit: str, printed: str) -> None:
    half_a_digit = Fraction(Decimal((0, (5,), Decimal(printed).as_tuple().exponent - 1)))
    assert abs(factor(unit, kind) - Fraction(printed)) <= half_a_digit


def test_exact_definitions() -> None:
    # NIST SP 811 (2008), B.6 and the footnotes to B.8; from memory.
    assert factor("in", "length") == Fraction(254, 10_000)
    assert factor("lb", "mass") == Fraction("0.45359237")
    assert factor("lbf", "force") == Fraction("4.4482216152605")
    assert factor("PS", "power") == Fraction("735.49875")
    assert factor("mmHg", "pressure") == Fraction("133.322387415")
    assert factor("hp", "power") == 550 * factor("lbf.ft", "torque")


def test_units_fit_each_other_exactly() -> None:
    inch, foot = factor("in", "length"), factor("ft", "distance")
    pound_force = factor("lbf", "force")
    minute, hour = factor("min", "time"), factor("h", "time")
    assert foot == 12 * inch
    assert factor("mi", "distance") == 5280 * foot
    assert factor("in2", "area") == inch**2
    assert factor("in3", "volume") == inch**3
    assert factor("psi", "pressure") * factor("in2", "area") == pound_force
    assert factor("lbf/in", "stiffness") * inch == pound_force
    assert factor("lbf.in", "torque") == pound_force * inch
    assert factor("lbf.ft", "torque") == pound_force * foot
    assert factor("rpm", "angular-speed") * minute == factor("rev", "angle") == 360 * factor("deg", "angle")
    assert factor("mph", "speed") * hour == factor("mi", "distance")
    assert factor("cfm", "volume-flow") * minute == foot**3
    assert factor("kWh", "energy") == factor("kW", "power") * hour
    assert factor("lb/hp.h", "specific-fuel-consumption") * factor("hp", "power") * hour == factor(
        "lb", "mass"
    )
    assert factor("lb/h", "mass-flow") * hour == factor("lb", "mass")
    assert factor("inHg", "pressure") == Fraction("25.4") * factor("mmHg", "pressure")


def test_every_unit_is_put_to_pint() -> None:
    assert {kind: set(units) for kind, units in IN_PINT.items()} == {
        kind.name: {unit.symbol for unit in kind.units} for kind in KINDS.values()
    }


@settings(max_examples=settings.default.max_examples // 10)  # each example tries every unit
@given(value=SIZES)
def test_pint_agrees(value: float) -> None:
    for kind, unit in EVERY_UNIT:
        given_value = abs(value) if KINDS[kind].absolute else value
        theirs = PINT.Quantity(given_value, IN_PINT[kind][unit]).to(IN_PINT[kind][KINDS[kind].si_unit])
        assert to_si(given_value, unit, kind) == pytest.approx(theirs.magnitude, rel=1e-13, abs=0), unit


@settings(max_examples=settings.default.max_examples // 2)
@given(value=SIZES)
def test_there_and_back(value: float) -> None:
    for kind, unit in PROPORTIONAL:
        assert from_si(to_si(value, unit, kind), unit, kind) == pytest.approx(value, rel=5e-16, abs=0), unit
    for unit in ("K", "degC", "degF"):  # near the zero of the scale only the step of a float near 500 is left
        back = from_si(to_si(abs(value), unit, "temperature"), unit, "temperature")
        assert back == pytest.approx(abs(value), rel=5e-16, abs=500 * 2**-52), unit


@settings(max_examples=settings.default.max_examples // 2)
@given(value=st.integers(-(10**9), 10**9), scale=st.fractions(-1000, 1000))
def test_si_value_scales_with_the_value(value: int, scale: Fraction) -> None:
    for kind, unit in PROPORTIONAL:
        assert exact_si(scale * value, unit, kind) == scale * exact_si(value, unit, kind), unit


@given(value=st.decimals(-(10**6), 10**6, places=4))
def test_decimals_are_converted_as_written(value: Decimal) -> None:
    assert to_si(value, "in", "length") == float(Fraction(value) * 254 / 10_000)


@pytest.mark.parametrize("kind", KINDS.values(), ids=str)
def test_each_spelling_means_one_unit(kind) -> None:
    for unit in kind.units:
        assert all(kind.by_spelling[spelling] is unit for spelling in unit.spellings)
    assert kind.units[0].factor == 1
    assert kind.si_unit == kind.units[0].symbol


@pytest.mark.parametrize(
    ("spellings", "kind"),
    [
        ("lbf.ft lbf-ft ft-lbf lb-ft lb·ft ft·lbf", "torque"),
        ("lbf.in in-lbf lb-in", "torque"),
        ("N.m Nm N·m N⋅m", "torque"),
        ("µm μm um", "length"),
        ('in inch " ″', "length"),
        ("cc cm3 cm³ mL", "volume"),
        ("L l", "volume"),
        ("in3 in³ in^3", "volume"),
        ("mm2 mm² mm^2", "area"),
        ("lbf/in lb/in", "stiffness"),
        ("degC °C", "temperature"),
        ("Hz rev/s", "angular-speed"),
        ("1 :1", "dimensionless"),
    ],
)
def test_spellings_of_the_trade(spellings: str, kind: str) -> None:
    assert len({factor(spelling, kind) for spelling in spellings.split()}) == 1


@pytest.mark.parametrize(
    ("value", "unit", "target", "result"),
    [  # NIST SP 811, exact factors; from memory
        (1, "lbf", "N", 4.4482216152605),
        (1, "US gal", "L", 3.785411784),
        (1, "inHg", "Pa", 3386.388640341),
        (32, "degF", "degC", 0.0),
        (60, "rpm", "rev/s", 1.0),
        (12, "in", "ft", 1.0),
        (1, "lb", "kg", 0.45359237),
    ],
)
def test_conversion_between_two_units(value: int, unit: str, target: str, result: float) -> None:
    assert convert(value, unit, target) == pytest.approx(result, rel=1e-12, abs=1e-12)


def test_a_conversion_between_two_kinds_is_refused() -> None:
    with pytest.raises(UnitError) as refusal:
        convert(1, "lb", "N.m")
    assert str(refusal.value) == "1 lb (any kind): no kind of quantity has both 'lb' and 'N.m'"


def test_pound_is_what_is_asked_for() -> None:
    assert to_si(30, "lb", "mass") == 13.6077711
    assert to_si(30, "lb", "force") == 133.446648457815


def test_fixed_points_of_temperature() -> None:
    # Ice and steam point, where the two scales meet, and the reference temperature of ISO 1, 20 degC.
    assert to_si(32, "degF", "temperature") == to_si(0, "degC", "temperature") == 273.15
    assert to_si(212, "degF", "temperature") == to_si(100, "degC", "temperature") == 373.15
    assert to_si(-40, "degF", "temperature") == to_si(-40, "degC", "temperature")
    assert to_si(68, "degF", "temperature") == to_si(20, "degC", "temperature")
    assert from_si(0, "degF", "temperature") == -459.67
    assert to_si(9, "degF", "temperature-difference") == span_to_si(9, "degF", "temperature") == 5


def test_angles_are_right_to_the_last_bit() -> None:
    assert to_si(180, "deg", "angle") == pi
    assert to_si(1, "rev", "angle") == 2 * pi
    assert to_si(60, "rpm", "angular-speed") == 2 * pi


@pytest.mark.parametrize(
    ("value", "unit", "kind", "message"),
    [
        (
            12,
            "inhc",
            "length",
            "12 inhc (length): 'inhc' is no unit of length; allowed: m, mm, cm, µm, in, thou; "
            "closest spelling: inch",
        ),
        (
            Decimal("22.0"),
            "NM",
            "torque",
            "22.0 NM (torque): 'NM' is no unit of torque; allowed: N.m, lbf.ft, lbf.in, kgf.m; "
            "closest spelling: Nm",
        ),
        (
            7.5,
            "psi",
            "torque",
            "7.5 psi (torque): 'psi' is no unit of torque, but of pressure; allowed: "
            "N.m, lbf.ft, lbf.in, kgf.m",
        ),
        (
            5,
            "mil",
            "length",
            "5 mil (length): 'mil' is no unit of length: say thou (0.001 in) or mm; "
            "allowed: m, mm, cm, µm, in, thou",
        ),
        (nan, "kg", "mass", "nan kg (mass): not a finite number"),
        (-inf, "kg", "mass", "-inf kg (mass): not a finite number"),
        (Decimal("Infinity"), "kg", "mass", "Infinity kg (mass): not a finite number"),
        (1e308, "kN", "force", "1e+308 kN (force): too large to calculate with"),
        (
            -273.2,
            "degC",
            "temperature",
            "-273.2 degC (temperature): below absolute zero, which is -273.15 degC",
        ),
    ],
)
def test_what_is_refused(value: float, unit: str, kind: str, message: str) -> None:
    with pytest.raises(UnitError) as caught:
        to_si(value, unit, kind)
    assert str(caught.value) == message


def test_unknown_kind_is_refused_with_the_closest() -> None:
    with pytest.raises(UnitError) as caught:
        from_si(3, "mm", "lenght")
    error = caught.value
    assert (error.value, error.unit, error.kind, error.closest) == (3, "mm", "lenght", "length")
    assert error.allowed == tuple(KINDS)
    assert str(error).startswith("3 mm (lenght): no such kind of quantity; allowed: length, distance, ")
    with pytest.raises(UnitError, match=r"^\(ratio\): no such kind of quantity; allowed: .*dimensionless"):
        find_kind("ratio")


def test_spans_are_checked_too() -> None:
    with pytest.raises(UnitError) as caught:
        span_to_si(nan, "degF", "temperature")
    assert str(caught.value) == "nan degF (temperature): not a finite number"


def test_si_values_are_checked_too() -> None:
    with pytest.raises(UnitError) as caught:
        from_si(-1, "degC", "temperature")
    assert str(caught.value) == "-1 K (temperature): below absolute zero, which is 0 K"
