"""Stresses that come and go, against endurance: of a valve spring's wire, of a bolt under a swelling load."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Newton, Pascal, Pure, Range, Real, SquareMetre, require_between
from tappetry.engineering.round_wire import spring_index
from tappetry.engineering.spring_wire import bergstrasser_factor

_ABOVE_ZERO = Range(0.0, math.inf, low_excluded=True)


@dataclass(frozen=True, slots=True)
class SpringFatigue:
    """Stress of a spring's wire between seat and open load, and how far it is from breaking in time.

    Attributes
    ----------
    stress_amplitude : float or ndarray
        [Pa]
    mean_stress : float or ndarray
        [Pa]
    goodman_factor : float or ndarray
        [1]
    gerber_factor : float or ndarray
        [1]
    sines_factor : float or ndarray
        [1]
    """

    stress_amplitude: Pascal
    mean_stress: Pascal
    goodman_factor: Pure
    gerber_factor: Pure
    sines_factor: Pure


@dataclass(frozen=True, slots=True)
class BoltFatigue:
    """Stress of a bolt between two outer loads, and how far it is from breaking in time.

    Attributes
    ----------
    stress_amplitude : float or ndarray
        [Pa]
    mean_stress : float or ndarray
        [Pa]
    goodman_factor : float or ndarray
        [1]
    gerber_factor : float or ndarray
        [1]
    """

    stress_amplitude: Pascal
    mean_stress: Pascal
    goodman_factor: Pure
    gerber_factor: Pure


def spring_fatigue(
    seat_load: Newton,
    open_load: Newton,
    mean_diameter: Metre,
    wire_diameter: Metre,
    tensile_strength: Pascal,
    endurance_amplitude: Pascal,
    endurance_mean: Pascal,
    shear_ultimate_ratio: Pure = 0.67,
) -> SpringFatigue:
    r"""Fatigue of a valve spring between its seat and its open load.

    .. math::

        \tau = K_B \frac{8 F D}{\pi d^3},\quad
        \frac{1}{n_G} = \frac{\tau_a}{S_e} + \frac{\tau_m}{S_{us}},\quad
        S_e = \frac{S_a}{1 - S_m / S_{us}},\quad S_{us} = r S_{ut}

    The Gerber factor takes the square of the mean stress over the strength in both places; Sines's factor is
    S_a over the amplitude. Factors below 1 break in time.

    Parameters
    ----------
    seat_load, open_load : float or array_like
        Least and greatest load, the seat load not below 0 and below the open load. [N]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    wire_diameter : float or array_like
        d. [m]
    tensile_strength : float or array_like
        S_ut of the wire. [Pa]
    endurance_amplitude, endurance_mean : float or array_like
        S_a and S_m, as found by test: 241 and 379 MPa unpeened, 398 and 534 MPa peened (Zimmerli). [Pa]
    shear_ultimate_ratio : float or array_like, optional
        r. [1]

    Returns
    -------
    SpringFatigue
        Stresses in [Pa], factors in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the seat load is negative or not below the open load, or the
        endurance mean is not below the shear strength.

    Examples
    --------
    >>> found = spring_fatigue(22.24, 155.7, 11.95e-3, 2.337e-3, 1959e6, 241e6, 379e6)
    >>> print(round(found.stress_amplitude / 1e6), round(found.sines_factor, 2))
    205 1.18

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, sections 10-9 and 10-10, example 10-4 (from memory).
    """
    low = require("seat_load", seat_load)
    high = require("open_load", open_load)
    require_between("seat_load", low, Range(0.0, math.inf), "N", source="a loose spring has no cycle")
    require_between(
        "open_load less seat_load",
        high - low,
        _ABOVE_ZERO,
        "N",
        source="the load swells from seat to open",
        advice="Check that the two are not exchanged",
    )
    factor = bergstrasser_factor(spring_index(mean_diameter, wire_diameter))
    twist = 8.0 * factor * require("mean_diameter", mean_diameter)
    per_load = twist / (math.pi * require("wire_diameter", wire_diameter) ** 3)
    amplitude, mean = per_load * (high - low) / 2.0, per_load * (high + low) / 2.0
    strength = require("tensile_strength", tensile_strength) * require(
        "shear_ultimate_ratio", shear_ultimate_ratio
    )
    endured = require("endurance_amplitude", endurance_amplitude)
    share = require("endurance_mean", endurance_mean) / strength
    require_between(
        "endurance_mean over shear strength",
        share,
        Range(0.0, 1.0 - 1e-12),
        source="wire endures no mean stress beyond its strength",
    )
    return SpringFatigue(
        stress_amplitude=amplitude,
        mean_stress=mean,
        goodman_factor=1.0 / (amplitude * (1.0 - share) / endured + mean / strength),
        gerber_factor=_gerber(amplitude, mean, endured / (1.0 - share**2), strength),
        sines_factor=endured / amplitude,
    )


def _gerber(amplitude: Real, mean: Real, endurance: Real, strength: Real) -> Real:
    """The factor n of n a / Se + (n m / S)^2 = 1."""
    slope, bend = amplitude / endurance, (mean / strength) ** 2
    found: Real = 2.0 / (slope + np.sqrt(slope**2 + 4.0 * bend))
    return found


def bolt_fatigue(
    bolt_preload: Newton,
    joint_constant: Pure,
    least_external_load: Newton,
    greatest_external_load: Newton,
    stress_area: SquareMetre,
    tensile_strength: Pascal,
    endurance_strength: Pascal,
) -> BoltFatigue:
    r"""Fatigue of a bolt whose joint is pulled by a load that swells.

    .. math::

        \sigma_a = \frac{C (P_2 - P_1)}{2 A},\quad \sigma_i = F_i / A,\quad
        \sigma_m = \sigma_i + \frac{C (P_2 + P_1)}{2 A},\quad
        n = \frac{S_e (S_{ut} - \sigma_i)}{S_{ut} \sigma_a + S_e (\sigma_m - \sigma_i)}

    The preload stays; only the outer load grows with the factor. Gerber's factor is that of the parabola.

    Parameters
    ----------
    bolt_preload : float or array_like
        F_i. [N]
    joint_constant : float or array_like
        C. [1]
    least_external_load, greatest_external_load : float or array_like
        P_1 and P_2, each bolt's; the joint stays closed. [N]
    stress_area : float or array_like
        A. [m2]
    tensile_strength : float or array_like
        S_ut. [Pa]
    endurance_strength : float or array_like
        S_e, corrected, of the thread: 129 MPa for rolled class 8.8, 140 for 9.8, 162 for 10.9, 190 for
        12.9. [Pa]

    Returns
    -------
    BoltFatigue
        Stresses in [Pa], factors in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the loads do not swell, or the preload alone breaks the bolt.

    Examples
    --------
    >>> found = bolt_fatigue(60e3, 0.25, 0.0, 30e3, 84.3e-6, 1040e6, 162e6)
    >>> print(round(found.stress_amplitude / 1e6, 1), round(found.goodman_factor, 2))
    44.5 0.99

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, section 8-11 and table 8-17 (from memory).
    """
    preload = require("bolt_preload", bolt_preload)
    share = require("joint_constant", joint_constant)
    low = require("least_external_load", least_external_load)
    high = require("greatest_external_load", greatest_external_load)
    area = require("stress_area", stress_area)
    strength = require("tensile_strength", tensile_strength)
    endurance = require("endurance_strength", endurance_strength)
    require_between(
        "greatest_external_load less least_external_load",
        high - low,
        _ABOVE_ZERO,
        "N",
        source="the load swells from the least to the greatest",
        advice="Check that the two are not exchanged",
    )
    reserve = require_between(
        "tensile_strength less preload stress",
        strength - preload / area,
        _ABOVE_ZERO,
        "Pa",
        source="the preload alone breaks the bolt",
        advice="Check the preload and the stress area",
    )
    amplitude = share * (high - low) / (2.0 * area)
    above = share * (high + low) / (2.0 * area)
    return BoltFatigue(
        stress_amplitude=amplitude,
        mean_stress=preload / area + above,
        goodman_factor=endurance * reserve / (strength * amplitude + endurance * above),
        gerber_factor=_gerber_above_preload(amplitude, above, endurance, strength, preload / area),
    )


def _gerber_above_preload(amplitude: Real, above: Real, endurance: Real, strength: Real, start: Real) -> Real:
    """The factor n of n a / Se + ((start + n above) / S)^2 = 1, the preload staying as it is."""
    square = (above / strength) ** 2
    linear = amplitude / endurance + 2.0 * start * above / strength**2
    rest = 1.0 - (start / strength) ** 2
    found: Real = 2.0 * rest / (linear + np.sqrt(linear**2 + 4.0 * square * rest))
    return found
