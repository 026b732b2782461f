"""Burning by the Wiebe law: burned share and rate by crank angle, and the angles of given shares."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import PerRadian, Pure, Radian, Range, Real, require_between


@dataclass(frozen=True, slots=True)
class BurnAngles:
    """Where given shares of the mass have burned, after top dead centre.

    Attributes
    ----------
    burn_10_angle : float or ndarray
        [rad]
    burn_50_angle : float or ndarray
        [rad]
    burn_90_angle : float or ndarray
        [rad]
    burn_10_to_90 : float or ndarray
        [rad]
    """

    burn_10_angle: Radian
    burn_50_angle: Radian
    burn_90_angle: Radian
    burn_10_to_90: Radian


@dataclass(frozen=True, slots=True)
class WiebePeak:
    """Where and how fast the Wiebe law burns fastest.

    Attributes
    ----------
    peak_position : float or ndarray
        Share of the duration. [1]
    peak_rate : float or ndarray
        Burned share for each duration. [1]
    """

    peak_position: Pure
    peak_rate: Pure


@dataclass(frozen=True, slots=True)
class WiebeLaw:
    """The numbers of a Wiebe law.

    Attributes
    ----------
    burn_start : float or ndarray
        After top dead centre. [rad]
    burn_duration : float or ndarray
        [rad]
    wiebe_m : float or ndarray
        [1]
    """

    burn_start: Radian
    burn_duration: Radian
    wiebe_m: Pure


def wiebe_fraction(burn_progress: Pure, wiebe_a: Pure, wiebe_m: Pure) -> Pure:
    r"""Burned share of the mass at a share of the burn's duration.

    .. math:: x = 1 - e^{-a y^{m + 1}}

    Parameters
    ----------
    burn_progress : float or array_like
        y, 0 at the start and 1 at the end of the duration. [1]
    wiebe_a : float or array_like
        a: 5 ends at 99.3 %, 6.908 at 99.9 %. [1]
    wiebe_m : float or array_like
        m, 2 for many engines. [1]

    Returns
    -------
    float or ndarray
        Not stretched to 1 at the end. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(wiebe_fraction(0.5, 5.0, 2.0), 4), round(wiebe_fraction(1.0, 5.0, 2.0), 4))
    0.4647 0.9933

    References
    ----------
    .. [1] Wiebe; Heywood, Internal Combustion Engine Fundamentals, eq. 9.27 (from memory).
    """
    progress = require("burn_progress", burn_progress)
    burned: Real = -np.expm1(-require("wiebe_a", wiebe_a) * progress ** (require("wiebe_m", wiebe_m) + 1.0))
    return burned


def _progress(crank_angle: Real, burn_start: Real, burn_duration: Real) -> Real:
    """Share of the duration, held between 0 and 1."""
    since = require("crank_angle", crank_angle) - require("burn_start", burn_start)
    share: Real = np.clip(since / require("burn_duration", burn_duration), 0.0, 1.0)
    return share


def burned_fraction(
    crank_angle: Radian, burn_start: Radian, burn_duration: Radian, wiebe_a: Pure, wiebe_m: Pure
) -> Pure:
    r"""Burned share of the mass at a crank angle.

    .. math:: x = 1 - \exp\left[-a \left(\frac{\theta - \theta_0}{\Delta\theta}\right)^{m + 1}\right]

    Parameters
    ----------
    crank_angle : float or array_like
        theta, after top dead centre of the burn. [rad]
    burn_start : float or array_like
        theta_0; negative before top dead centre. [rad]
    burn_duration : float or array_like
        Delta theta. [rad]
    wiebe_a : float or array_like
        a. [1]
    wiebe_m : float or array_like
        m. [1]

    Returns
    -------
    float or ndarray
        0 before the start; after the end it stays at what it then is. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(burned_fraction(5 * DEGREE, -25 * DEGREE, 60 * DEGREE, 5.0, 2.0), 4))
    0.4647

    References
    ----------
    .. [1] Wiebe; Heywood, Internal Combustion Engine Fundamentals, eq. 9.27 (from memory).
    """
    return wiebe_fraction(_progress(crank_angle, burn_start, burn_duration), wiebe_a, wiebe_m)


def burn_rate(
    crank_angle: Radian, burn_start: Radian, burn_duration: Radian, wiebe_a: Pure, wiebe_m: Pure
) -> PerRadian:
    r"""Burned share for each crank angle, at a crank angle.

    .. math:: \frac{dx}{d\theta} = \frac{a (m + 1)}{\Delta\theta} y^m e^{-a y^{m + 1}}

    Parameters
    ----------
    crank_angle : float or array_like
        After top dead centre of the burn. [rad]
    burn_start : float or array_like
        Negative before top dead centre. [rad]
    burn_duration : float or array_like
        Delta theta. [rad]
    wiebe_a : float or array_like
        a. [1]
    wiebe_m : float or array_like
        m, not below 0: the burn would start without bound. [1]

    Returns
    -------
    float or ndarray
        0 before the start and after the end. [1/rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or m is below 0.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(burn_rate(5 * DEGREE, -25 * DEGREE, 60 * DEGREE, 5.0, 2.0) * DEGREE, 4))
    0.0335

    References
    ----------
    .. [1] `burned_fraction` by its angle.
    """
    shape = require_between(
        "wiebe_m of a rate",
        require("wiebe_m", wiebe_m),
        Range(0.0, 20.0),
        source="below 0 the burn starts without bound",
    )
    since = require("crank_angle", crank_angle) - require("burn_start", burn_start)
    duration = require("burn_duration", burn_duration)
    progress, steepness = since / duration, require("wiebe_a", wiebe_a)
    burning = (progress >= 0.0) & (progress <= 1.0)
    inside = np.clip(progress, 0.0, 1.0)
    rate = steepness * (shape + 1.0) / duration * inside**shape * np.exp(-steepness * inside ** (shape + 1.0))
    held: Real = np.where(burning, rate, 0.0)[()]
    return held


def burn_angle(
    wanted_fraction: Pure, burn_start: Radian, burn_duration: Radian, wiebe_a: Pure, wiebe_m: Pure
) -> Radian:
    r"""Crank angle at which a share of the mass has burned.

    .. math:: \theta = \theta_0 + \Delta\theta \left[-\frac{\ln(1 - x)}{a}\right]^{1/(m + 1)}

    Parameters
    ----------
    wanted_fraction : float or array_like
        x, below what burns at all. [1]
    burn_start : float or array_like
        theta_0; negative before top dead centre. [rad]
    burn_duration : float or array_like
        Delta theta. [rad]
    wiebe_a : float or array_like
        a. [1]
    wiebe_m : float or array_like
        m. [1]

    Returns
    -------
    float or ndarray
        After top dead centre. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the burn ends before the share is reached.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(burn_angle(0.5, -25 * DEGREE, 60 * DEGREE, 5.0, 2.0) / DEGREE, 2))
    6.05

    References
    ----------
    .. [1] `burned_fraction` turned round.
    """
    wanted = require("wanted_fraction", wanted_fraction)
    steepness = require("wiebe_a", wiebe_a)
    require_between(
        "wanted_fraction over what burns",
        wanted / -np.expm1(-steepness),
        Range(0.0, 1.0),
        source="the burn ends before the share is reached",
        advice="Take a larger a",
    )
    share = (-np.log1p(-wanted) / steepness) ** (1.0 / (require("wiebe_m", wiebe_m) + 1.0))
    angle: Real = require("burn_start", burn_start) + require("burn_duration", burn_duration) * share
    return angle


def burn_angles(burn_start: Radian, burn_duration: Radian, wiebe_a: Pure, wiebe_m: Pure) -> BurnAngles:
    r"""Crank angles at which 10, 50 and 90 % of the mass have burned.

    .. math:: \theta_x = \theta_0 + \Delta\theta \left[-\frac{\ln(1 - x)}{a}\right]^{1/(m + 1)}

    Parameters
    ----------
    burn_start : float or array_like
        theta_0; negative before top dead centre. [rad]
    burn_duration : float or array_like
        Delta theta. [rad]
    wiebe_a : float or array_like
        a, at least 2.303, so that 90 % burn. [1]
    wiebe_m : float or array_like
        m. [1]

    Returns
    -------
    BurnAngles
        After top dead centre. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or less than 90 % burn.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> angles = burn_angles(-25 * DEGREE, 60 * DEGREE, 5.0, 2.0)
    >>> print(round(angles.burn_10_angle / DEGREE, 2), round(angles.burn_90_angle / DEGREE, 2))
    -8.43 21.33

    References
    ----------
    .. [1] `burn_angle`.
    """
    early, middle, late = (
        burn_angle(share, burn_start, burn_duration, wiebe_a, wiebe_m) for share in (0.1, 0.5, 0.9)
    )
    return BurnAngles(
        burn_10_angle=early, burn_50_angle=middle, burn_90_angle=late, burn_10_to_90=late - early
    )


def wiebe_peak(wiebe_a: Pure, wiebe_m: Pure) -> WiebePeak:
    r"""Where the Wiebe law burns fastest, and how fast.

    .. math:: y = \left[\frac{m}{a (m + 1)}\right]^{1/(m + 1)},\quad x' = a (m + 1) y^m e^{-a y^{m + 1}}

    Parameters
    ----------
    wiebe_a : float or array_like
        a. [1]
    wiebe_m : float or array_like
        m, from 0. [1]

    Returns
    -------
    WiebePeak
        By the duration of the burn; at its end where the law would peak later. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or m is below 0.

    Examples
    --------
    >>> peak = wiebe_peak(5.0, 2.0)
    >>> print(round(peak.peak_position, 4), round(peak.peak_rate, 4))
    0.5109 2.01

    References
    ----------
    .. [1] Where the second derivative of `wiebe_fraction` is 0.
    """
    steepness = require("wiebe_a", wiebe_a)
    shape = require_between(
        "wiebe_m of a rate",
        require("wiebe_m", wiebe_m),
        Range(0.0, 20.0),
        source="below 0 the burn starts without bound",
    )
    position: Real = np.minimum((shape / (steepness * (shape + 1.0))) ** (1.0 / (shape + 1.0)), 1.0)
    rate: Real = steepness * (shape + 1.0) * position**shape * np.exp(-steepness * position ** (shape + 1.0))
    return WiebePeak(peak_position=position, peak_rate=rate)


def wiebe_a(end_fraction: Pure) -> Pure:
    r"""The number a of the Wiebe law for a burned share at the end of the duration.

    .. math:: a = -\ln(1 - x_{end})

    Parameters
    ----------
    end_fraction : float or array_like
        x_end: 0.999 for a burn that is called complete. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        The input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(wiebe_a(0.999), 3))
    6.908

    References
    ----------
    .. [1] `wiebe_fraction` at the end.
    """
    value: Real = -np.log1p(-require("end_fraction", end_fraction))
    return value


def wiebe_law(burn_10_angle: Radian, burn_50_angle: Radian, burn_90_angle: Radian, wiebe_a: Pure) -> WiebeLaw:
    r"""The Wiebe law through three measured angles, for a chosen a.

    .. math::

        \frac{y_{90} - y_{10}}{y_{50} - y_{10}} =
            \frac{\theta_{90} - \theta_{10}}{\theta_{50} - \theta_{10}},\quad
        y_x = \left[-\frac{\ln(1 - x)}{a}\right]^{1/(m + 1)}

    Parameters
    ----------
    burn_10_angle : float or array_like
        theta_10, after top dead centre. [rad]
    burn_50_angle : float or array_like
        theta_50. [rad]
    burn_90_angle : float or array_like
        theta_90. [rad]
    wiebe_a : float or array_like
        a: it only says where the duration ends. [1]

    Returns
    -------
    WiebeLaw
        [rad] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the angles do not rise, or no m between -0.5 and 20 fits them.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> law = wiebe_law(-8.4275 * DEGREE, 6.05296 * DEGREE, 21.334 * DEGREE, 5.0)
    >>> print(round(law.wiebe_m, 3), round(law.burn_duration / DEGREE, 2), round(law.burn_start / DEGREE, 2))
    2.0 60.0 -25.0

    References
    ----------
    .. [1] `burn_angle` at three shares.
    """
    early = require("burn_10_angle", burn_10_angle)
    middle = require("burn_50_angle", burn_50_angle)
    late = require("burn_90_angle", burn_90_angle)
    steepness = require("wiebe_a", wiebe_a)
    for name, rise in (
        ("burn_50_angle less burn_10_angle", middle - early),
        ("burn_90_angle less burn_50_angle", late - middle),
    ):
        require_between(name, rise, Range(0.0, math.inf, low_excluded=True), "rad", source="the burn goes on")
    ratio = (late - early) / (middle - early)
    logs = [-math.log1p(-share) for share in (0.1, 0.5, 0.9)]

    def spread(m: Real) -> Real:
        y10, y50, y90 = (value ** (1.0 / (m + 1.0)) for value in logs)
        return (y90 - y10) / (y50 - y10)

    low, high = -0.5 + 0.0 * ratio, 20.0 + 0.0 * ratio
    require_between(
        "burn_10_to_90 over burn_10_to_50",
        ratio,
        Range(float(spread(20.0)), float(spread(-0.5))),
        source="Wiebe laws with m from -0.5 to 20",
        advice="Another law than Wiebe's burns like this; check the angles",
    )
    for _ in range(60):
        m = 0.5 * (low + high)
        flatter = spread(m) > ratio
        low, high = np.where(flatter, m, low)[()], np.where(flatter, high, m)[()]
    m = 0.5 * (low + high)
    y10, y90 = ((logs[index] / steepness) ** (1.0 / (m + 1.0)) for index in (0, 2))
    duration = (late - early) / (y90 - y10)
    return WiebeLaw(burn_start=early - duration * y10, burn_duration=duration, wiebe_m=m)
