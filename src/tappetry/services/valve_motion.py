"""Turns the valve trains of an engine at speed, for each spring: where they part and bounce, their limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.springs import surge_ratio
from tappetry.knowledge.motion import motion_version
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop
from tappetry.services.train_sources import Source
from tappetry.services.trains import Candidate, Side, Trains, describe_trains
from tappetry.simulation.train_limits import Onset, bounces, onset, parts
from tappetry.simulation.train_motion import Motion, Steps, move

Array = NDArray[np.float64]

RPM = math.pi / 30.0
SLOWEST, FASTEST, STEP = 1000.0, 8000.0, 50.0
"""Speeds over which onsets are looked for. [rpm]"""

WITHIN = 5.0
"""How closely an onset is wanted. [rpm]"""


@dataclass(frozen=True, slots=True)
class SideMotion:
    """The train of one valve over `SPEEDS`.

    Attributes
    ----------
    side : Side
    motion : Motion
    parts, bounces : Onset
        Where the train first leaves its lobe, and where the valve bounces.
    """

    side: Side
    motion: Motion
    parts: Onset
    bounces: Onset

    @property
    def onset(self) -> float:
        """The lower of both; infinite where neither happens. [rad/s]"""
        return min(self.parts.speed, self.bounces.speed)


@dataclass(frozen=True, slots=True)
class SpringMotion:
    """What the trains of one spring do; no sides where something keeps it from being turned."""

    candidate: Candidate
    sides: tuple[SideMotion, ...]

    @property
    def worst(self) -> SideMotion:
        """The valve that limits."""
        return min(self.sides, key=lambda side: side.onset)

    @property
    def onset(self) -> float:
        """The lowest speed at which a train parts or a valve bounces; infinite where none does. [rad/s]"""
        return self.worst.onset


@dataclass(frozen=True, slots=True)
class ValveMotion:
    """All springs of an engine with a camshaft, turned over the same speeds.

    Attributes
    ----------
    trains : Trains
    speeds : ndarray
        [rad/s]
    springs : tuple of SpringMotion
    steps : Steps
        How they were stepped.
    """

    trains: Trains
    speeds: Array
    springs: tuple[SpringMotion, ...]
    steps: Steps

    def limit(self, spring: SpringMotion) -> float:
        """The highest speed that may be used; infinite where nothing happens up to the last. [rad/s]"""
        return self.trains.speed_factor * spring.onset

    def order(self, spring: SpringMotion, speed: float) -> float:
        """Order of the cam that meets the spring's own frequency at a speed. [1]"""
        return float(surge_ratio(spring.sides[0].side.train.coils.surge_frequency, speed))


def simulate_valves(source: Source, springs: Sequence[str] = ()) -> ValveMotion:
    """Every spring that may stand in an engine, or those that are named, turned from slow to fast.

    Raises
    ------
    BadInput
        There is no such camshaft or spring, or something is not stated.
    """
    trains = describe_trains(source, tuple(springs))
    speeds = np.arange(SLOWEST, FASTEST + 0.5 * STEP, STEP) * RPM
    steps = Steps()
    springs_turned = tuple(
        SpringMotion(
            candidate, tuple(_turned(side, speeds, trains.bounce, steps) for side in candidate.sides)
        )
        for candidate in trains.candidates
    )
    return ValveMotion(trains, speeds, springs_turned, steps)


def _turned(side: Side, speeds: Array, height: float, steps: Steps) -> SideMotion:
    motion = move(side.train, speeds, steps)
    return SideMotion(
        side,
        motion,
        onset(side.train, motion, parts, WITHIN * RPM, steps),
        onset(side.train, motion, bounces(height), WITHIN * RPM, steps),
    )


def require_turned(speed: float) -> float:
    """A speed [rpm] at which a valve train is turned, before the work for it begins.

    Raises
    ------
    BadInput
        It is none.
    """
    if not SLOWEST <= speed <= FASTEST:
        where = Where("tappetry simulate", field="--speed")
        raise BadInput.at(
            where, "no valve train is turned at this speed", f"{speed:g}", f"{SLOWEST:g} to {FASTEST:g} rpm"
        )
    return speed


def at_speed(motion: ValveMotion, speed: float) -> ValveMotion:
    """The same springs at one speed, with the onsets that were found.

    Parameters
    ----------
    speed : float
        [rpm]

    Raises
    ------
    BadInput
        No such train is turned at this speed.
    """
    one = np.array([require_turned(speed) * RPM])
    springs = tuple(
        SpringMotion(
            spring.candidate,
            tuple(
                SideMotion(side.side, move(side.side.train, one, motion.steps), side.parts, side.bounces)
                for side in spring.sides
            ),
        )
        for spring in motion.springs
    )
    return ValveMotion(motion.trains, one, springs, motion.steps)


def valve_versions(shop: Shop) -> dict[str, str]:
    """The state of the shop's text, of its catalogue, and of what it assumes of valve trains."""
    return {
        "knowledge": shop.knowledge.version,
        "catalogue": shop.catalogue.version,
        "motion": motion_version(shop.text),
    }
