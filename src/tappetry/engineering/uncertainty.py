"""Standard uncertainties: from limits and readings, combined, expanded; the chance that a margin fails."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.ranges import CubicMetre, Metre, OutOfRange, Pure, Range, Real, require_between

_DIVISORS = {"even": math.sqrt(3.0), "triangular": math.sqrt(6.0), "arcsine": math.sqrt(2.0)}
DISTRIBUTIONS = tuple(_DIVISORS)
"""How a value may lie between its limits: anywhere alike, rather in the middle, rather at the ends."""


@dataclass(frozen=True, slots=True)
class SumUncertainty:
    """Uncertainty of the sum and of the difference of two values.

    Attributes
    ----------
    sum_uncertainty : float or ndarray
        [1]
    difference_uncertainty : float or ndarray
        [1]
    """

    sum_uncertainty: Pure
    difference_uncertainty: Pure


@dataclass(frozen=True, slots=True)
class ProductUncertainty:
    """A product of powers with its uncertainty.

    Attributes
    ----------
    product_value : float
        [1]
    product_uncertainty : float
        [1]
    """

    product_value: Pure
    product_uncertainty: Pure


@dataclass(frozen=True, slots=True)
class SampleMean:
    """What readings of one size say.

    Attributes
    ----------
    sample_mean : float
        [1]
    sample_deviation : float
        Of one reading. [1]
    mean_uncertainty : float
        [1]
    """

    sample_mean: Pure
    sample_deviation: Pure
    mean_uncertainty: Pure


@dataclass(frozen=True, slots=True)
class WeightedMean:
    """What readings of different worth say.

    Attributes
    ----------
    sample_mean : float
        [1]
    mean_uncertainty : float
        [1]
    misfit : float
        About 1 where the stated uncertainties are true. [1]
    """

    sample_mean: Pure
    mean_uncertainty: Pure
    misfit: Pure


@dataclass(frozen=True, slots=True)
class RatioWithDoubt:
    """A compression ratio with its uncertainty.

    Attributes
    ----------
    static_compression_ratio : float or ndarray
        [1]
    ratio_uncertainty : float or ndarray
        [1]
    """

    static_compression_ratio: Pure
    ratio_uncertainty: Pure


def limits_uncertainty(half_width: Pure, distribution: str) -> Pure:
    r"""Standard uncertainty of a value that lies somewhere between two limits.

    .. math:: u = a / \sqrt3,\quad a / \sqrt6,\quad a / \sqrt2

    Parameters
    ----------
    half_width : float or array_like
        a, from the middle to either limit. [1]
    distribution : str
        `even`, `triangular` or `arcsine`.

    Returns
    -------
    float or ndarray
        In the unit of the limits. [1]

    Raises
    ------
    OutOfRange
        The width lies outside its range, or the distribution is not known.

    Examples
    --------
    >>> print(round(limits_uncertainty(0.05, "even"), 5))
    0.02887

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7 and 4.3.9 (from memory).
    """
    width = require("half_width", half_width)
    if distribution not in _DIVISORS:
        raise OutOfRange(f"distribution {distribution!r}", None, f"one of {', '.join(DISTRIBUTIONS)}")
    return width / _DIVISORS[distribution]


def combined_uncertainty(contributions: Pure) -> Pure:
    r"""Standard uncertainty of a result from contributions that share nothing.

    .. math:: u_c = \sqrt{\sum u_i^2}

    Parameters
    ----------
    contributions : array_like
        u_i, each with its sensitivity multiplied in; one dimension. [1]

    Returns
    -------
    float
        [1]

    Raises
    ------
    OutOfRange
        A contribution lies outside its range.

    Examples
    --------
    >>> print(round(combined_uncertainty((25.0, 9.7, 2.9, 16.6)), 1))
    31.7

    References
    ----------
    .. [1] JCGM 100:2008, equation (11a) and example H.1 (from memory).
    """
    parts = require_list("contributions", contributions)
    return np.sqrt((parts**2).sum(axis=0))  # type: ignore[no-any-return]


def freedom(contributions: Pure, freedoms: Pure) -> Pure:
    r"""Effective degrees of freedom of a combined uncertainty.

    .. math:: \nu = \frac{u_c^4}{\sum u_i^4 / \nu_i}

    Parameters
    ----------
    contributions : array_like
        u_i, not all 0. [1]
    freedoms : array_like
        nu_i, as many; infinite for limits that are sure. [1]

    Returns
    -------
    float
        The standard rounds it down. [1]

    Raises
    ------
    OutOfRange
        A value lies outside its range, the lists differ in length, or all contributions are 0.

    Examples
    --------
    >>> print(round(freedom((25.0, 9.7, 2.9, 16.6), (18.0, 25.6, 50.0, 2.0)), 1))
    16.8

    References
    ----------
    .. [1] JCGM 100:2008, equation (G.2b) and example H.1, which prints 16.7 from rounded parts (from memory).
    """
    parts = require_list("contributions", contributions)
    each = require_pairs("freedoms", freedoms, "contributions", parts)
    require_between(
        "sum of the contributions",
        parts.sum(axis=0),
        Range(0.0, math.inf, low_excluded=True),
        source="nothing has no degrees of freedom",
    )
    spread: Real = (parts**4 / each).sum(axis=0)
    with np.errstate(divide="ignore"):
        return np.divide((parts**2).sum(axis=0) ** 2, spread)  # type: ignore[no-any-return]


def coverage_factor(confidence: Pure, freedom: Pure | None = None) -> Pure:
    r"""How many standard uncertainties an interval reaches to either side.

    .. math:: k = t_{(1 + p) / 2}(\nu)

    Parameters
    ----------
    confidence : float or array_like
        p, below 1. [1]
    freedom : float or array_like, optional
        nu; left out, or infinite, for the normal distribution. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or certainty is asked for.

    Examples
    --------
    >>> print(round(coverage_factor(0.99, 16.0), 2), round(coverage_factor(0.95), 2))
    2.92 1.96

    References
    ----------
    .. [1] JCGM 100:2008, table G.2 (from memory).
    """
    from scipy.special import ndtri, stdtrit

    share = require("confidence", confidence)
    require_between("confidence", share, Range(0.0, 1.0 - 1e-12), source="no interval is certain")
    degrees = math.inf if freedom is None else require("freedom", freedom)
    upper = (1.0 + share) / 2.0
    finite = np.isfinite(degrees)
    factor: Real = np.where(finite, stdtrit(np.where(finite, degrees, 1.0), upper), ndtri(upper))[()]
    return factor


def expanded_uncertainty(combined_uncertainty: Pure, coverage_factor: Pure) -> Pure:
    r"""Half width of the interval that is stated with a result.

    .. math:: U = k\, u_c

    Parameters
    ----------
    combined_uncertainty : float or array_like
        u_c. [1]
    coverage_factor : float or array_like
        k. [1]

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
    >>> print(round(expanded_uncertainty(31.7, 2.92)))
    93

    References
    ----------
    .. [1] JCGM 100:2008, equation (18) and example H.1 (from memory).
    """
    return require("combined_uncertainty", combined_uncertainty) * require("coverage_factor", coverage_factor)


def sum_uncertainty(
    first_uncertainty: Pure, second_uncertainty: Pure, correlation: Pure = 0.0
) -> SumUncertainty:
    r"""Uncertainty of the sum and the difference of two values that may share a cause.

    .. math:: u_{\pm}^2 = u_1^2 + u_2^2 \pm 2 r u_1 u_2

    Parameters
    ----------
    first_uncertainty, second_uncertainty : float or array_like
        u_1 and u_2. [1]
    correlation : float or array_like, optional
        r; 1 for two sizes read with the same wrong gauge. [1]

    Returns
    -------
    SumUncertainty
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> found = sum_uncertainty(3.0, 4.0, 1.0)
    >>> print(found.sum_uncertainty, found.difference_uncertainty)
    7.0 1.0

    References
    ----------
    .. [1] JCGM 100:2008, equation (16) (from memory).
    """
    first = require("first_uncertainty", first_uncertainty)
    second = require("second_uncertainty", second_uncertainty)
    squares = first**2 + second**2
    shared = 2.0 * require("correlation", correlation) * first * second
    return SumUncertainty(
        sum_uncertainty=np.sqrt(squares + shared),
        difference_uncertainty=np.sqrt(np.maximum(squares - shared, 0.0)),
    )


def product_uncertainty(factors: Pure, powers: Pure, factor_uncertainties: Pure) -> ProductUncertainty:
    r"""A product of powers with its uncertainty, for factors that share nothing.

    .. math:: y = \prod x_i^{p_i},\quad \left(\frac{u}{y}\right)^2 = \sum \left(p_i \frac{u_i}{x_i}\right)^2

    Parameters
    ----------
    factors : array_like
        x_i, none of them 0. [1]
    powers : array_like
        p_i, as many. [1]
    factor_uncertainties : array_like
        u_i, as many. [1]

    Returns
    -------
    ProductUncertainty
        [1]

    Raises
    ------
    OutOfRange
        A value lies outside its range, the lists differ in length, or a factor is 0.

    Examples
    --------
    >>> found = product_uncertainty((102.0, 92.0), (2.0, 1.0), (0.01, 0.02))
    >>> print(round(found.product_uncertainty / found.product_value * 1e4, 3))
    2.928

    References
    ----------
    .. [1] JCGM 100:2008, equation (12) (from memory).
    """
    values = require_list("factors", factors)
    each = require_pairs("powers", powers, "factors", values)
    doubts = require_pairs("factor_uncertainties", factor_uncertainties, "factors", values)
    require_between(
        "size of the factors",
        np.abs(values),
        Range(0.0, math.inf, low_excluded=True),
        source="a factor of 0 has no relative uncertainty",
    )
    product = np.prod(values**each, axis=0)
    share = np.sqrt(((each * doubts / values) ** 2).sum(axis=0))
    return ProductUncertainty(product_value=product, product_uncertainty=np.abs(product) * share)


def sample_mean(sample: Pure) -> SampleMean:
    r"""Mean of readings of one size, with the uncertainty of the mean.

    .. math:: s^2 = \frac{\sum (x_i - \bar x)^2}{n - 1},\quad u = s / \sqrt n

    Parameters
    ----------
    sample : array_like
        x_i, two or more; one dimension. [1]

    Returns
    -------
    SampleMean
        [1]

    Raises
    ------
    OutOfRange
        A reading is not finite, or there is only one.

    Examples
    --------
    >>> found = sample_mean((10.02, 10.04, 10.03, 10.03))
    >>> print(round(found.sample_mean, 3), round(found.mean_uncertainty, 4))
    10.03 0.0041

    References
    ----------
    .. [1] JCGM 100:2008, 4.2 (from memory).
    """
    readings = require_list("sample", sample)
    require_between(
        "number of readings", len(readings), Range(2.0, math.inf), source="one reading has no spread"
    )
    deviation = np.std(readings, axis=0, ddof=1)
    return SampleMean(
        sample_mean=readings.mean(axis=0),
        sample_deviation=deviation,
        mean_uncertainty=deviation / math.sqrt(len(readings)),
    )


def weighted_mean(sample: Pure, sample_uncertainties: Pure) -> WeightedMean:
    r"""Mean of readings that are not equally sure.

    .. math:: \bar x = u^2 \sum \frac{x_i}{u_i^2},\quad u^{-2} = \sum u_i^{-2},\quad
        R^2 = \frac{1}{n - 1} \sum \left(\frac{x_i - \bar x}{u_i}\right)^2

    Parameters
    ----------
    sample : array_like
        x_i, two or more. [1]
    sample_uncertainties : array_like
        u_i, as many. [1]

    Returns
    -------
    WeightedMean
        Well above 1, the misfit says that an uncertainty is too small or a reading is wrong. [1]

    Raises
    ------
    OutOfRange
        A value lies outside its range, the lists differ in length, or there is only one reading.

    Examples
    --------
    >>> found = weighted_mean((10.0, 10.2), (0.1, 0.2))
    >>> print(round(found.sample_mean, 2), round(found.mean_uncertainty, 4), round(found.misfit, 3))
    10.04 0.0894 0.894

    References
    ----------
    .. [1] Least squares with known variances; the misfit is Birge's ratio (from memory).
    """
    readings = require_list("sample", sample)
    doubts = require_pairs("sample_uncertainties", sample_uncertainties, "sample", readings)
    require_between(
        "number of readings", len(readings), Range(2.0, math.inf), source="one reading has no spread"
    )
    weights = doubts**-2.0
    mean = (weights * readings).sum(axis=0) / weights.sum(axis=0)
    squares = (weights * (readings - mean) ** 2).sum(axis=0)
    return WeightedMean(
        sample_mean=mean,
        mean_uncertainty=weights.sum(axis=0) ** -0.5,
        misfit=np.sqrt(squares / (len(readings) - 1)),
    )


def failing_chance(proof_margin: Pure, standard_uncertainty: Pure) -> Pure:
    r"""Chance that a margin is below 0.

    .. math:: P = \Phi(-m / u)

    Parameters
    ----------
    proof_margin : float or array_like
        m, positive on the safe side. [1]
    standard_uncertainty : float or array_like
        u, of the margin. [1]

    Returns
    -------
    float or ndarray
        For a margin that is spread normally. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(failing_chance(2.0, 1.0), 4))
    0.0228

    References
    ----------
    .. [1] Normal distribution.
    """
    from scipy.special import ndtr

    share = require("proof_margin", proof_margin) / require("standard_uncertainty", standard_uncertainty)
    return ndtr(-share)  # type: ignore[no-any-return]


def compression_ratio_with_doubt(
    bore: Metre,
    stroke: Metre,
    chamber_volume: CubicMetre,
    other_clearance_volume: CubicMetre,
    bore_uncertainty: Metre,
    stroke_uncertainty: Metre,
    chamber_uncertainty: CubicMetre,
    other_clearance_uncertainty: CubicMetre = 0.0,
) -> RatioWithDoubt:
    r"""Static compression ratio with its standard uncertainty, for sizes that share nothing.

    .. math:: \epsilon = 1 + \frac{V_d}{V_c},\quad
        u^2 = (\epsilon - 1)^2 \left[\left(\frac{2 u_B}{B}\right)^2 + \left(\frac{u_s}{s}\right)^2
        + \left(\frac{u_V}{V_c}\right)^2 + \left(\frac{u_o}{V_c}\right)^2\right]

    Parameters
    ----------
    bore, stroke : float or array_like
        B and s. [m]
    chamber_volume : float or array_like
        [m3]
    other_clearance_volume : float or array_like
        Gasket, deck and piston together, as volumes that do not hang on the bore. [m3]
    bore_uncertainty, stroke_uncertainty : float or array_like
        u_B and u_s. [m]
    chamber_uncertainty : float or array_like
        u_V. [m3]
    other_clearance_uncertainty : float or array_like, optional
        u_o. [m3]

    Returns
    -------
    RatioWithDoubt
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or nothing is left above the piston.

    Examples
    --------
    >>> found = compression_ratio_with_doubt(0.102, 0.092, 64e-6, 19.2e-6, 1e-5, 2e-5, 0.5e-6)
    >>> print(round(found.static_compression_ratio, 3), round(found.ratio_uncertainty, 4))
    10.036 0.0544

    References
    ----------
    .. [1] JCGM 100:2008, equation (10) (from memory); tested against a general-purpose library.
    """
    width, way = require("bore", bore), require("stroke", stroke)
    swept = math.pi / 4.0 * width**2 * way
    clearance = require("chamber_volume", chamber_volume) + require(
        "other_clearance_volume", other_clearance_volume
    )
    require_between(
        "clearance volume",
        clearance,
        Range(0.0, math.inf, low_excluded=True),
        "m3",
        source="something is left above the piston",
        advice="A dome counts negative; check its size",
    )
    shares = (
        2.0 * require("bore_uncertainty", bore_uncertainty) / width,
        require("stroke_uncertainty", stroke_uncertainty) / way,
        require("chamber_uncertainty", chamber_uncertainty) / clearance,
        require("other_clearance_uncertainty", other_clearance_uncertainty) / clearance,
    )
    gain = swept / clearance
    doubt: Real = gain * np.sqrt(sum(share**2 for share in shares))
    return RatioWithDoubt(static_compression_ratio=1.0 + gain, ratio_uncertainty=doubt)
