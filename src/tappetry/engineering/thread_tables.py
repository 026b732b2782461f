"""Tables of threads and marks: standard pitches, and the strength that an inch bolt's strokes stand for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, OutOfRange, Pascal, Real
from tappetry.engineering.threads import PROPERTY_CLASSES, BoltStrength, thread_diameters

INCH = 0.0254
_KSI = 4.4482216152605e3 / INCH**2  # 1000 pounds of force to the square inch
CLOSE = 0.005
"""How far a diameter may lie from a size of a table, as a share; the sizes lie 7 % apart and more."""

_COARSE = {  # ISO 261, coarse pitch by size [mm] (from memory; stress areas lead back to them in the tests)
    1.6: 0.35, 2: 0.4, 2.5: 0.45, 3: 0.5, 3.5: 0.6, 4: 0.7, 5: 0.8, 6: 1, 7: 1, 8: 1.25, 10: 1.5, 12: 1.75,
    14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5, 36: 4, 39: 4, 42: 4.5, 45: 4.5,
    48: 5, 52: 5, 56: 5.5, 60: 5.5, 64: 6,
}  # fmt: skip
_INCH_SERIES = {  # ASME B1.1, threads to the inch by size [in] (from memory)
    "UNC": {
        0.073: 64, 0.086: 56, 0.099: 48, 0.112: 40, 0.125: 40, 0.138: 32, 0.164: 32, 0.19: 24, 0.216: 24,
        1 / 4: 20, 5 / 16: 18, 3 / 8: 16, 7 / 16: 14, 1 / 2: 13, 9 / 16: 12, 5 / 8: 11, 3 / 4: 10, 7 / 8: 9,
        1.0: 8, 1.125: 7, 1.25: 7, 1.375: 6, 1.5: 6,
    },
    "UNF": {
        0.06: 80, 0.073: 72, 0.086: 64, 0.099: 56, 0.112: 48, 0.125: 44, 0.138: 40, 0.164: 36, 0.19: 32,
        0.216: 28,
        1 / 4: 28, 5 / 16: 24, 3 / 8: 24, 7 / 16: 20, 1 / 2: 20, 9 / 16: 18, 5 / 8: 18, 3 / 4: 16, 7 / 8: 14,
        1.0: 12, 1.125: 12, 1.25: 12, 1.375: 12, 1.5: 12,
    },
}  # fmt: skip
THREAD_SERIES = tuple(_INCH_SERIES)
"""Series of unified threads: coarse and fine."""

_GRADES = {  # from, to [in]: proof, yield, tensile [ksi]; SAE J429, as secondary transcriptions give it
    "1": ((0.25, 1.5, (33, 36, 60)),),
    "2": ((0.25, 0.75, (55, 57, 74)), (0.75, 1.5, (33, 36, 60))),
    "4": ((0.25, 1.5, (65, 100, 115)),),
    "5": ((0.25, 1.0, (85, 92, 120)), (1.0, 1.5, (74, 81, 105))),
    "5.2": ((0.25, 1.0, (85, 92, 120)),),
    "7": ((0.25, 1.5, (105, 115, 133)),),
    "8": ((0.25, 1.5, (120, 130, 150)),),
    "8.2": ((0.25, 1.0, (120, 130, 150)),),
}
INCH_GRADES = tuple(_GRADES)
"""The grades that are known; a grade 5 has three strokes on its head, a grade 8 six."""


@dataclass(frozen=True, slots=True)
class NominalStrength:
    """Strengths that a mark spells; a bolt's least strengths differ from them.

    Attributes
    ----------
    nominal_tensile_strength : float
        [Pa]
    nominal_yield_strength : float
        [Pa]
    """

    nominal_tensile_strength: Pascal
    nominal_yield_strength: Pascal


def _by_size(diameter: Real, sizes: list[float], values: list[float], source: str) -> Real:
    """The value of each diameter's size in a table; both in SI."""
    wanted = np.asarray(diameter)
    off = np.abs(np.asarray(sizes) / wanted[..., np.newaxis] - 1.0)
    nearest = off.argmin(axis=-1)
    strange = np.take_along_axis(off, nearest[..., np.newaxis], axis=-1)[..., 0] > CLOSE
    if strange.any():
        position = tuple(int(index) for index in np.argwhere(strange)[0])
        raise OutOfRange(
            "nominal_diameter",
            float(wanted[position]),
            f"a size of the table, {min(sizes):g}..{max(sizes):g} m",
            unit="m",
            source=source,
            advice="Measure the thread's pitch with a gauge",
            position=position,
        )
    found: Real = np.asarray(values)[nearest][()]
    return found


def coarse_pitch(nominal_diameter: Metre) -> Metre:
    """Coarse pitch of a metric thread by its size.

    A table, M1.6 to M64.

    Parameters
    ----------
    nominal_diameter : float or array_like
        Within half a percent of a size of the table. [m]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        The diameter lies outside its range, or is no size of the table.

    Examples
    --------
    >>> print(coarse_pitch(0.012) * 1e3)
    1.75

    References
    ----------
    .. [1] ISO 261 (from memory). Engines also use fine pitches: measure.
    """
    diameter = require("nominal_diameter", nominal_diameter)
    sizes = [size / 1e3 for size in _COARSE]
    return _by_size(diameter, sizes, [pitch / 1e3 for pitch in _COARSE.values()], "ISO 261, coarse pitches")


