"""What a valve train does at engine speeds: contact, landing, bounce, surge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation import train_rows as r
from tappetry.simulation.train import Array, Train, at_rest, longest_step

FOLLOWED = 0.1
"""The train is to follow where the lobe lifts more than this share of its whole lift."""

TURN = 4.0 * math.pi
DEGREES = np.arange(1, 721)
ANGLES = (DEGREES / 720.0 - 0.5) * TURN
"""Crank angles from the nose at which traces are told. [rad]"""

BASE_CIRCLE = math.radians(270.0)
"""Crank angle from the nose beyond which every lobe is at rest. [rad]"""

TRACED = (r.LIFT, r.CAM_FORCE, r.FOOT_FORCE, r.MIDDLE)
"""Signals that are kept by degrees."""

JOINTS = ("cam", "pushrod", "valve tip")


@dataclass(frozen=True, slots=True)
class Steps:
    """How a train is stepped.

    Attributes
    ----------
    share : float
        Longest step over the longest that is stable. [1]
    settling : float
        Time that passes, at least, before the turn of the cam that is watched. [s]
    """

    share: float = 0.7
    settling: float = 0.15

    def __post_init__(self) -> None:
        """Refuse what is not stable, or begins from rest."""
        if not 0.0 < self.share <= 1.0:
            raise ValueError(f"share {self.share} of a stable step is outside 0..1")
        if not 0.0 < self.settling < math.inf:
            raise ValueError(f"settling {self.settling} s must be above 0: the first turn starts from rest")


@dataclass(frozen=True, slots=True)
class Motion:
    """A valve train at several engine speeds; every array has a value for each, or a row.

    Attributes
    ----------
    engine_speed : ndarray
        [rad/s]
    least_force : ndarray
        Least force of all joints while the train is to follow the lobe, each at its own place. [N]
    least_angle : ndarray
        Crank angle from the nose at which that is. [rad]
    least_joint : tuple of str
        Which one: cam, pushrod or valve tip.
    apart : ndarray
        Crank angle without touch somewhere, while the train is to follow the lobe. [rad]
    most_force : ndarray
        Greatest force of the lobe on its follower. [N]
    lift_error : ndarray
        Greatest lift of the valve over that of a rigid train, less the latter, by size. [m]
    seating_speed : ndarray
        Of the valve when it first lands after the nose; NaN where it does not. [m/s]
    bounce : ndarray
        How far the valve comes up again after landing. [m]
    coil_swing : ndarray, shape (speeds, 720)
        Place of the spring's middle coil beyond its share of the valve's lift, at `ANGLES`. [m]
    seat_swing : ndarray
        Half of the swing of the spring's force on the head beyond `BASE_CIRCLE`. [N]
    plunger_rise : ndarray
        By how much a hydraulic lifter is longer at the end of the cycle than at rest. [m]
    cam_work : ndarray
        What the lobe puts into the train in a turn of the cam, and damping takes. [J]
    change : ndarray
        Greatest change of valve lift from the cycle before to the last. [m]
    valve_lift, cam_force : ndarray, shape (speeds, 720)
        At `ANGLES`. [m], [N]
    steps : ndarray
        Steps of a cycle.
    """

    engine_speed: Array
    least_force: Array
    least_angle: Array
    least_joint: tuple[str, ...]
    apart: Array
    most_force: Array
    lift_error: Array
    seating_speed: Array
    bounce: Array
    coil_swing: Array
    seat_swing: Array
    plunger_rise: Array
    cam_work: Array
    change: Array
    valve_lift: Array
    cam_force: Array
    steps: NDArray[np.int64]

    @property
    def surge(self) -> Array:
        """Amplitude of the middle coil's swing by order of the cam, shape (speeds, 361). [m]"""
        return np.abs(np.fft.rfft(self.coil_swing, axis=1)) * (2.0 / 720.0)


def rigid_lift(train: Train, angle: Array) -> Array:
    """Lift of the valve if nothing bent or parted, at crank angles from the nose. [m]"""
    return np.maximum(train.rocker_ratio * train.lobe(angle)[0] - train.lash, 0.0)


def steps_in_degree(engine_speed: Array, longest: float) -> NDArray[np.int64]:
    """Steps in a degree for each speed: whole, and none longer than a time."""
    return np.ceil(math.pi / 180.0 / engine_speed / longest).astype(np.int64)


def cycles_of(steps: int, longest: float, settling: float) -> int:
    """Turns of the cam that last, but for the last, at least a time where each has so many steps at least."""
    return 1 + math.ceil(settling / (steps * longest))


