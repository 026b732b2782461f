"""Fits a few stated constants of an engine to a torque curve that was measured on it, and says what moved.

Without it nothing is fitted. With it the constants move within limits that tables and textbooks leave them,
and each is held to where it stood as firmly as its limits are narrow: so a curve that says nothing of a
constant leaves it where it is. Camshaft, bench flow and geometry are never touched: what was found with one
camshaft holds for the others.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from tappetry.engineering.ranges import Range, require_between
from tappetry.simulation.cycle import Settling
from tappetry.simulation.engine import Engine, Mesh
from tappetry.simulation.network import Array
from tappetry.simulation.results import curve

MEASURED = 0.01
"""Relative doubt of a measured torque. [1]"""

FINE_SETTLING = Settling(change=5e-4)
"""Differences between curves are taken, so their cycles settle further than usual."""


@dataclass(frozen=True, slots=True)
class Constant:
    """A constant that may be fitted.

    Attributes
    ----------
    name : str
    low, high : float
        Between which it may move.
    read : callable
        Its value in an engine.
    put : callable
        The engine with another value.
    source : str
        Of the limits.
    """

    name: str
    low: float
    high: float
    read: Callable[[Engine], float]
    put: Callable[[Engine, float], Engine]
    source: str


def _with_runner_loss(engine: Engine, loss: float) -> Engine:
    return replace(engine, runner=replace(engine.runner, added_loss=loss))


def _with_tail_loss(engine: Engine, loss: float) -> Engine:
    return replace(engine, tail=replace(engine.tail, added_loss=loss))


def _with_completeness(engine: Engine, share: float) -> Engine:
    return replace(engine, burning=replace(engine.burning, completeness=share))


CONSTANTS = (
    Constant(
        "loss of the runner's entry and bends, over rho u2/2",
        0.1,
        1.5,
        lambda engine: engine.runner.added_loss,
        _with_runner_loss,
        "sharp or rounded entry, one to four bends (Idelchik; Miller; from memory)",
    ),
    Constant(
        "loss of the silencer, over rho u2/2",
        0.0,
        30.0,
        lambda engine: engine.tail.added_loss,
        _with_tail_loss,
        "an open pipe up to a restrictive silencer (common practice, no source)",
    ),
    Constant(
        "share of the fuel's heat that is set free",
        0.90,
        0.99,
        lambda engine: engine.burning.completeness,
        _with_completeness,
        "Heywood, chapter 3 (from memory)",
    ),
)


@dataclass(frozen=True, slots=True)
class Moved:
    """What became of a constant: before, after, and whether it stands at one of its limits."""

    name: str
    before: float
    after: float
    at_limit: bool


@dataclass(frozen=True, slots=True)
class Calibrated:
    """The outcome of a fit.

    Attributes
    ----------
    moved : tuple of Moved
        In the order of the constants.
    differences_before, differences_after : tuple of float
        Of torque at each speed, simulated over measured less 1. [1]
    constants : tuple of Constant
    """

    moved: tuple[Moved, ...]
    differences_before: tuple[float, ...]
    differences_after: tuple[float, ...]
    constants: tuple[Constant, ...]

    @property
    def misfit_before(self) -> float:
        """Root of the mean square of the differences. [1]"""
        return _root_mean_square(self.differences_before)

    @property
    def misfit_after(self) -> float:
        """The same after. [1]"""
        return _root_mean_square(self.differences_after)

    def of(self, engine: Engine) -> Engine:
        """An engine, such as the same one with another camshaft, with the constants that were found."""
        for constant, moved in zip(self.constants, self.moved, strict=True):
            engine = constant.put(engine, moved.after)
        return engine


def calibrate(
    engine: Engine,
    speeds: Sequence[float],
    torques: Sequence[float],
    mesh: Mesh | None = None,
    constants: tuple[Constant, ...] = CONSTANTS,
    told: Callable[[float], None] = lambda misfit: None,
) -> Calibrated:
    """Fit constants of an engine to its measured torque.

    Parameters
    ----------
    engine : Engine
        As it was measured.
    speeds, torques : sequence of float
        As many as there are constants, or more. [rad/s], [N.m]
    mesh : Mesh, optional
    constants : tuple of Constant
    told : callable
        Hears the misfit of each curve that is turned.

    Returns
    -------
    Calibrated

    Raises
    ------
    OutOfRange
        There are fewer speeds than constants, or a torque is not above 0.
    NotSettled
        Cycles do not repeat.
    """
    require_between(
        "measured speeds",
        len(speeds),
        Range(float(len(constants)), np.inf),
        source="a constant needs a point",
        advice="Measure more speeds, or fit fewer constants",
    )
    measured = np.asarray(torques, dtype=float)
    require_between("measured torque", float(np.min(measured)), Range(1e-3, np.inf), "N.m")
    low, high = (np.array([getattr(each, name) for each in constants]) for name in ("low", "high"))
    spread = 0.5 * (high - low)
    start = np.clip([each.read(engine) for each in constants], low, high)

    def differences(values: Array) -> Array:
        changed = engine
        for constant, value in zip(constants, values, strict=True):
            changed = constant.put(changed, float(value))
        points = curve(changed, speeds, mesh, FINE_SETTLING)
        found: Array = np.array([point.brake_torque for point in points]) / measured - 1.0
        told(_root_mean_square(found))
        return found

    def residuals(places: Array) -> Array:
        return np.concatenate([differences(start + places * spread) / MEASURED, places])

    fit = least_squares(
        residuals,
        np.zeros(len(constants)),
        bounds=((low - start) / spread - 1e-9, (high - start) / spread + 1e-9),
        diff_step=0.02,
        xtol=1e-3,
        ftol=1e-3,
        max_nfev=12,
    )
    after = np.clip(start + fit.x * spread, low, high)
    return Calibrated(
        tuple(
            Moved(
                each.name,
                each.read(engine),
                float(value),
                bool(min(value - each.low, each.high - value) < 1e-3 * (each.high - each.low)),
            )
            for each, value in zip(constants, after, strict=True)
        ),
        tuple(float(each) for each in differences(start)),
        tuple(float(each) for each in differences(after)),
        constants,
    )


def _root_mean_square(values: Array | tuple[float, ...]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))