def unified_pitch(nominal_diameter: Metre, thread_series: str) -> Metre:
    """Pitch of a unified inch thread by its size and series.

    A table, numbers 0 to 12 and 1/4 to 1 1/2 in; number n is 0.060 + 0.013 n in wide.

    Parameters
    ----------
    nominal_diameter : float or array_like
        Within half a percent of a size of the table. [m]
    thread_series : str
        `UNC` or `UNF`.

    Returns
    -------
    float or ndarray
        One inch over the threads to the inch. [m]

    Raises
    ------
    OutOfRange
        The diameter lies outside its range or is no size of the table, or the series is not known.

    Examples
    --------
    >>> print(round(0.0254 / unified_pitch(0.5 * 0.0254, "UNC")))
    13

    References
    ----------
    .. [1] ASME B1.1 (from memory).
    """
    diameter = require("nominal_diameter", nominal_diameter)
    if thread_series not in _INCH_SERIES:
        raise OutOfRange(f"thread_series {thread_series!r}", None, f"one of {', '.join(THREAD_SERIES)}")
    table = _INCH_SERIES[thread_series]
    sizes = [size * INCH for size in table]
    return _by_size(diameter, sizes, [INCH / threads for threads in table.values()], "ASME B1.1")


def tap_drill(nominal_diameter: Metre, thread_pitch: Metre) -> Metre:
    r"""Hole that is drilled for a cutting tap.

    .. math:: d - P

    Parameters
    ----------
    nominal_diameter : float or array_like
        d. [m]
    thread_pitch : float or array_like
        P; one inch over the threads to the inch. [m]

    Returns
    -------
    float or ndarray
        About three quarters of the full depth of thread are left. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pitch does not belong to a thread of this diameter.

    Examples
    --------
    >>> print(round(tap_drill(0.008, 0.00125) * 1e3, 2))
    6.75

    References
    ----------
    .. [1] Common practice, no source; 6.8 mm is the drill that is sold for M8.
    """
    thread_diameters(nominal_diameter, thread_pitch)  # whether the two go together
    return require("nominal_diameter", nominal_diameter) - require("thread_pitch", thread_pitch)


def inch_grade_strength(inch_grade: str, nominal_diameter: float) -> BoltStrength:
    """Least strengths of an inch bolt by its grade.

    A table, 1/4 to 1 1/2 in.

    Parameters
    ----------
    inch_grade : str
        The grade, as `5` for three strokes on the head or `8` for six.
    nominal_diameter : float
        Of the thread; grades 2 and 5 are weaker above 3/4 and 1 in. [m]

    Returns
    -------
    BoltStrength
        [Pa]

    Raises
    ------
    OutOfRange
        The grade is not in the table, or not made in this diameter.

    Examples
    --------
    >>> print(round(inch_grade_strength("8", 0.5 * 0.0254).proof_stress / 1e6))
    827

    References
    ----------
    .. [1] SAE J429, mechanical requirements of inch bolts, from secondary transcriptions.
    """
    diameter = float(require("nominal_diameter", nominal_diameter))
    if inch_grade not in _GRADES:
        raise OutOfRange(
            f"inch_grade {inch_grade!r}",
            None,
            f"one of {', '.join(INCH_GRADES)}",
            source="SAE J429",
            advice="Count the strokes on the head: grade 5 has three, grade 8 six",
        )
    rows = _GRADES[inch_grade]
    for low, high, strengths in rows:
        if (low - 1e-9) * INCH <= diameter <= (high + 1e-9) * INCH:
            proof, yielding, tensile = (value * _KSI for value in strengths)
            return BoltStrength(tensile_strength=tensile, yield_strength=yielding, proof_stress=proof)
    raise OutOfRange(
        "nominal_diameter",
        diameter,
        f"{rows[0][0] * INCH:g}..{rows[-1][1] * INCH:g} m for grade {inch_grade}",
        unit="m",
        source="SAE J429",
    )


def nominal_class_strength(property_class: str) -> NominalStrength:
    r"""Strengths that the mark of a metric bolt spells.

    .. math:: 100\,\mathrm{MPa} \times a,\quad 10\,\mathrm{MPa} \times a\,b \quad\text{for the mark } a.b

    The least strengths of `property_class_strength` differ: they are what a bolt is tested for.

    Parameters
    ----------
    property_class : str
        The mark, as `10.9`.

    Returns
    -------
    NominalStrength
        [Pa]

    Raises
    ------
    OutOfRange
        The class is not one of the standard's.

    Examples
    --------
    >>> print(nominal_class_strength("10.9").nominal_yield_strength / 1e6)
    900.0

    References
    ----------
    .. [1] ISO 898-1, designation of property classes (from memory).
    """
    if property_class not in PROPERTY_CLASSES:
        raise OutOfRange(
            f"property_class {property_class!r}",
            None,
            f"one of {', '.join(PROPERTY_CLASSES)}",
            source="ISO 898-1",
        )
    tensile, share = (int(part) for part in property_class.split("."))
    return NominalStrength(
        nominal_tensile_strength=tensile * 100e6, nominal_yield_strength=tensile * share * 10e6
    )