def begun(train: Train, p: Array, engine_speed: Array, per_degree: int) -> Array:
    """The buffer of a train at rest, for `LANES` speeds.

    Returns
    -------
    ndarray, shape (PLACES / LANES, LANES)
        A row for each quantity.
    """
    s = np.zeros((r.PLACES // r.LANES, r.LANES))
    places, column = at_rest(train, p)
    step = math.pi / 180.0 / per_degree / engine_speed

    def rows(place: int, count: int) -> Array:
        return s[place // r.LANES : place // r.LANES + count]

    rows(r.PLACE, r.BODIES)[:] = places[:, None]
    rows(r.STEP, r.BODIES)[:], rows(r.HALF, r.BODIES)[:] = step, 0.5 * step
    rows(r.COLUMN, 1)[:], rows(r.SPEED, 1)[:] = column, engine_speed
    return s


def move(train: Train, engine_speed: Sequence[float] | Array, steps: Steps | None = None) -> Motion:
    """A valve train at engine speeds, each begun at rest.

    Parameters
    ----------
    train : Train
    engine_speed : sequence of float
        Of the crank, above 0. [rad/s]
    steps : Steps, optional

    Returns
    -------
    Motion
        The same for each speed whatever speeds stand beside it.

    Raises
    ------
    ValueError
        A speed is not above 0, or there is none.
    """
    from tappetry.simulation.train_kernels import by_degrees, turn, watch

    chosen = steps or Steps()
    speeds = np.asarray(engine_speed, dtype=np.float64)
    if speeds.size == 0 or not np.all(np.isfinite(speeds) & (speeds > 0.0)):
        raise ValueError(f"engine_speed {engine_speed!r}: every speed must be above 0 rad/s")
    p = train.parameters()
    longest = chosen.share * longest_step(p)
    per_degree = steps_in_degree(speeds, longest)
    watched, columns = np.empty((r.WATCHED, speeds.size)), np.empty(speeds.size)
    traces, before = np.empty((len(TRACED), speeds.size, 720)), np.empty((speeds.size, 720))
    found = np.empty((r.WATCHED, r.LANES))
    room = np.empty((720 * int(np.max(per_degree)), r.SIGNALS, r.LANES))
    for count in np.unique(per_degree):
        n = 720 * int(count)
        cycles = cycles_of(n, longest, chosen.settling)
        lift, slope = train.lobe((np.arange(n + 1) / n - 0.5) * TURN)
        high = np.flatnonzero(lift[1:] > FOLLOWED * np.max(lift))
        alike = np.flatnonzero(per_degree == count)
        history = room[:n]
        for start in range(0, alike.size, r.LANES):
            block = alike[start : start + r.LANES]
            s = begun(train, p, speeds[np.resize(block, r.LANES)], int(count))
            for left in reversed(range(cycles)):
                if left == 0:
                    by_degrees(history, r.LIFT, block, before)
                turn(s.reshape(-1), p, lift, slope, history.reshape(n, -1), left < 2)
            watch(history, slope, int(high[0]), int(high[-1]), found)
            watched[:, block] = found[:, : block.size]
            for trace, signal in zip(traces, TRACED, strict=True):
                by_degrees(history, signal, block, trace)
            columns[block] = s[r.COLUMN // r.LANES, : block.size]
    rise = columns - at_rest(train, p)[1]
    return _told(train, speeds, 720 * per_degree, watched, traces, before, rise)


def _told(
    train: Train,
    speeds: Array,
    steps: NDArray[np.int64],
    watched: Array,
    traces: Array,
    before: Array,
    rise: Array,
) -> Motion:
    """What the last cycles show, from what was watched and what they were by degrees."""
    meant = rigid_lift(train, ANGLES)
    lift, cam_force, foot_force, middle = traces
    least, at = watched[r.LEAST : r.LEAST + 3], watched[r.AT : r.AT + 3]
    joint, every = np.argmin(least, axis=0), np.arange(speeds.size)
    return Motion(
        engine_speed=speeds,
        least_force=least[joint, every],
        least_angle=((at[joint, every] + 1.0) / steps - 0.5) * TURN,
        least_joint=tuple(JOINTS[each] for each in joint),
        apart=watched[r.APART] / steps * TURN,
        most_force=watched[r.MOST],
        lift_error=np.max(np.abs(lift - meant), axis=1),
        seating_speed=np.where(watched[r.LANDED] > 0.0, watched[r.LANDING], np.nan),
        bounce=watched[r.BOUNCE],
        coil_swing=middle - (r.MASSES // 2 + 1) / r.SEGMENTS * lift,
        seat_swing=0.5 * np.ptp(foot_force[:, np.abs(ANGLES) > BASE_CIRCLE], axis=1),
        plunger_rise=rise,
        cam_work=watched[r.WORK] / steps * TURN,
        change=np.max(np.abs(lift - before), axis=1),
        valve_lift=lift,
        cam_force=cam_force,
        steps=steps,
    )
