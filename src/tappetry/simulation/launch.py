"""An engine against its converter: where it stalls, and what that leaves for the launch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.driving import launch_torque, stall_on_curve
from tappetry.engineering.ranges import OutOfRange
from tappetry.quantities.units import from_si
from tappetry.simulation.results import Point

AROUND_STALL = (0.7, 0.8, 0.9, 1.0, 1.1, 1.2)
"""Speeds over the stated stall, at which the engine is turned to find another one. [1]"""

RPM = math.pi / 30.0


@dataclass(frozen=True, slots=True)
class Converter:
    """What a converter takes with its output held, as its stated stall behind the factory's engine says.

    Attributes
    ----------
    reference_stall_speed, reference_torque : float
        [rad/s], [N.m]
    stall_torque_ratio : float or None
        Torque behind it over the engine's, at the stall. [1]
    """

    reference_stall_speed: float
    reference_torque: float
    stall_torque_ratio: float | None

    @property
    def capacity_factor(self) -> float:
        """The trade's K: rpm over the root of the torque in lbf.ft."""
        torque = from_si(self.reference_torque, "lbf.ft", "torque")
        return self.reference_stall_speed / RPM / math.sqrt(torque)


@dataclass(frozen=True, slots=True)
class Launch:
    """How an engine stands against its converter.

    Attributes
    ----------
    stall_speed, shift : float
        Of the engine, and by how much it is above the one with the factory's camshaft. [rad/s]
    torque : float
        Of the engine at the stall. [N.m]
    behind : float or None
        Torque behind the converter. [N.m]
    share : float
        Of the torque at the stall with the factory's camshaft. [1]
    """

    stall_speed: float
    shift: float
    torque: float
    behind: float | None
    share: float


def launch(converter: Converter, points: Sequence[Point]) -> Launch | None:
    """How an engine that was turned around the stall stands against a converter; None where it does not.

    Parameters
    ----------
    converter : Converter
    points : sequence of Point
        At full throttle, speeds rising.
    """
    try:
        found = stall_on_curve(
            np.array([point.engine_speed for point in points]),
            np.array([max(point.brake_torque, 0.0) for point in points]),
            converter.reference_torque,
            converter.reference_stall_speed,
        )
    except OutOfRange:
        return None
    speed, torque = float(found.stall_speed), float(found.stall_torque)
    ratio = converter.stall_torque_ratio
    return Launch(
        stall_speed=speed,
        shift=speed - converter.reference_stall_speed,
        torque=torque,
        behind=None if ratio is None else float(launch_torque(torque, ratio)),
        share=torque / converter.reference_torque,
    )
