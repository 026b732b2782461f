"""Valve timing: from the cam card to the valve events and back, and centrelines from a degree wheel.

All angles are crank angles. Opening events are positive before, closing events positive after their dead
centre; a negative event is on the other side of it and is legal everywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Radian, RadianPerSecond, Range, Second, require_between


@dataclass(frozen=True, slots=True)
class ValveEvents:
    """The four events of a camshaft at one checking height, crank angles.

    Attributes
    ----------
    intake_opens : float or ndarray
        Before top dead centre. [rad]
    intake_closes : float or ndarray
        After bottom dead centre. [rad]
    exhaust_opens : float or ndarray
        Before bottom dead centre. [rad]
    exhaust_closes : float or ndarray
        After top dead centre. [rad]
    """

    intake_opens: Radian
    intake_closes: Radian
    exhaust_opens: Radian
    exhaust_closes: Radian


@dataclass(frozen=True, slots=True)
class CardTiming:
    """The timing that a cam card states, at one checking height.

    Attributes
    ----------
    intake_duration, exhaust_duration : float or ndarray
        Crank angle. [rad]
    intake_centreline : float or ndarray
        After top dead centre, crank angle. [rad]
    exhaust_centreline : float or ndarray
        Before top dead centre, crank angle. [rad]
    lobe_separation : float or ndarray
        Cam angle. [rad]
    advance : float or ndarray
        Lobe separation less intake centreline, crank angle. [rad]
    overlap : float or ndarray
        Both valves open, crank angle; negative is normal at a high checking height. [rad]
    """

    intake_duration: Radian
    exhaust_duration: Radian
    intake_centreline: Radian
    exhaust_centreline: Radian
    lobe_separation: Radian
    advance: Radian
    overlap: Radian


@dataclass(frozen=True, slots=True)
class MovedTiming:
    """Events and centrelines of a camshaft that stands earlier or later than stated, crank angles.

    Attributes
    ----------
    intake_opens : float or ndarray
        [rad]
    intake_closes : float or ndarray
        [rad]
    exhaust_opens : float or ndarray
        [rad]
    exhaust_closes : float or ndarray
        [rad]
    overlap : float or ndarray
        It does not change. [rad]
    intake_centreline : float or ndarray
        [rad]
    exhaust_centreline : float or ndarray
        [rad]
    """

    intake_opens: Radian
    intake_closes: Radian
    exhaust_opens: Radian
    exhaust_closes: Radian
    overlap: Radian
    intake_centreline: Radian
    exhaust_centreline: Radian


def valve_events(
    intake_duration: Radian,
    exhaust_duration: Radian,
    intake_centreline: Radian,
    exhaust_centreline: Radian,
) -> ValveEvents:
    r"""Valve events from a card with symmetrical lobes.

    .. math::

        IVO = D_i/2 - ICL,\quad IVC = D_i/2 + ICL - 180,\quad
        EVO = D_e/2 + ECL - 180,\quad EVC = D_e/2 - ECL

    An asymmetrical lobe has its centre 1 to 4 degrees off the middle of its events: take the events of the
    card instead.

    Parameters
    ----------
    intake_duration, exhaust_duration : float or array_like
        At one checking height, crank angle. [rad]
    intake_centreline : float or array_like
        After top dead centre, crank angle. [rad]
    exhaust_centreline : float or array_like
        Before top dead centre, crank angle. [rad]

    Returns
    -------
    ValveEvents
        Signed crank angles. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> events = valve_events(218 * DEGREE, 226 * DEGREE, 109 * DEGREE, 117 * DEGREE)
    >>> print(round(events.intake_closes / DEGREE, 3), round(events.exhaust_closes / DEGREE, 3))
    38.0 -4.0

    References
    ----------
    .. [1] Definition of the events of a symmetrical lobe.
    """
    intake_half = require("intake_duration", intake_duration) / 2.0
    exhaust_half = require("exhaust_duration", exhaust_duration) / 2.0
    intake_centreline = require("intake_centreline", intake_centreline)
    exhaust_centreline = require("exhaust_centreline", exhaust_centreline)
    return ValveEvents(
        intake_opens=intake_half - intake_centreline,
        intake_closes=intake_half + intake_centreline - math.pi,
        exhaust_opens=exhaust_half + exhaust_centreline - math.pi,
        exhaust_closes=exhaust_half - exhaust_centreline,
    )


def moved_timing(
    intake_duration: Radian,
    exhaust_duration: Radian,
    lobe_separation: Radian,
    intake_centreline: Radian,
    added_advance: Radian = 0.0,
) -> MovedTiming:
    r"""Events of a single camshaft that is advanced or retarded as a whole.

    .. math:: ICL' = ICL - a,\quad ECL' = 2 LSA - ICL + a

    Every event comes earlier by the advance; separation and overlap stay.

    Parameters
    ----------
    intake_duration, exhaust_duration : float or array_like
        At one checking height, crank angle. [rad]
    lobe_separation : float or array_like
        LSA, cam angle. [rad]
    intake_centreline : float or array_like
        ICL, before it is moved, crank angle after top dead centre. [rad]
    added_advance : float or array_like, optional
        a, crank angle; negative retards. [rad]

    Returns
    -------
    MovedTiming
        Signed crank angles. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or a centreline leaves its range.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> moved = moved_timing(220 * DEGREE, 224 * DEGREE, 112 * DEGREE, 108 * DEGREE, 4 * DEGREE)
    >>> print(round(moved.intake_closes / DEGREE, 3), round(moved.overlap / DEGREE, 3))
    34.0 -2.0

    References
    ----------
    .. [1] Definition.
    """
    intake = require("intake_centreline", intake_centreline)
    exhaust = exhaust_centreline(lobe_separation, intake)
    earlier = require("added_advance", added_advance)
    events = valve_events(intake_duration, exhaust_duration, intake - earlier, exhaust + earlier)
    return MovedTiming(
        intake_opens=events.intake_opens,
        intake_closes=events.intake_closes,
        exhaust_opens=events.exhaust_opens,
        exhaust_closes=events.exhaust_closes,
        overlap=events.intake_opens + events.exhaust_closes,
        intake_centreline=intake - earlier,
        exhaust_centreline=exhaust + earlier,
    )


def card_timing(
    intake_opens: Radian, intake_closes: Radian, exhaust_opens: Radian, exhaust_closes: Radian
) -> CardTiming:
    r"""Durations, centrelines, separation, advance and overlap from the four events.

    .. math::

        D = 180 + \mathrm{opens} + \mathrm{closes},\quad ICL = (IVC + 180 - IVO)/2,\quad
        ECL = (EVO + 180 - EVC)/2

    Parameters
    ----------
    intake_opens : float or array_like
        Before top dead centre, crank angle. [rad]
    intake_closes : float or array_like
        After bottom dead centre, crank angle. [rad]
    exhaust_opens : float or array_like
        Before bottom dead centre, crank angle. [rad]
    exhaust_closes : float or array_like
        After top dead centre, crank angle. [rad]

    Returns
    -------
    CardTiming
        The centrelines are the middles of the events. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> card = card_timing(0.0, 38 * DEGREE, 50 * DEGREE, -4 * DEGREE)
    >>> print(round(card.lobe_separation / DEGREE, 3), round(card.overlap / DEGREE, 3))
    113.0 -4.0

    References
    ----------
    .. [1] Inverse of `valve_events`.
    """
    intake_opens = require("intake_opens", intake_opens)
    intake_closes = require("intake_closes", intake_closes)
    exhaust_opens = require("exhaust_opens", exhaust_opens)
    exhaust_closes = require("exhaust_closes", exhaust_closes)
    intake_centreline = (intake_closes + math.pi - intake_opens) / 2.0
    exhaust_centreline = (exhaust_opens + math.pi - exhaust_closes) / 2.0
    separation = (intake_centreline + exhaust_centreline) / 2.0
    return CardTiming(
        intake_duration=math.pi + intake_opens + intake_closes,
        exhaust_duration=math.pi + exhaust_opens + exhaust_closes,
        intake_centreline=intake_centreline,
        exhaust_centreline=exhaust_centreline,
        lobe_separation=separation,
        advance=separation - intake_centreline,
        overlap=intake_opens + exhaust_closes,
    )


def exhaust_centreline(lobe_separation: Radian, intake_centreline: Radian) -> Radian:
    r"""Exhaust centreline of a cam from its lobe separation and its intake centreline.

    .. math:: ECL = 2 LSA - ICL

    Parameters
    ----------
    lobe_separation : float or array_like
        Cam angle; the same number as the mean of both centrelines in crank angle. [rad]
    intake_centreline : float or array_like
        After top dead centre, crank angle. [rad]

    Returns
    -------
    float or ndarray
        Before top dead centre, crank angle. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(exhaust_centreline(113 * DEGREE, 109 * DEGREE) / DEGREE, 3))
    117.0

    References
    ----------
    .. [1] Definition of the lobe separation.
    """
    return 2.0 * require("lobe_separation", lobe_separation) - require("intake_centreline", intake_centreline)


def lobe_separation(intake_centreline: Radian, exhaust_centreline: Radian) -> Radian:
    r"""Lobe separation from the two centrelines.

    .. math:: LSA = (ICL + ECL) / 2

    Parameters
    ----------
    intake_centreline : float or array_like
        ICL, after top dead centre, crank angle. [rad]
    exhaust_centreline : float or array_like
        ECL, before top dead centre, crank angle. [rad]

    Returns
    -------
    float or ndarray
        Cam angle; an advance of the whole camshaft does not change it. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(lobe_separation(108 * DEGREE, 116 * DEGREE) / DEGREE, 3))
    112.0

    References
    ----------
    .. [1] Half the crank angle between the centrelines, which is as many degrees of the cam.
    """
    intake = require("intake_centreline", intake_centreline)
    return (intake + require("exhaust_centreline", exhaust_centreline)) / 2.0


def overlap_of_durations(
    intake_duration: Radian, exhaust_duration: Radian, lobe_separation: Radian
) -> Radian:
    r"""Overlap from the durations and the lobe separation alone.

    .. math:: (D_i + D_e) / 2 - 2 LSA

    Parameters
    ----------
    intake_duration, exhaust_duration : float or array_like
        At one checking height, crank angle. [rad]
    lobe_separation : float or array_like
        Cam angle. [rad]

    Returns
    -------
    float or ndarray
        Crank angle; negative where the exhaust closes before the intake opens. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(overlap_of_durations(270 * DEGREE, 276 * DEGREE, 110 * DEGREE) / DEGREE, 3))
    53.0

    References
    ----------
    .. [1] Sum of the events of symmetrical lobes.
    """
    mean = (require("intake_duration", intake_duration) + require("exhaust_duration", exhaust_duration)) / 2.0
    return mean - 2.0 * require("lobe_separation", lobe_separation)


def open_time(duration: Radian, engine_speed: RadianPerSecond) -> Second:
    r"""Time for which a valve is open.

    .. math:: t = D / \omega

    Parameters
    ----------
    duration : float or array_like
        D, crank angle. [rad]
    engine_speed : float or array_like
        omega, of the crank; above 0. [rad/s]

    Returns
    -------
    float or ndarray
        [s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the engine stands still.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(open_time(270 * DEGREE, 6000 * math.pi / 30) * 1e3, 3))
    7.5

    References
    ----------
    .. [1] Definition.
    """
    angle = require("duration", duration)
    speed = require_between(
        "engine_speed",
        require("engine_speed", engine_speed),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
    )
    return angle / speed


def overlap(intake_opens: Radian, exhaust_closes: Radian) -> Radian:
    r"""Overlap: how long both valves are open.

    .. math:: IVO + EVC

    Negative where the exhaust closes before the intake opens; that is normal at a high checking height.

    Parameters
    ----------
    intake_opens : float or array_like
        Before top dead centre, crank angle. [rad]
    exhaust_closes : float or array_like
        After top dead centre, crank angle, at the same checking height. [rad]

    Returns
    -------
    float or ndarray
        Crank angle. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(overlap(26 * DEGREE, 22 * DEGREE) / DEGREE, 3))
    48.0

    References
    ----------
    .. [1] Definition.
    """
    return require("intake_opens", intake_opens) + require("exhaust_closes", exhaust_closes)


def intake_centreline(opening_reading: Radian, closing_reading: Radian) -> Radian:
    r"""Intake centreline from two readings of a degree wheel at the same lift.

    .. math:: ICL = (a + b) / 2

    True of a symmetrical lobe; an asymmetrical one comes out 1 to 3 degrees off.

    Parameters
    ----------
    opening_reading : float or array_like
        a, where the lift is passed going up, after top dead centre; negative is before. [rad]
    closing_reading : float or array_like
        b, where the same lift is passed going down, after the same top dead centre. [rad]

    Returns
    -------
    float or ndarray
        After top dead centre, crank angle. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(intake_centreline(68 * DEGREE, 146 * DEGREE) / DEGREE, 3))
    107.0

    References
    ----------
    .. [1] Middle of two points of equal lift.
    """
    opening_reading = require("opening_reading", opening_reading)
    return (opening_reading + require("closing_reading", closing_reading)) / 2.0


def installed_advance(card_centreline: Radian, intake_centreline: Radian) -> Radian:
    r"""How much earlier than its card a camshaft stands in the engine.

    .. math:: ICL_{card} - ICL

    Parameters
    ----------
    card_centreline : float or array_like
        Intake centreline on the card, after top dead centre, crank angle. [rad]
    intake_centreline : float or array_like
        Intake centreline as measured, after top dead centre, crank angle. [rad]

    Returns
    -------
    float or ndarray
        Crank angle; positive is early (advanced), negative late. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(installed_advance(109 * DEGREE, 107 * DEGREE) / DEGREE, 3))
    2.0

    References
    ----------
    .. [1] Definition.
    """
    return require("card_centreline", card_centreline) - require("intake_centreline", intake_centreline)
