"""Viscosity of oil: against temperature, as an index, and from kinematic to dynamic.

The published line and index are written in mm2/s and K; they come out the same in no other units.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Kelvin,
    KilogramPerCubicMetre,
    PascalSecond,
    PerKelvin,
    Pure,
    Range,
    Real,
    SquareMetrePerSecond,
    require_between,
)

SQUARE_MILLIMETRE = 1e-6
"""One square millimetre, in which the viscosities of the standards are written. [m2]"""

SHIFT = 0.7
"""Added to the viscosity before its logarithm is taken, in mm2/s; true above 2 mm2/s (ASTM D341). [1]"""

OIL_EXPANSION = 7e-4
"""Growth of a mineral oil's volume by temperature (common practice, no source). [1/K]"""

FIFTEEN_DEGREES = 288.15
"""Temperature at which an oil's density is stated (ISO 12185, from memory). [K]"""

# ASTM D2270, appendix, from memory. Up to Y, viscosity at 100 degC; L = a Y^2 + b Y + c; H = d Y^2 + e Y + f
_INDEX_ROWS = np.array(
    [
        (3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
        (4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
        (5.0, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
        (6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
        (7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
        (7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
        (9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
        (12.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
        (15.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
        (18.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
        (22.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
        (28.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
        (40.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
        (55.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
        (70.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
        (np.inf, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
    ]
)


@dataclass(frozen=True, slots=True)
class WaltherLine:
    """The line on which an oil's viscosity falls with temperature.

    Attributes
    ----------
    walther_a : float or ndarray
        A. [1]
    walther_b : float or ndarray
        B. [1]
    """

    walther_a: Pure
    walther_b: Pure


@dataclass(frozen=True, slots=True)
class IndexReferences:
    """Viscosities at 40 degC of the oils of index 0 and 100 that are alike at 100 degC.

    Attributes
    ----------
    low_index_viscosity : float or ndarray
        L. [m2/s]
    high_index_viscosity : float or ndarray
        H. [m2/s]
    """

    low_index_viscosity: SquareMetrePerSecond
    high_index_viscosity: SquareMetrePerSecond


def _twice_logged(viscosity: Real) -> Real:
    logged: Real = np.log10(np.log10(viscosity / SQUARE_MILLIMETRE + SHIFT))
    return logged


def walther_line(
    first_temperature: Kelvin,
    first_viscosity: SquareMetrePerSecond,
    second_temperature: Kelvin,
    second_viscosity: SquareMetrePerSecond,
) -> WaltherLine:
    r"""The viscosity-temperature line of an oil from two known viscosities.

    .. math:: \log \log (\nu + 0.7) = A - B \log T

    Decimal logarithms, viscosity in mm2/s and temperature in K; true above 2 mm2/s.

    Parameters
    ----------
    first_temperature, second_temperature : float or array_like
        Two different ones; their order does not matter. [K]
    first_viscosity, second_viscosity : float or array_like
        Kinematic viscosities there. [m2/s]

    Returns
    -------
    WaltherLine
        A and B. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the temperatures are the same.

    Examples
    --------
    >>> line = walther_line(313.15, 100e-6, 373.15, 14e-6)
    >>> print(round(line.walther_a, 5), round(line.walther_b, 5))
    7.98909 3.08019

    References
    ----------
    .. [1] ASTM D341, without the terms for thin liquids (from memory).
    """
    first = require("first_temperature", first_temperature)
    second = require("second_temperature", second_temperature)
    require_between(
        "distance of second_temperature from first_temperature",
        np.abs(second - first),
        Range(1.0, np.inf),
        "K",
        source="two points make a line",
        advice="Take the viscosities of the data sheet, at 40 and 100 degC",
    )
    at_first = _twice_logged(require("first_viscosity", first_viscosity))
    at_second = _twice_logged(require("second_viscosity", second_viscosity))
    slope: Real = (at_first - at_second) / (np.log10(second) - np.log10(first))
    start: Real = at_first + slope * np.log10(first)
    return WaltherLine(walther_a=start, walther_b=slope)


def kinematic_viscosity(
    oil_temperature: Kelvin,
    first_temperature: Kelvin,
    first_viscosity: SquareMetrePerSecond,
    second_temperature: Kelvin,
    second_viscosity: SquareMetrePerSecond,
) -> SquareMetrePerSecond:
    r"""Kinematic viscosity at a temperature from two known viscosities.

    .. math:: \nu = 10^{10^{A - B \log T}} - 0.7

    Parameters
    ----------
    oil_temperature : float or array_like
        Where the viscosity is wanted; above the cloud point. [K]
    first_temperature, first_viscosity, second_temperature, second_viscosity : float or array_like
        As in `walther_line`.

    Returns
    -------
    float or ndarray
        [m2/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the viscosity comes out below 2 mm2/s, where the line bends.

    Examples
    --------
    >>> print(round(kinematic_viscosity(423.15, 313.15, 100e-6, 373.15, 14e-6) * 1e6, 3))
    5.501

    References
    ----------
    .. [1] ASTM D341, without the terms for thin liquids (from memory).
    """
    temperature = require("oil_temperature", oil_temperature)
    line = walther_line(first_temperature, first_viscosity, second_temperature, second_viscosity)
    with np.errstate(over="ignore"):
        viscosity = 10.0 ** (10.0 ** (line.walther_a - line.walther_b * np.log10(temperature))) - SHIFT
    return require_between(
        "kinematic_viscosity",
        viscosity * SQUARE_MILLIMETRE,
        Range(2e-6, np.inf),
        "m2/s",
        source="ASTM D341, without the terms for thin liquids",
        advice="Stay below this temperature, or measure",
    )


def temperature_at_viscosity(
    kinematic_viscosity: SquareMetrePerSecond,
    first_temperature: Kelvin,
    first_viscosity: SquareMetrePerSecond,
    second_temperature: Kelvin,
    second_viscosity: SquareMetrePerSecond,
) -> Kelvin:
    r"""Temperature at which an oil has a kinematic viscosity.

    .. math:: T = 10^{(A - \log \log (\nu + 0.7)) / B}

    Parameters
    ----------
    kinematic_viscosity : float or array_like
        nu. [m2/s]
    first_temperature, first_viscosity, second_temperature, second_viscosity : float or array_like
        As in `walther_line`.

    Returns
    -------
    float or ndarray
        [K]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the two known viscosities are the same.

    Examples
    --------
    >>> print(round(temperature_at_viscosity(14e-6, 313.15, 100e-6, 373.15, 14e-6), 3))
    373.15

    References
    ----------
    .. [1] ASTM D341, solved for the temperature.
    """
    logged = _twice_logged(require("kinematic_viscosity", kinematic_viscosity))
    line = walther_line(first_temperature, first_viscosity, second_temperature, second_viscosity)
    slope = require_between(
        "walther_b",
        line.walther_b,
        Range(0.0, np.inf, low_excluded=True),
        source="oil is thinner where it is hotter",
        advice="Check which viscosity belongs to which temperature",
    )
    temperature: Real = 10.0 ** ((line.walther_a - logged) / slope)
    return temperature


def index_references(viscosity_at_100: SquareMetrePerSecond) -> IndexReferences:
    r"""L and H of the viscosity index by the equations that stand for its table.

    .. math:: L = a Y^2 + b Y + c,\quad H = d Y^2 + e Y + f

    They lie within 0.12 % of the printed table.

    Parameters
    ----------
    viscosity_at_100 : float or array_like
        Y. [m2/s]

    Returns
    -------
    IndexReferences
        [m2/s]

    Raises
    ------
    OutOfRange
        The viscosity lies outside its range; below 2 mm2/s there is no index.

    Examples
    --------
    >>> found = index_references(8.86e-6)
    >>> print(round(found.low_index_viscosity * 1e6, 2), round(found.high_index_viscosity * 1e6, 2))
    119.96 69.48

    References
    ----------
    .. [1] ASTM D2270, appendix (from memory; the printed L and H for 8.86 are 119.94 and 69.48).
    """
    hot = require("viscosity_at_100", viscosity_at_100) / SQUARE_MILLIMETRE
    row = np.searchsorted(_INDEX_ROWS[:, 0], hot)
    _, a, b, c, d, e, f = np.moveaxis(_INDEX_ROWS[row], -1, 0)
    return IndexReferences(
        low_index_viscosity=(a * hot**2 + b * hot + c) * SQUARE_MILLIMETRE,
        high_index_viscosity=(d * hot**2 + e * hot + f) * SQUARE_MILLIMETRE,
    )


def index_below_100(
    viscosity_at_40: SquareMetrePerSecond,
    low_index_viscosity: SquareMetrePerSecond,
    high_index_viscosity: SquareMetrePerSecond,
) -> Pure:
    r"""Viscosity index up to 100, procedure A.

    .. math:: VI = 100\,\frac{L - U}{L - H}

    Parameters
    ----------
    viscosity_at_40 : float or array_like
        U. [m2/s]
    low_index_viscosity : float or array_like
        L. [m2/s]
    high_index_viscosity : float or array_like
        H, less than L. [m2/s]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or H is not less than L.

    Examples
    --------
    >>> print(round(index_below_100(73.3e-6, 119.94e-6, 69.48e-6), 1))
    92.4

    References
    ----------
    .. [1] ASTM D2270, procedure A, with its example (from memory).
    """
    cold = require("viscosity_at_40", viscosity_at_40)
    low = require("low_index_viscosity", low_index_viscosity)
    high = require("high_index_viscosity", high_index_viscosity)
    require_between(
        "high_index_viscosity over low_index_viscosity",
        high / low,
        Range(0.0, 1.0 - 1e-9),
        source="an oil of index 100 is the thinner one at 40 degC",
        advice="Exchange the two",
    )
    return 100.0 * (low - cold) / (low - high)


def index_above_100(
    viscosity_at_40: SquareMetrePerSecond,
    viscosity_at_100: SquareMetrePerSecond,
    high_index_viscosity: SquareMetrePerSecond,
) -> Pure:
    r"""Viscosity index of 100 and above, procedure B.

    .. math:: VI = 100 + \frac{10^N - 1}{0.00715},\quad N = \frac{\log H - \log U}{\log Y}

    Parameters
    ----------
    viscosity_at_40 : float or array_like
        U. [m2/s]
    viscosity_at_100 : float or array_like
        Y. [m2/s]
    high_index_viscosity : float or array_like
        H. [m2/s]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(index_above_100(22.83e-6, 5.05e-6, 28.97e-6), 1))
    156.4

    References
    ----------
    .. [1] ASTM D2270, procedure B, with its example (from memory).
    """
    cold = require("viscosity_at_40", viscosity_at_40)
    hot = require("viscosity_at_100", viscosity_at_100) / SQUARE_MILLIMETRE
    high = require("high_index_viscosity", high_index_viscosity)
    index: Real = 100.0 + (10.0 ** (np.log10(high / cold) / np.log10(hot)) - 1.0) / 0.00715
    return index


def viscosity_index(viscosity_at_40: SquareMetrePerSecond, viscosity_at_100: SquareMetrePerSecond) -> Pure:
    r"""Viscosity index from the two viscosities of a data sheet.

    Procedure A where the oil is thicker than the oil of index 100, procedure B where it is thinner; L and H
    by `index_references`. The standard rounds the result to a whole number.

    Parameters
    ----------
    viscosity_at_40 : float or array_like
        [m2/s]
    viscosity_at_100 : float or array_like
        [m2/s]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(viscosity_index(73.3e-6, 8.86e-6)), round(viscosity_index(22.83e-6, 5.05e-6)))
    92 156

    References
    ----------
    .. [1] ASTM D2270, with its two examples (from memory).
    """
    cold = require("viscosity_at_40", viscosity_at_40)
    references = index_references(viscosity_at_100)
    low, high = references.low_index_viscosity, references.high_index_viscosity
    below = index_below_100(cold, low, high)
    above = index_above_100(cold, viscosity_at_100, high)
    return np.where(cold > high, below, above)[()]


def oil_density(
    oil_temperature: Kelvin,
    density_at_reference: KilogramPerCubicMetre,
    reference_temperature: Kelvin = FIFTEEN_DEGREES,
    expansion_coefficient: PerKelvin = OIL_EXPANSION,
) -> KilogramPerCubicMetre:
    r"""Density of oil at a temperature.

    .. math:: \rho = \rho_0 / (1 + \beta (T - T_0))

    Parameters
    ----------
    oil_temperature : float or array_like
        T. [K]
    density_at_reference : float or array_like
        rho_0, as the data sheet states it. [kg/m3]
    reference_temperature : float or array_like, optional
        T_0; 15 degC on data sheets. [K]
    expansion_coefficient : float or array_like, optional
        beta. [1/K]

    Returns
    -------
    float or ndarray
        [kg/m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(oil_density(373.15, 870.0), 1))
    821.1

    References
    ----------
    .. [1] Linear expansion of volume; the coefficient is common practice, no source.
    """
    warmer = require("oil_temperature", oil_temperature) - require(
        "reference_temperature", reference_temperature
    )
    density = require("density_at_reference", density_at_reference)
    return density / (1.0 + require("expansion_coefficient", expansion_coefficient) * warmer)


def oil_viscosity(
    kinematic_viscosity: SquareMetrePerSecond, oil_density: KilogramPerCubicMetre
) -> PascalSecond:
    r"""Dynamic viscosity from kinematic viscosity and density.

    .. math:: \mu = \nu \rho

    Parameters
    ----------
    kinematic_viscosity : float or array_like
        nu, at the oil's temperature. [m2/s]
    oil_density : float or array_like
        rho, at the same temperature. [kg/m3]

    Returns
    -------
    float or ndarray
        Without the loss at high shear. [Pa.s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(oil_viscosity(10e-6, 830.0) * 1e3, 3))
    8.3

    References
    ----------
    .. [1] Definition.
    """
    return require("kinematic_viscosity", kinematic_viscosity) * require("oil_density", oil_density)
