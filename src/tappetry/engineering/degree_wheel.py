"""The degree wheel: true dead centre by a positive stop, lobe centres, events, the keyway to take.

Readings count up in the running direction, from 0 to a full turn; the crank is never turned back. They are
angles on a circle: 359 degrees and 1 degree lie two degrees apart, and their mean is 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.angles import SAME, either_side, middle, once_round
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import OutOfRange, Pure, Radian, Range, require_between

WHEEL_SIDES = ("ATDC", "BTDC", "ABDC", "BBDC")
"""What a wheel that is marked from its dead centres counts from."""


@dataclass(frozen=True, slots=True)
class DeadCentre:
    """Top dead centre as a positive stop finds it.

    Attributes
    ----------
    dead_centre_reading : float or ndarray
        What the wheel shows there, from 0 to a full turn. [rad]
    wheel_error : float or ndarray
        The same, either side of 0: what to take off every reading. [rad]
    stop_angle : float or ndarray
        How far from dead centre the piston met the stop. [rad]
    """

    dead_centre_reading: Radian
    wheel_error: Radian
    stop_angle: Radian


@dataclass(frozen=True, slots=True)
class LobeCentre:
    """A lobe's centre between two readings of equal lift.

    Attributes
    ----------
    lobe_centre : float or ndarray
        After top dead centre, from 0 to a full turn. [rad]
    equal_lift_duration : float or ndarray
        From the one reading to the other. [rad]
    """

    lobe_centre: Radian
    equal_lift_duration: Radian


@dataclass(frozen=True, slots=True)
class IntakeReadings:
    """Events of an intake lobe as they were read.

    Attributes
    ----------
    intake_opens : float or ndarray
        Before top dead centre; negative is after. [rad]
    intake_closes : float or ndarray
        After bottom dead centre; negative is before. [rad]
    intake_duration : float or ndarray
        [rad]
    """

    intake_opens: Radian
    intake_closes: Radian
    intake_duration: Radian


@dataclass(frozen=True, slots=True)
class ExhaustReadings:
    """Events of an exhaust lobe as they were read.

    Attributes
    ----------
    exhaust_opens : float or ndarray
        Before bottom dead centre; negative is after. [rad]
    exhaust_closes : float or ndarray
        After top dead centre; negative is before. [rad]
    exhaust_duration : float or ndarray
        [rad]
    """

    exhaust_opens: Radian
    exhaust_closes: Radian
    exhaust_duration: Radian


@dataclass(frozen=True, slots=True)
class LobeAsymmetry:
    """How the two sides of a lobe differ between two lifts.

    Attributes
    ----------
    opening_flank : float or ndarray
        From the lower to the upper lift, going up. [rad]
    closing_flank : float or ndarray
        From the upper to the lower lift, going down. [rad]
    centre_shift : float or ndarray
        Centre at the lower lift less centre at the upper one. [rad]
    """

    opening_flank: Radian
    closing_flank: Radian
    centre_shift: Radian


@dataclass(frozen=True, slots=True)
class MeanReading:
    """The mean of readings on a circle.

    Attributes
    ----------
    mean_reading : float
        From 0 to a full turn. [rad]
    resultant_length : float
        Length of the mean of unit vectors. [1]
    circular_deviation : float
        Standard deviation on the circle. [rad]
    """

    mean_reading: Radian
    resultant_length: Pure
    circular_deviation: Radian


@dataclass(frozen=True, slots=True)
class KeywayChoice:
    """The keyway in stock that comes nearest.

    Attributes
    ----------
    keyway_number : float or ndarray
        Its place in the list, counted from 1. [1]
    keyway_advance : float or ndarray
        The advance that it gives. [rad]
    corrected_centreline : float or ndarray
        Where the intake centreline comes to stand. [rad]
    remaining_error : float or ndarray
        That less what is wanted; positive is late. [rad]
    """

    keyway_number: Pure
    keyway_advance: Radian
    corrected_centreline: Radian
    remaining_error: Radian


def angle_after_dead_centre(quadrant_reading: Radian, wheel_side: str) -> Radian:
    r"""Reading of a wheel that is marked from its dead centres, as an angle after top dead centre.

    .. math:: \theta,\quad -\theta,\quad \pi + \theta,\quad \pi - \theta

    Parameters
    ----------
    quadrant_reading : float or array_like
        As the wheel shows it. [rad]
    wheel_side : str
        What it counts from: `ATDC`, `BTDC`, `ABDC` or `BBDC`.

    Returns
    -------
    float or ndarray
        From 0 to below a full turn. [rad]

    Raises
    ------
    OutOfRange
        The reading lies outside its range, or the side is none of the four.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(angle_after_dead_centre(38 * DEGREE, "BTDC") / DEGREE, 6))
    322.0

    References
    ----------
    .. [1] Definition.
    """
    reading = require("quadrant_reading", quadrant_reading)
    angles = {"ATDC": reading, "BTDC": -reading, "ABDC": math.pi + reading, "BBDC": math.pi - reading}
    if wheel_side not in angles:
        raise OutOfRange(
            f"wheel_side {wheel_side!r}",
            None,
            f"one of {', '.join(WHEEL_SIDES)}",
            advice="Look which dead centre the wheel counts from there, and in which direction",
        )
    return once_round(angles[wheel_side])


def dead_centre_by_stop(first_stop_reading: Radian, second_stop_reading: Radian) -> DeadCentre:
    r"""True top dead centre from the two readings at which the piston meets a positive stop.

    .. math:: \theta_0 = \theta_1 + \tfrac12 \operatorname{wrap}(\theta_2 - \theta_1)

    The middle of the shorter arc: the stop holds the piston nearer to top than to bottom dead centre.

    Parameters
    ----------
    first_stop_reading, second_stop_reading : float or array_like
        What the wheel shows at the stop, coming from either side; their order does not matter. [rad]

    Returns
    -------
    DeadCentre
        [rad]

    Raises
    ------
    OutOfRange
        A reading lies outside its range, or the two lie opposite each other, so that the middle could be
        either dead centre.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = dead_centre_by_stop(322 * DEGREE, 42 * DEGREE)
    >>> print(round(found.dead_centre_reading / DEGREE, 6), round(found.stop_angle / DEGREE, 6))
    2.0 40.0

    References
    ----------
    .. [1] Symmetry of the slider-crank about its dead centre; a pin offset is measured with the piston's own.
    """
    first = require("first_stop_reading", first_stop_reading)
    second = require("second_stop_reading", second_stop_reading)
    arc = either_side(second - first)
    require_between(
        "arc between the stop readings",
        np.abs(arc),
        Range(0.0, math.pi - SAME),
        "rad",
        source="half a turn apart, the middle may be either dead centre",
        advice="Set the stop so that it meets the piston nearer to top dead centre",
    )
    reading = middle(first, second)
    return DeadCentre(
        dead_centre_reading=reading, wheel_error=either_side(reading), stop_angle=np.abs(arc) / 2.0
    )


def corrected_reading(wheel_reading: Radian, wheel_error: Radian) -> Radian:
    r"""A reading less the wheel's error.

    .. math:: (\theta - \theta_0) \bmod 2\pi

    Parameters
    ----------
    wheel_reading : float or array_like
        As the wheel shows it. [rad]
    wheel_error : float or array_like
        What it shows at true top dead centre. [rad]

    Returns
    -------
    float or ndarray
        After top dead centre, from 0 to below a full turn. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(corrected_reading(1 * DEGREE, 2 * DEGREE) / DEGREE, 6))
    359.0

    References
    ----------
    .. [1] Definition.
    """
    reading = require("wheel_reading", wheel_reading)
    return once_round(reading - require("wheel_error", wheel_error))


def mean_reading(readings: Radian) -> MeanReading:
    r"""Mean of readings on a circle, with their spread.

    .. math:: \bar\theta = \arg \sum e^{i\theta_k},\quad R = \tfrac1n |\sum e^{i\theta_k}|,\quad
        \sigma = \sqrt{-2 \ln R}

    Parameters
    ----------
    readings : array_like
        One dimension. [rad]

    Returns
    -------
    MeanReading
        Mean [rad], resultant length [1] and deviation [rad].

    Raises
    ------
    OutOfRange
        A reading lies outside its range, or the readings point all round and have no mean.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = mean_reading((359 * DEGREE, 1 * DEGREE, 3 * DEGREE))
    >>> print(round(found.mean_reading / DEGREE, 6), round(found.circular_deviation / DEGREE, 3))
    1.0 1.633

    References
    ----------
    .. [1] Mardia and Jupp, Directional Statistics, chapter 2 (from memory; tested against SciPy).
    """
    angles = np.atleast_1d(require("readings", readings))
    resultant = np.exp(1j * angles).mean(axis=0)
    length = np.minimum(np.abs(resultant), 1.0)
    require_between(
        "resultant length of the readings",
        length,
        Range(SAME, 1.0),
        source="readings that cancel each other have no mean",
        advice="Look for a reading of the wrong dead centre",
    )
    return MeanReading(
        mean_reading=once_round(np.angle(resultant)),
        resultant_length=length,
        circular_deviation=np.sqrt(-2.0 * np.log(length)),
    )


def centre_of_equal_lifts(opening_reading: Radian, closing_reading: Radian) -> LobeCentre:
    r"""Centre of a lobe from readings of the same lift on either side of its nose.

    .. math:: \theta_c = a + \tfrac12 ((b - a) \bmod 2\pi)

    For intake and exhaust lobes, and for wheels that begin anew at a full turn.

    Parameters
    ----------
    opening_reading : float or array_like
        a, where the lift is passed going up. [rad]
    closing_reading : float or array_like
        b, where the same lift is passed going down, later in the running direction. [rad]

    Returns
    -------
    LobeCentre
        [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = centre_of_equal_lifts(356 * DEGREE, 218 * DEGREE)
    >>> print(round(found.lobe_centre / DEGREE, 6), round(found.equal_lift_duration / DEGREE, 6))
    107.0 222.0

    References
    ----------
    .. [1] Middle of two points of equal lift.
    """
    opening = require("opening_reading", opening_reading)
    duration = once_round(require("closing_reading", closing_reading) - opening)
    return LobeCentre(lobe_centre=once_round(opening + duration / 2.0), equal_lift_duration=duration)


def intake_readings(opening_reading: Radian, closing_reading: Radian) -> IntakeReadings:
    r"""Events and duration of an intake lobe from two readings at its checking height.

    .. math:: IVO = -a,\quad IVC = b - \pi,\quad D = (b - a) \bmod 2\pi

    Parameters
    ----------
    opening_reading : float or array_like
        a, where the checking height is passed going up, after top dead centre. [rad]
    closing_reading : float or array_like
        b, where it is passed going down, after the same top dead centre. [rad]

    Returns
    -------
    IntakeReadings
        [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = intake_readings(3 * DEGREE, 221 * DEGREE)
    >>> print([round(event / DEGREE) for event in (found.intake_opens, found.intake_closes)])
    [-3, 41]

    References
    ----------
    .. [1] Definition.
    """
    opening = require("opening_reading", opening_reading)
    closing = require("closing_reading", closing_reading)
    return IntakeReadings(
        intake_opens=either_side(-opening),
        intake_closes=either_side(closing - math.pi),
        intake_duration=once_round(closing - opening),
    )


def exhaust_readings(opening_reading: Radian, closing_reading: Radian) -> ExhaustReadings:
    r"""Events and duration of an exhaust lobe from two readings at its checking height.

    .. math:: EVO = -\pi - a,\quad EVC = b,\quad D = (b - a) \bmod 2\pi

    Parameters
    ----------
    opening_reading : float or array_like
        a, where the checking height is passed going up, after top dead centre. [rad]
    closing_reading : float or array_like
        b, where it is passed going down. [rad]

    Returns
    -------
    ExhaustReadings
        [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = exhaust_readings(132 * DEGREE, 356 * DEGREE)
    >>> print([round(event / DEGREE) for event in (found.exhaust_opens, found.exhaust_closes)])
    [48, -4]

    References
    ----------
    .. [1] Definition.
    """
    opening = require("opening_reading", opening_reading)
    closing = require("closing_reading", closing_reading)
    return ExhaustReadings(
        exhaust_opens=either_side(-math.pi - opening),
        exhaust_closes=either_side(closing),
        exhaust_duration=once_round(closing - opening),
    )


def lobe_asymmetry(
    lower_opening_reading: Radian,
    upper_opening_reading: Radian,
    upper_closing_reading: Radian,
    lower_closing_reading: Radian,
) -> LobeAsymmetry:
    r"""How the opening side of a lobe differs from its closing side, between two lifts.

    .. math:: F_o = a_u - a_l,\quad F_c = b_l - b_u,\quad \Delta\theta_c = (F_c - F_o) / 2

    Parameters
    ----------
    lower_opening_reading : float or array_like
        a_l, where the lower lift is passed going up. [rad]
    upper_opening_reading : float or array_like
        a_u, where the upper lift is passed going up. [rad]
    upper_closing_reading : float or array_like
        b_u, where the upper lift is passed going down. [rad]
    lower_closing_reading : float or array_like
        b_l, where the lower lift is passed going down. [rad]

    Returns
    -------
    LobeAsymmetry
        [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = lobe_asymmetry(358 * DEGREE, 34 * DEGREE, 184 * DEGREE, 222 * DEGREE)
    >>> print(round(found.opening_flank / DEGREE), round(found.closing_flank / DEGREE))
    36 38

    References
    ----------
    .. [1] Definition.
    """
    opening = once_round(
        require("upper_opening_reading", upper_opening_reading)
        - require("lower_opening_reading", lower_opening_reading)
    )
    closing = once_round(
        require("lower_closing_reading", lower_closing_reading)
        - require("upper_closing_reading", upper_closing_reading)
    )
    return LobeAsymmetry(
        opening_flank=opening, closing_flank=closing, centre_shift=either_side(closing - opening) / 2.0
    )


def choose_keyway(intake_centreline: Radian, wanted_centreline: Radian, keyways: Radian) -> KeywayChoice:
    r"""The keyway in stock that brings the intake centreline nearest to what is wanted.

    .. math:: \min_k |ICL - a_k - ICL_{wanted}|

    Advance is positive and takes degrees off the centreline. Of two that come equally near, the one that
    moves the camshaft less, then the earlier one in the list.

    Parameters
    ----------
    intake_centreline : float or array_like
        As measured with the straight-up keyway, after top dead centre. [rad]
    wanted_centreline : float or array_like
        [rad]
    keyways : array_like
        Advance of each keyway, retard negative; one dimension. [rad]

    Returns
    -------
    KeywayChoice
        One for each centreline.

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = choose_keyway(112 * DEGREE, 109 * DEGREE, (0, 2 * DEGREE, 4 * DEGREE, -2 * DEGREE))
    >>> print(found.keyway_number, round(found.remaining_error / DEGREE, 6))
    2.0 1.0

    References
    ----------
    .. [1] Search over the list.
    """
    measured = np.asarray(require("intake_centreline", intake_centreline))
    wanted = np.asarray(require("wanted_centreline", wanted_centreline))
    moves = np.atleast_1d(require("keyways", keyways))
    error = (measured - wanted)[..., np.newaxis] - moves
    rounded = np.round(np.abs(error) / SAME)
    nearest = rounded == rounded.min(axis=-1, keepdims=True)
    chosen = np.where(nearest, np.abs(moves), np.inf).argmin(axis=-1)
    advance = moves[chosen]
    return KeywayChoice(
        keyway_number=(chosen + 1.0)[()],
        keyway_advance=advance[()],
        corrected_centreline=(measured - advance)[()],
        remaining_error=(measured - advance - wanted)[()],
    )
