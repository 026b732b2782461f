"""Threads: basic diameters, stress areas, and the strength that the mark on a bolt's head stands for."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    OutOfRange,
    Pascal,
    Radian,
    Range,
    Real,
    SquareMetre,
    require_between,
)

THREAD_HEIGHT = math.sqrt(3.0) / 2.0
"""Height of the 60 degree thread's fundamental triangle over its pitch (ISO 68-1, ASME B1.1). [1]"""

FINEST, COARSEST = 0.02, 0.35
"""Pitch over diameter: M30 x 0.75 is 0.025, M1 x 0.25 is 0.25, No. 0-80 is 0.21 (ISO 261, ASME B1.1). [1]"""


@dataclass(frozen=True, slots=True)
class ThreadDiameters:
    """Basic diameters of a 60 degree thread.

    Attributes
    ----------
    pitch_diameter : float or ndarray
        d2. [m]
    minor_diameter : float or ndarray
        D1, of the internal thread. [m]
    root_diameter : float or ndarray
        d3, of the external thread with a root rounded at H/6 (metric). [m]
    thread_height : float or ndarray
        H, of the fundamental triangle. [m]
    lead_angle : float or ndarray
        Rise of a single-start thread at the pitch diameter. [rad]
    """

    pitch_diameter: Metre
    minor_diameter: Metre
    root_diameter: Metre
    thread_height: Metre
    lead_angle: Radian


@dataclass(frozen=True, slots=True)
class BoltStrength:
    """Least strengths of a bolt.

    Attributes
    ----------
    tensile_strength : float
        [Pa]
    yield_strength : float
        Lower yield or 0.2 % proof strength. [Pa]
    proof_stress : float
        Stress under proof load. [Pa]
    """

    tensile_strength: Pascal
    yield_strength: Pascal
    proof_stress: Pascal


def _thread(nominal_diameter: Real, thread_pitch: Real) -> tuple[Real, Real]:
    diameter = require("nominal_diameter", nominal_diameter)
    pitch = require("thread_pitch", thread_pitch)
    require_between(
        "thread_pitch over nominal_diameter",
        pitch / diameter,
        Range(FINEST, COARSEST),
        source="threads of ISO 261 and ASME B1.1",
        advice="Check that the pitch is a length and not threads to the inch",
    )
    return diameter, pitch


def thread_diameters(nominal_diameter: Metre, thread_pitch: Metre) -> ThreadDiameters:
    r"""Basic diameters, height and lead of a metric or unified thread.

    .. math:: d_2 = d - 3 H / 4,\quad D_1 = d - 5 H / 4,\quad d_3 = D_1 - H / 6,\quad H = \sqrt3 P / 2

    Parameters
    ----------
    nominal_diameter : float or array_like
        d. [m]
    thread_pitch : float or array_like
        P; one inch over the threads to the inch. [m]

    Returns
    -------
    ThreadDiameters
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pitch does not belong to a thread of this diameter.

    Examples
    --------
    >>> thread = thread_diameters(0.010, 0.0015)
    >>> print(round(thread.pitch_diameter * 1e3, 3), round(thread.root_diameter * 1e3, 3))
    9.026 8.16

    References
    ----------
    .. [1] ISO 724 and ISO 68-1; ASME B1.1 has the same basic profile (from memory).
    """
    diameter, pitch = _thread(nominal_diameter, thread_pitch)
    height = THREAD_HEIGHT * pitch
    minor = diameter - 1.25 * height
    pitch_diameter = diameter - 0.75 * height
    return ThreadDiameters(
        pitch_diameter=pitch_diameter,
        minor_diameter=minor,
        root_diameter=minor - height / 6.0,
        thread_height=height,
        lead_angle=np.arctan(pitch / (math.pi * pitch_diameter)),
    )


