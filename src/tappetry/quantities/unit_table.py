"""Every unit the shop may write, by kind of quantity, with its exact size in SI units.

Sources: definitions in NIST SP 811 (2008), appendix B, and ISO 80000. The inch (25.4 mm), the pound
(0.453 592 37 kg) and standard gravity (9.806 65 m/s2) are exact by definition; every other factor here
is built from them. Inch and millimetre of mercury and inch of water are the conventional ones, by
agreed densities of 13 595.1 and 1000 kg/m3. Only pi is not exact: it carries 50 digits.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of one kind: its symbol, how else it may be spelt, and its size.

    A value in SI units is ``(value + zero) * factor``; ``zero`` differs from 0 only for temperatures.
    """

    symbol: str
    factor: Fraction
    spellings: tuple[str, ...]
    zero: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: its name, its units (the SI unit first) and the unit behind each spelling."""

    name: str
    units: tuple[Unit, ...]
    by_spelling: dict[str, Unit] = field(repr=False, compare=False)
    absolute: bool = False

    @property
    def si_unit(self) -> str:
        """Symbol of the SI unit of this kind."""
        return self.units[0].symbol


def _unit(symbol: str, factor: Fraction | int | str, *spellings: str, zero: Fraction | int | str = 0) -> Unit:
    return Unit(symbol, Fraction(factor), (symbol, *spellings), Fraction(zero))


def _kind(name: str, *units: Unit, absolute: bool = False) -> Kind:
    by_spelling = {spelling: unit for unit in units for spelling in unit.spellings}
    return Kind(name, units, by_spelling, absolute)


def _square(symbol: str) -> list[str]:
    """Other spellings of in2: in², in^2."""
    return [f"{symbol}²", f"{symbol}^2"]


def _cube(symbol: str) -> list[str]:
    """Other spellings of in3: in³, in^3."""
    return [f"{symbol}³", f"{symbol}^3"]


def _product(*pairs: str) -> list[str]:
    """Spellings of products written ``lbf.ft``: lbf.ft, lbf-ft, lbf·ft, lbf⋅ft, lbf ft."""
    return [pair.replace(".", sign) for pair, sign in product(pairs, ".-·⋅ ")]


def _per(top: str, *bottom: str) -> list[str]:
    """Other spellings of ``J/kg.K``: J/(kg.K), J/(kg·K), J/(kg K), J/kg K, J/kg·K, J/kg-K, J/kgK."""
    return [f"{top}/({sign.join(bottom)})" for sign in ".·⋅ "] + [
        f"{top}/{sign.join(bottom)}" for sign in ("·", "⋅", " ", "-", "")
    ]


def _over(symbol: str) -> list[str]:
    """Spellings of ``Pa.s/m`` with other signs for the product: Pa·s/m, Pa s/m."""
    return [symbol.replace(".", sign) for sign in "·⋅ "]


PI = Fraction("3.14159265358979323846264338327950288419716939937511")
MILLI = Fraction(1, 1000)
LITRE = MILLI
CC = Fraction(1, 10**6)
INCH = Fraction("0.0254")
FOOT = 12 * INCH
GALLON = 231 * INCH**3
MILE = 5280 * FOOT
POUND = Fraction("0.45359237")
GRAVITY = Fraction("9.80665")
POUND_FORCE = POUND * GRAVITY
METRE_OF_MERCURY = Fraction("13595.1") * GRAVITY
METRE_OF_WATER = 1000 * GRAVITY
ATMOSPHERE = Fraction(101325)
BTU = Fraction("1055.05585262")  # of the International Table
HORSEPOWER = 550 * FOOT * POUND_FORCE
METRIC_HORSEPOWER = 75 * GRAVITY
MINUTE = Fraction(60)
HOUR = 60 * MINUTE
DAY = 24 * HOUR
YEAR = Fraction("365.25") * DAY
KILOWATT_HOUR = 1000 * HOUR
REVOLUTION = 2 * PI
FAHRENHEIT = Fraction(5, 9)

_ALL_KINDS = (
    _kind(
        "length",
        _unit("m", 1),
        _unit("mm", MILLI),
        _unit("cm", "1e-2"),
        _unit("µm", "1e-6", "μm", "um"),  # micro sign, Greek mu, plain letter
        _unit("in", INCH, "inch", '"', "″", "”"),
        _unit("thou", INCH / 1000),
    ),
    _kind("distance", _unit("m", 1), _unit("km", 1000), _unit("ft", FOOT), _unit("mi", MILE)),
    _kind(
        "area",
        _unit("m2", 1, *_square("m")),
        _unit("cm2", "1e-4", *_square("cm")),
        _unit("mm2", "1e-6", *_square("mm")),
        _unit("in2", INCH**2, *_square("in")),
    ),
    _kind(
        "volume",
        _unit("m3", 1, *_cube("m")),
        _unit("L", LITRE, "l"),
        _unit("cc", CC, "cm3", *_cube("cm")),
        _unit("mL", CC, "ml"),
        _unit("mm3", "1e-9", *_cube("mm")),
        _unit("in3", INCH**3, *_cube("in")),
        _unit("ft3", FOOT**3, *_cube("ft")),
        _unit("US gal", GALLON),
    ),
    _kind("angle", _unit("rad", 1), _unit("deg", PI / 180, "°"), _unit("rev", REVOLUTION, "turn", "turns")),
    _kind(
        "length-times-angle",
        _unit("m.rad", 1, *_product("m.rad")),
        _unit("mm.deg", MILLI * PI / 180, *_product("mm.deg")),
        _unit("in.deg", INCH * PI / 180, *_product("in.deg")),
    ),
    _kind(
        "angle-per-length",
        _unit("rad/m", 1),
        _unit("deg/mm", PI / 180 / MILLI),
        _unit("rev/mi", REVOLUTION / MILE, "rev/mile"),
        _unit("rev/km", REVOLUTION / 1000),
    ),
    _kind("mass", _unit("kg", 1), _unit("g", MILLI), _unit("lb", POUND, "lbs")),
    _kind(
        "force",
        _unit("N", 1),
        _unit("kN", 1000),
        _unit("lbf", POUND_FORCE, "lb", "lbs"),
        _unit("kgf", GRAVITY),
        _unit("kip", 1000 * POUND_FORCE),
    ),
    _kind(
        "pressure",
        _unit("Pa", 1),
        _unit("kPa", 1000),
        _unit("MPa", 10**6),
        _unit("GPa", 10**9),
        _unit("bar", 10**5),
        _unit("mbar", 100, "hPa"),
        _unit("atm", ATMOSPHERE),
        _unit("psi", POUND_FORCE / INCH**2),
        _unit("ksi", 1000 * POUND_FORCE / INCH**2, "kpsi"),
        _unit("inHg", INCH * METRE_OF_MERCURY),
        _unit("mmHg", MILLI * METRE_OF_MERCURY),
        _unit("inH2O", INCH * METRE_OF_WATER),
    ),
    _kind(
        "torque",
        _unit("N.m", 1, "Nm", *_product("N.m")),
        _unit("lbf.ft", POUND_FORCE * FOOT, *_product("lbf.ft", "lb.ft", "ft.lbf", "ft.lb")),
        _unit("lbf.in", POUND_FORCE * INCH, *_product("lbf.in", "lb.in", "in.lbf", "in.lb")),
        _unit("kgf.m", GRAVITY, *_product("kgf.m")),
    ),
    _kind(
        "stiffness",
        _unit("N/m", 1),
        _unit("N/mm", 1000),
        _unit("lbf/in", POUND_FORCE / INCH, "lb/in", "lbs/in"),
    ),
    _kind("inertia", _unit("kg.m2", 1, *_product("kg.m2", "kg.m²")), _unit("g.mm2", "1e-9", "g.mm²")),
    _kind(
        "density",
        _unit("kg/m3", 1, "kg/m³"),
        _unit("g/cm3", 1000, "g/cm³", "g/cc"),
        _unit("kg/L", 1000),
        _unit("lb/ft3", POUND / FOOT**3),
        _unit("lb/in3", POUND / INCH**3),
    ),
    _kind(
        "time",
        _unit("s", 1),
        _unit("ms", MILLI),
        _unit("min", MINUTE),
        _unit("h", HOUR),
        _unit("day", DAY, "days"),
        _unit("year", YEAR, "years"),  # the Julian year of 365.25 days
    ),
    _kind(
        "speed",
        _unit("m/s", 1),
        _unit("km/h", 1000 / HOUR),
        _unit("mph", MILE / HOUR),
        _unit("ft/s", FOOT),
        _unit("ft/min", FOOT / MINUTE),
    ),
    _kind(
        "acceleration", _unit("m/s2", 1, "m/s²"), _unit("in/s2", INCH, "in/s²"), _unit("ft/s2", FOOT, "ft/s²")
    ),
    _kind(
        "angular-speed",
        _unit("rad/s", 1),
        _unit("rpm", REVOLUTION / MINUTE),
        _unit("Hz", REVOLUTION, "rev/s"),
    ),
    _kind("frequency", _unit("Hz", 1), _unit("kHz", 1000), _unit("cpm", 1 / MINUTE)),
    _kind(
        "temperature",
        _unit("K", 1),
        _unit("degC", 1, "°C", zero="273.15"),
        _unit("degF", FAHRENHEIT, "°F", zero="459.67"),
        _unit("degR", FAHRENHEIT, "°R"),
        absolute=True,
    ),
    _kind("temperature-difference", _unit("K", 1), _unit("degC", 1, "°C"), _unit("degF", FAHRENHEIT, "°F")),
    _kind(
        "volume-flow",
        _unit("m3/s", 1, "m³/s"),
        _unit("L/min", LITRE / MINUTE, "l/min"),
        _unit("cc/min", CC / MINUTE),
        _unit("cfm", FOOT**3 / MINUTE),
        _unit("US gal/min", GALLON / MINUTE),
    ),
    _kind(
        "mass-flow",
        _unit("kg/s", 1),
        _unit("g/s", MILLI),
        _unit("kg/h", 1 / HOUR),
        _unit("lb/h", POUND / HOUR),
    ),
    _kind(
        "power",
        _unit("W", 1),
        _unit("kW", 1000),
        _unit("hp", HORSEPOWER),  # mechanical: 550 ft.lbf/s
        _unit("PS", METRIC_HORSEPOWER),  # metric: 75 kgf.m/s
    ),
    _kind(
        "energy",
        _unit("J", 1),
        _unit("kJ", 1000),
        _unit("MJ", 10**6),
        _unit("kWh", KILOWATT_HOUR),
        _unit("BTU", BTU, "Btu"),
    ),
    _kind("energy-density", _unit("J/m3", 1, "J/m³"), _unit("MJ/m3", 10**6, "MJ/m³"), _unit("MJ/L", 10**9)),
    _kind(
        "specific-energy",
        _unit("J/kg", 1),
        _unit("kJ/kg", 1000),
        _unit("MJ/kg", 10**6),
        _unit("BTU/lb", BTU / POUND, "Btu/lb"),
    ),
    _kind(
        "specific-heat-capacity",
        _unit("J/kg.K", 1, *_per("J", "kg", "K")),
        _unit("kJ/kg.K", 1000, *_per("kJ", "kg", "K")),
    ),
    _kind("heat-transfer-coefficient", _unit("W/m2.K", 1, *_per("W", "m2", "K"), *_per("W", "m²", "K"))),
    _kind(
        "heat-flux", _unit("W/m2", 1, "W/m²"), _unit("kW/m2", 1000, "kW/m²"), _unit("MW/m2", 10**6, "MW/m²")
    ),
    _kind("thermal-conductivity", _unit("W/m.K", 1, *_per("W", "m", "K"))),
    _kind(
        "dynamic-viscosity",
        _unit("Pa.s", 1, *_product("Pa.s")),
        _unit("mPa.s", MILLI, *_product("mPa.s"), "cP"),
        _unit("reyn", POUND_FORCE / INCH**2, "lbf.s/in2"),
    ),
    _kind(
        "kinematic-viscosity",
        _unit("m2/s", 1, "m²/s"),
        _unit("mm2/s", "1e-6", "mm²/s", "cSt"),
    ),
    _kind(
        "leak-conductance",
        _unit("m3/s.Pa", 1, *_per("m3", "s", "Pa")),
        _unit("L/min.bar", LITRE / MINUTE / 10**5, *_per("L", "min", "bar")),
    ),
    _kind("molar-mass", _unit("kg/mol", 1), _unit("g/mol", MILLI, "kg/kmol")),
    _kind(
        "pressure-per-speed",
        _unit("Pa.s/m", 1, *_over("Pa.s/m")),
        _unit("bar.s/m", 10**5, *_over("bar.s/m")),
    ),
    _kind(
        "pressure-per-speed-squared",
        _unit("Pa.s2/m2", 1, *_over("Pa.s2/m2")),
        _unit("bar.s2/m2", 10**5, *_over("bar.s2/m2")),
    ),
    _kind(
        "specific-fuel-consumption",
        _unit("kg/J", 1),
        _unit("g/kWh", MILLI / KILOWATT_HOUR, "g/kW.h", "g/kW-h"),
        _unit("lb/hp.h", POUND / (HORSEPOWER * HOUR), "lb/hp-h"),
    ),
    _kind("dimensionless", _unit("1", 1), _unit("%", "1e-2"), _unit(":1", 1)),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL_KINDS}
