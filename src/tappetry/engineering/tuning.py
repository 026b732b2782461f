"""Tuning of pipes by small waves: lengths, angles and the speeds that they help."""

from __future__ import annotations

import math

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Hertz,
    Metre,
    MetrePerSecond,
    Pure,
    Radian,
    RadianPerSecond,
    Range,
    Second,
    require_between,
)


def tuned_speed(helmholtz_frequency: Hertz, frequency_ratio: Pure) -> RadianPerSecond:
    r"""Engine speed that a runner of one cylinder helps most.

    .. math:: \omega = \frac{2 \pi f}{K}

    For the cylinder at half its stroke as the volume, with clearance, a K of 2.0 to 2.5 is common practice,
    no source.

    Parameters
    ----------
    helmholtz_frequency : float or array_like
        f, of runner and cylinder. [Hz]
    frequency_ratio : float or array_like
        K, tone over turns of the crank. [1]

    Returns
    -------
    float or ndarray
        Crank. [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(tuned_speed(180.0, 2.1) * 30 / math.pi))
    5143

    References
    ----------
    .. [1] Definition of the ratio.
    """
    turns = require("helmholtz_frequency", helmholtz_frequency) / require("frequency_ratio", frequency_ratio)
    return 2.0 * math.pi * turns


def tuned_length(wave_angle: Radian, engine_speed: RadianPerSecond, sound_speed: MetrePerSecond) -> Metre:
    r"""Length of pipe from which a wave comes back after an angle of the crank.

    .. math:: L = \frac{a\, \theta}{2 \omega}

    Parameters
    ----------
    wave_angle : float or array_like
        theta, from the wave's start to its return. [rad]
    engine_speed : float or array_like
        omega, above 0. [rad/s]
    sound_speed : float or array_like
        a, in the pipe. [m/s]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(tuned_length(120 * DEGREE, 6000 * math.pi / 30, 530.0), 3))
    0.883

    References
    ----------
    .. [1] A small wave there and back; the flow's own velocity is left out.
    """
    turning = require_between(
        "engine_speed",
        require("engine_speed", engine_speed),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
        source="an engine that stands still has no wave to tune",
    )
    time = require("wave_angle", wave_angle) / turning
    return require("sound_speed", sound_speed) * time / 2.0


def travel_time(pipe_length: Metre, sound_speed: MetrePerSecond) -> Second:
    r"""Time of a small wave to the end of a pipe and back.

    .. math:: t = 2 L / a

    Parameters
    ----------
    pipe_length : float or array_like
        L. [m]
    sound_speed : float or array_like
        a. [m/s]

    Returns
    -------
    float or ndarray
        [s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(travel_time(0.8, 530.0) * 1e3, 3))
    3.019

    References
    ----------
    .. [1] Definition of the speed of sound.
    """
    return 2.0 * require("pipe_length", pipe_length) / require("sound_speed", sound_speed)


def wave_angle(pipe_length: Metre, engine_speed: RadianPerSecond, sound_speed: MetrePerSecond) -> Radian:
    r"""Crank angle in which a small wave runs to the end of a pipe and back.

    .. math:: \theta = \frac{2 L \omega}{a}

    Parameters
    ----------
    pipe_length : float or array_like
        L. [m]
    engine_speed : float or array_like
        omega. [rad/s]
    sound_speed : float or array_like
        a, in the pipe. [m/s]

    Returns
    -------
    float or ndarray
        Crank. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(wave_angle(0.8, 6000 * math.pi / 30, 530.0) / DEGREE, 1))
    108.7

    References
    ----------
    .. [1] `travel_time` at the crank's speed; the flow's own velocity is left out.
    """
    return travel_time(pipe_length, sound_speed) * require("engine_speed", engine_speed)
