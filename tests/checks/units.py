"""The units in which the outside checks are written, and what they are in SI; nothing but conversion."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from tappetry.quantities.unit_table import FOOT, GRAVITY, INCH, POUND, POUND_FORCE
from tappetry.quantities.units import find_kind, find_unit

TEXT = "text"
CAM, CRANK = "cam", "crank"


@dataclass(frozen=True)
class CheckUnit:
    """A unit of a check: the SI unit behind it, its size, its zero, and whose degrees an angle counts."""

    si: str
    factor: float
    zero: float = 0.0
    turns: str = ""

    def to_si(self, value: float) -> float:
        """A value of this unit in SI."""
        return (value + self.zero) * self.factor

    def from_si(self, value: float) -> float:
        """A SI value in this unit."""
        return value / self.factor - self.zero


def _known(spelling: str, kind: str, turns: str = "") -> CheckUnit:
    """A unit that the program knows."""
    unit = find_unit(spelling, kind)
    return CheckUnit(find_kind(kind).si_unit, float(unit.factor), float(unit.zero), turns)


def _made(si: str, factor: Fraction | int | str) -> CheckUnit:
    """A unit that no shop writes."""
    return CheckUnit(si, float(Fraction(factor)))


_EVENTS = ("ATDC", "BTDC", "ABDC", "BBDC")
_DEGREES = {
    **dict.fromkeys(("cam deg", "cam deg per side"), CAM),
    **dict.fromkeys(("crank deg", "wheel deg"), CRANK),
    **{f"{prefix}deg {event}": CRANK for prefix in ("", "crank ") for event in _EVENTS},
    "deg": "",
}
_SPELT = {
    "length": "m mm cm um in",
    "distance": "ft",
    "area": "mm2 cm2 in2 m2",
    "volume": "m3 cm3 in3 L",
    "speed": "m/s ft/min mph",
    "acceleration": "m/s2",
    "angular-speed": "rpm rev/s",
    "frequency": "Hz",
    "density": "kg/m3",
    "force": "N kN lbf",
    "stiffness": "N/mm lbf/in",
    "torque": "N.m lbf.ft lbf.in",
    "pressure": "Pa kPa MPa GPa bar mbar atm psi inHg",
    "temperature": "K degC degF degR",
    "time": "s ms",
    "mass-flow": "kg/s kg/h lb/h",
    "volume-flow": "L/min cc/min cfm",
    "power": "W kW hp",
    "dynamic-viscosity": "Pa.s mPa.s",
    "specific-energy": "J/kg kJ/kg",
    "specific-fuel-consumption": "lb/hp.h",
    "specific-heat-capacity": "J/kg.K kJ/kg.K",
    "heat-transfer-coefficient": "W/m2.K",
    "molar-mass": "g/mol",
    "pressure-per-speed": "bar.s/m",
}
_LIKE = {  # how a check spells a unit that the program spells otherwise
    "N m": "N.m",
    "lbf ft": "lbf.ft",
    "lbf in": "lbf.in",
    "mPa s": "mPa.s",
    "Pa s": "Pa.s",
    "lbm/h": "lb/h",
    "lbm/hp h": "lb/hp.h",
    "cm3/min": "cc/min",
    "ft3/min": "cfm",
    "J/kg K": "J/kg.K",
    "kJ/kg K": "kJ/kg.K",
    "W/m2 K": "W/m2.K",
    "bar s/m": "bar.s/m",
    "N/mm2": "MPa",
    "mm pitch": "mm",
    "ft geopotential": "ft",
    "in3/rev": "in3",
    "%": "%",
}
_MADE = {
    "-": _made("1", 1),
    "%": _made("1", "0.01"),
    "nm": _made("m", "1e-9"),
    "kip": _made("N", 1000 * POUND_FORCE),
    "kpsi in^m": _made("Pa", 1000 * POUND_FORCE / INCH**2),  # the strength of a wire of 1 in
    "kpsi": _made("Pa", 1000 * POUND_FORCE / INCH**2),
    "reyn": _made("Pa.s", POUND_FORCE / INCH**2),
    "mm2/s": _made("m2/s", "1e-6"),
    "gal/min": _made("m3/s", 231 * INCH**3 / 60),
    "tpi": _made("1/m", 1 / INCH),
    "1/in": _made("1/m", 1 / INCH),
    "rev/mile": _known("rev/mi", "angle-per-length"),
    "1/K": _made("1/K", 1),
    "kg/L": _made("kg/m3", 1000),
    "g": _made("kg", "0.001"),
    "lbm": _made("kg", POUND),
    "standard gravity": _made("m/s2", GRAVITY),
    "mile": _made("m", 5280 * FOOT),
}
UNITS: dict[str, CheckUnit] = {
    **{spelling: _known("deg", "angle", turns) for spelling, turns in _DEGREES.items()},
    **{each: _known(each, kind) for kind, spelt in _SPELT.items() for each in spelt.split()},
    **_MADE,
}
UNITS |= {spelling: UNITS[like] for spelling, like in _LIKE.items()}


def in_turns_of(value: float, given: str, wanted: str) -> float:
    """An angle counted in degrees of the cam or the crank, in those of the other; the crank turns twice."""
    if CAM in given and CRANK in wanted:
        return 2.0 * value
    if CRANK in given and CAM in wanted:
        return value / 2.0
    return value
