"""The unit suffixes that names in conditions carry, and the units they stand for."""

from __future__ import annotations

import re
from functools import lru_cache

#: Longest first, so that ``_lb_in`` is read before ``_in``.
SUFFIXES = {
    "lb_in": "lbf/in",
    "percent": "%",
    "years": "year",
    "kpa": "kPa",
    "mpa": "MPa",
    "psi": "psi",
    "rpm": "rpm",
    "deg": "deg",
    "mm": "mm",
    "in": "in",
    "cc": "cc",
    "lb": "lbf",
    "km": "km",
    "kg": "kg",
    "nm": "N.m",
    "l": "L",
    "g": "g",
    "m": "m",
}


@lru_cache(maxsize=8192)
def unit_of_name(name: str) -> str:
    """The unit that a plain name carries: ``engine.bore_mm`` is in mm; an expression has none."""
    if not re.fullmatch(r"[a-z]\w*(\.[a-z]\w*)?", name.strip()):
        return ""
    for suffix, unit in SUFFIXES.items():
        if name.endswith("_" + suffix):
            return unit
    return ""


def suffix_of_unit(unit: str) -> str:
    """The suffix of a unit as attributes state it; empty for a number without a unit."""
    return f"_{unit}" if unit in SUFFIXES else ""