def metric_stress_area(nominal_diameter: Metre, thread_pitch: Metre) -> SquareMetre:
    r"""Nominal stress area of a metric thread.

    .. math:: A_s = \frac{\pi}{4} \left(\frac{d_2 + d_3}{2}\right)^2

    Parameters
    ----------
    nominal_diameter : float or array_like
        d. [m]
    thread_pitch : float or array_like
        P. [m]

    Returns
    -------
    float or ndarray
        [m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pitch does not belong to a thread of this diameter.

    Examples
    --------
    >>> print(round(metric_stress_area(0.012, 0.00175) * 1e6, 1))
    84.3

    References
    ----------
    .. [1] ISO 898-1, nominal stress area.
    """
    thread = thread_diameters(nominal_diameter, thread_pitch)
    return math.pi / 4.0 * ((thread.pitch_diameter + thread.root_diameter) / 2.0) ** 2


def unified_stress_area(nominal_diameter: Metre, thread_pitch: Metre) -> SquareMetre:
    r"""Tensile stress area of a unified inch thread.

    .. math:: A_t = \frac{\pi}{4} \left(D - \tfrac{9 \sqrt3}{16} P\right)^2

    The metric formula gives 1 to 2 % more on the same thread.

    Parameters
    ----------
    nominal_diameter : float or array_like
        D. [m]
    thread_pitch : float or array_like
        P; one inch over the threads to the inch. [m]

    Returns
    -------
    float or ndarray
        [m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pitch does not belong to a thread of this diameter.

    Examples
    --------
    >>> print(round(unified_stress_area(0.375 * 0.0254, 0.0254 / 16) / 0.0254**2, 4))
    0.0775

    References
    ----------
    .. [1] ASME B1.1, tensile stress area: D - 0.9743/n (from memory).
    """
    diameter, pitch = _thread(nominal_diameter, thread_pitch)
    return math.pi / 4.0 * (diameter - 9.0 * math.sqrt(3.0) / 16.0 * pitch) ** 2


_MEGA = 1e6
_LARGE = 0.016  # ISO 898-1 parts class 8.8 above 16 mm
_ISO_898_1 = {  # least tensile strength, yield or 0.2 % proof strength, proof stress [MPa] (from memory)
    "4.6": (400, 240, 225),
    "4.8": (420, 340, 310),
    "5.6": (500, 300, 280),
    "5.8": (520, 420, 380),
    "6.8": (600, 480, 440),
    "8.8": (800, 640, 580),
    "8.8, above 16 mm": (830, 660, 600),
    "9.8": (900, 720, 650),
    "10.9": (1040, 940, 830),
    "12.9": (1220, 1100, 970),
}
PROPERTY_CLASSES = tuple(name for name in _ISO_898_1 if "," not in name)
"""The marks that are known."""


def property_class_strength(property_class: str, nominal_diameter: float) -> BoltStrength:
    """Least strengths of a metric bolt by the mark on its head.

    A table. They differ from the nominal strengths that the mark spells: a 10.9 has 1040 MPa, not 1000.

    Parameters
    ----------
    property_class : str
        The mark, as `10.9`.
    nominal_diameter : float
        Of the thread; class 8.8 is stronger above 16 mm, class 9.8 ends there. [m]

    Returns
    -------
    BoltStrength
        [Pa]

    Raises
    ------
    OutOfRange
        The class is not in the table, or the diameter lies outside its range.

    Examples
    --------
    >>> print(property_class_strength("10.9", 0.012).proof_stress / 1e6)
    830.0

    References
    ----------
    .. [1] ISO 898-1, mechanical properties of bolts (from memory; proof loads checked in the tests).
    """
    diameter = float(require("nominal_diameter", nominal_diameter))
    if property_class not in PROPERTY_CLASSES:
        raise OutOfRange(
            f"property_class {property_class!r}",
            None,
            f"one of {', '.join(PROPERTY_CLASSES)}",
            source="ISO 898-1",
            advice="Read the mark on the head; an inch bolt has strokes instead",
        )
    if property_class == "9.8" and diameter > _LARGE:
        raise OutOfRange(
            "nominal_diameter",
            diameter,
            f"at most {_LARGE:g} m for class 9.8",
            unit="m",
            source="ISO 898-1",
        )
    large = property_class == "8.8" and diameter > _LARGE
    row = _ISO_898_1["8.8, above 16 mm" if large else property_class]
    tensile, yielding, proof = (value * _MEGA for value in row)
    return BoltStrength(tensile_strength=tensile, yield_strength=yielding, proof_stress=proof)
