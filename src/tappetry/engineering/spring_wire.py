"""The wire of a round-wire spring: its shear stress, its strength, and where it takes a set."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    Newton,
    NewtonPerMetre,
    OutOfRange,
    Pascal,
    Pure,
    Range,
    Real,
    require_between,
)
from tappetry.engineering.round_wire import spring_index, wahl_factor

INCH = 0.0254
_KSI = 4.4482216152605e3 / INCH**2  # 1000 pounds of force to the square inch

_WIRES = {  # strength at 1 in [ksi], exponent, thinnest and thickest [in] (Shigley, table 10-4, from memory)
    "music wire": (201.0, 0.145, 0.004, 0.256),
    "oil-tempered": (147.0, 0.187, 0.020, 0.500),
    "hard-drawn": (140.0, 0.190, 0.028, 0.500),
    "chrome-vanadium": (169.0, 0.168, 0.032, 0.437),
    "chrome-silicon": (202.0, 0.108, 0.063, 0.375),
}
SPRING_WIRES = tuple(_WIRES)
"""The wires whose strength is known."""


@dataclass(frozen=True, slots=True)
class StressCorrections:
    """Corrections of the wire's shear stress.

    Attributes
    ----------
    wahl_factor : float or ndarray
        [1]
    bergstrasser_factor : float or ndarray
        [1]
    shear_factor : float or ndarray
        [1]
    """

    wahl_factor: Pure
    bergstrasser_factor: Pure
    shear_factor: Pure


@dataclass(frozen=True, slots=True)
class WireStresses:
    """Shear stress of the wire by three formulas.

    Attributes
    ----------
    uncorrected_stress : float or ndarray
        [Pa]
    bergstrasser_stress : float or ndarray
        [Pa]
    wahl_stress : float or ndarray
        [Pa]
    """

    uncorrected_stress: Pascal
    bergstrasser_stress: Pascal
    wahl_stress: Pascal


@dataclass(frozen=True, slots=True)
class SpringYield:
    """Where the wire of a spring takes a set.

    Attributes
    ----------
    shear_yield_strength : float or ndarray
        [Pa]
    yield_load : float or ndarray
        [N]
    yield_travel : float or ndarray
        [m]
    solid_safe_length : float or ndarray
        [m]
    """

    shear_yield_strength: Pascal
    yield_load: Newton
    yield_travel: Metre
    solid_safe_length: Metre


def bergstrasser_factor(spring_index: Pure) -> Pure:
    r"""Stress correction by Bergsträsser, for the curvature of the wire and direct shear.

    .. math:: K_B = \frac{4C + 2}{4C - 3}

    Parameters
    ----------
    spring_index : float or array_like
        C, 3 to 20. [1]

    Returns
    -------
    float or ndarray
        Within 1 to 2 % of the Wahl factor. [1]

    Raises
    ------
    OutOfRange
        The index lies outside 3..20.

    Examples
    --------
    >>> print(round(bergstrasser_factor(6.0), 4))
    1.2381

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-5; EN 13906-1 writes (w + 0.5)/(w - 0.75) (from
       memory).
    """
    index = require("spring_index", spring_index)
    return (4.0 * index + 2.0) / (4.0 * index - 3.0)


def stress_corrections(spring_index: Pure) -> StressCorrections:
    """The three corrections of the wire's shear stress, side by side.

    Parameters
    ----------
    spring_index : float or array_like
        C, 3 to 20. [1]

    Returns
    -------
    StressCorrections
        By Wahl, by Bergsträsser, and for direct shear alone. [1]

    Raises
    ------
    OutOfRange
        The index lies outside 3..20.

    Examples
    --------
    >>> print(round(stress_corrections(10.0).shear_factor, 3))
    1.05

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eqs. 10-3 to 10-5 (from memory).
    """
    index = require("spring_index", spring_index)
    return StressCorrections(
        wahl_factor=wahl_factor(index),
        bergstrasser_factor=bergstrasser_factor(index),
        shear_factor=1.0 + 0.5 / index,
    )


def wire_stresses(spring_load: Newton, mean_diameter: Metre, wire_diameter: Metre) -> WireStresses:
    r"""Shear stress of the wire, uncorrected, by Bergsträsser and by Wahl.

    .. math:: \tau = K \frac{8 F D}{\pi d^3}

    Parameters
    ----------
    spring_load : float or array_like
        F. [N]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    wire_diameter : float or array_like
        d. [m]

    Returns
    -------
    WireStresses
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    >>> found = wire_stresses(900.0, 29e-3, 4.6e-3)
    >>> print(round(found.uncorrected_stress / 1e6), round(found.bergstrasser_stress / 1e6))
    683 836

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-7 (from memory).
    """
    load = require("spring_load", spring_load)
    corrections = stress_corrections(spring_index(mean_diameter, wire_diameter))
    twist = 8.0 * load * require("mean_diameter", mean_diameter)
    plain = twist / (math.pi * require("wire_diameter", wire_diameter) ** 3)
    return WireStresses(
        uncorrected_stress=plain,
        bergstrasser_stress=corrections.bergstrasser_factor * plain,
        wahl_stress=corrections.wahl_factor * plain,
    )


def wire_strength(
    wire_diameter: Metre, reference_strength: Pascal, strength_exponent: Pure, reference_diameter: Metre
) -> Pascal:
    r"""Least tensile strength of spring wire by its diameter.

    .. math:: S_{ut} = A / d^m = S_{ref} (d_{ref} / d)^m

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    reference_strength : float or array_like
        The constant A of a table, read as the strength at the reference diameter. [Pa]
    strength_exponent : float or array_like
        m. [1]
    reference_diameter : float or array_like
        One inch for A in kpsi in^m, one millimetre for A in MPa mm^m. [m]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 324 kpsi, which is 2235 MPa, for 0.037 in of music wire, A = 201 kpsi:

    >>> print(round(wire_strength(0.9398e-3, 1385.8e6, 0.145, 25.4e-3) / 1e6))
    2235

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-14 and example 10-1 (from memory).
    """
    ratio = require("reference_diameter", reference_diameter) / require("wire_diameter", wire_diameter)
    strength: Real = require("reference_strength", reference_strength) * ratio ** require(
        "strength_exponent", strength_exponent
    )
    return strength


def spring_wire_strength(spring_wire: str, wire_diameter: Metre) -> Pascal:
    """Least tensile strength of a named spring wire by its diameter.

    A table of constants, within the diameters for which each was found.

    Parameters
    ----------
    spring_wire : str
        `music wire`, `oil-tempered`, `hard-drawn`, `chrome-vanadium` or `chrome-silicon`.
    wire_diameter : float or array_like
        [m]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        The wire is not in the table, or the diameter lies outside what the table covers.

    Examples
    --------
    >>> print(round(spring_wire_strength("chrome-silicon", 4.75e-3) / 1e6))
    1669

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, table 10-4 (from memory): look the constants up.
    """
    wire = require("wire_diameter", wire_diameter)
    if spring_wire not in _WIRES:
        raise OutOfRange(f"spring_wire {spring_wire!r}", None, f"one of {', '.join(SPRING_WIRES)}")
    strength, exponent, thin, thick = _WIRES[spring_wire]
    require_between(
        "wire_diameter",
        wire,
        Range(thin * INCH, thick * INCH),
        "m",
        source=f"constants of {spring_wire}",
        advice="Take the strength from the wire's own sheet",
    )
    return wire_strength(wire, strength * _KSI, exponent, INCH)


def spring_yield(
    wire_diameter: Metre,
    mean_diameter: Metre,
    tensile_strength: Pascal,
    shear_yield_ratio: Pure,
    spring_rate: NewtonPerMetre,
    solid_height: Metre,
) -> SpringYield:
    r"""Load and travel at which the wire takes a set, and the longest free length that is safe when solid.

    .. math::

        S_{sy} = r S_{ut},\quad F = \frac{\pi d^3 S_{sy}}{8 K_B D},\quad y = F / k,\quad L_0 = y + h_{solid}

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    tensile_strength : float or array_like
        S_ut. [Pa]
    shear_yield_ratio : float or array_like
        r: 0.45 for music and hard-drawn wire, 0.50 for hardened and tempered wire, before the set is
        taken out; 0.60 to 0.70 after. [1]
    spring_rate : float or array_like
        k. [N/m]
    solid_height : float or array_like
        h_solid. [m]

    Returns
    -------
    SpringYield
        Strength in [Pa], load in [N], lengths in [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    [1]_ prints 6.46 lbf and 2.06 in:

    >>> found = spring_yield(0.9398e-3, 10.16e-3, 2235.2e6, 0.45, 723.47, 12.687e-3)
    >>> print(round(found.yield_load / 4.44822, 2), round(found.solid_safe_length / 0.0254, 2))
    6.45 2.06

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, example 10-1 and table 10-6 (from memory).
    """
    factor = bergstrasser_factor(spring_index(mean_diameter, wire_diameter))
    strength = require("tensile_strength", tensile_strength) * require("shear_yield_ratio", shear_yield_ratio)
    wire = math.pi * require("wire_diameter", wire_diameter) ** 3
    load = wire * strength / (8.0 * factor * require("mean_diameter", mean_diameter))
    travel = load / require("spring_rate", spring_rate)
    return SpringYield(
        shear_yield_strength=strength,
        yield_load=load,
        yield_travel=travel,
        solid_safe_length=travel + require("solid_height", solid_height),
    )
