"""Calibrations that a shop owns: an engine fitted to a torque curve that was measured, kept under a name."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from tappetry.engineering.ranges import OutOfRange
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.services.breathing import Described, describe
from tappetry.services.curves import model_mark
from tappetry.services.files import named, names_in, save, unread
from tappetry.services.model_sources import SOURCES
from tappetry.services.shop import Shop
from tappetry.services.simulate import FASTEST, SLOWEST, versions
from tappetry.simulation.calibration import CONSTANTS, FINE_SETTLING, calibrate
from tappetry.simulation.cycle import NotSettled
from tappetry.simulation.engine import Mesh
from tappetry.simulation.network import GasLost

FOLDER = "calibrations"
COLUMNS = ["speed_rpm", "torque_nm"]
MOST_MISFIT = 0.10
"""What constants within their limits may leave unexplained of a curve that is this engine's: more than the
simulation of any of the invented engines is off, and less than pounds for newtons. [1]"""
RPM = math.pi / 30.0


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured torque curve: speeds in rpm, rising, and torque in N.m."""

    speeds: tuple[float, ...]
    torques: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Constant:
    """A constant that was fitted: from where to where, its limits and their source."""

    name: str
    before: float
    after: float
    at_limit: bool
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class Calibration:
    """An engine fitted to a measured curve.

    Attributes
    ----------
    name, variant, cam : str
    measured : Measured
    constants : tuple of Constant
    differences_before, differences_after : tuple of float
        Of torque at each speed, simulated over measured less 1. [1]
    misfit_before, misfit_after : float
        Roots of their mean squares. [1]
    made_with : dict
        Model, engine in numbers, mesh, settling, and the state of the shop's text.
    """

    name: str
    variant: str
    cam: str
    measured: Measured
    constants: tuple[Constant, ...]
    differences_before: tuple[float, ...]
    differences_after: tuple[float, ...]
    misfit_before: float
    misfit_after: float
    made_with: dict[str, Any]


def read_measured(file: Path) -> Measured:
    """A curve from a CSV file with the columns `speed_rpm` and `torque_nm`.

    Raises
    ------
    BadInput
        It cannot be read, or a line holds no such number.
    """
    try:
        lines = list(csv.reader(file.read_text(encoding="utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError) as error:
        expected = f"a CSV of {','.join(COLUMNS)}"
        raise BadInput.at(Where(str(file)), "the file cannot be read", unread(error), expected) from error
    if not lines or [each.strip() for each in lines[0]] != COLUMNS:
        read = ",".join(lines[0]) if lines else ""
        raise BadInput.at(Where(str(file), 1), "other columns are wanted", read, ",".join(COLUMNS))
    rows: list[tuple[float, float]] = []
    for number, line in enumerate(lines[1:], 2):
        if not any(cell.strip() for cell in line):
            continue
        try:
            speed, torque = (float(cell) for cell in line)
        except ValueError:
            where = Where(str(file), number)
            raise BadInput.at(where, "this is no speed and torque", ",".join(line), "two numbers") from None
        first = rows[-1][0] if rows else SLOWEST
        if not (first < speed or (not rows and speed == SLOWEST)) or not speed <= FASTEST:
            where = Where(str(file), number, COLUMNS[0])
            raise BadInput.at(
                where, "no such speed here", f"{speed:g}", f"rising, {first:g} to {FASTEST:g} rpm"
            )
        if not 0.0 < torque < 5000.0:
            where = Where(str(file), number, COLUMNS[1])
            raise BadInput.at(where, "no such torque", f"{torque:g}", "above 0, below 5000 N.m")
        rows.append((speed, torque))
    return Measured(tuple(row[0] for row in rows), tuple(row[1] for row in rows))


def calibrate_engine(
    shop: Shop, variant: str, cam: str, measured: Measured, name: str, told: Callable[[float], None]
) -> tuple[Calibration, Path]:
    """Fit an engine to a measured curve, and keep what was found in the shop's folder under a name.

    Parameters
    ----------
    shop : Shop
    variant, cam : str
        What was measured; the factory's camshaft where none is named.
    measured : Measured
    name : str
        Small letters, digits and hyphens; what is kept under it already is replaced.
    told : callable
        Hears the misfit of each curve that is turned. [1]

    Raises
    ------
    BadInput
        There is no such engine or camshaft, the name is none, or there are too few speeds.
    Refusal
        Cycles do not come to repeat, or no constants within their limits explain the curve: it is not kept.
    """
    file = named(shop.folder / FOLDER, name)
    described = describe(shop, variant, cam)
    mesh = Mesh()
    try:
        found = calibrate(
            described.engine, [speed * RPM for speed in measured.speeds], measured.torques, mesh, told=told
        )
    except OutOfRange as error:
        raise BadInput.at(Where("the measured curve"), str(error), len(measured.speeds)) from None
    except (NotSettled, GasLost) as error:
        raise Refusal(str(error), ways_out=["leave that speed out of the measured curve"]) from None
    if found.misfit_after > MOST_MISFIT:
        raise Refusal(
            f"The measured curve is not explained by the constants within their limits: torque is off by "
            f"{found.misfit_before:.0%} as stated and {found.misfit_after:.0%} at best, at most "
            f"{MOST_MISFIT:.0%}. Nothing is kept.",
            ways_out=[
                "state torque in N.m at the crankshaft, not at the wheels and not in lb.ft",
                "state it in the air of breathing.yaml, or bring it there by a standard's factor",
                "name the engine and the camshaft that were measured",
            ],
        )
    calibration = Calibration(
        name,
        variant,
        described.cam,
        measured,
        tuple(
            Constant(**asdict(moved), low=each.low, high=each.high, source=each.source)
            for moved, each in zip(found.moved, found.constants, strict=True)
        ),
        found.differences_before,
        found.differences_after,
        found.misfit_before,
        found.misfit_after,
        {
            "model": model_mark(),
            "versions": versions(shop),
            "sources": SOURCES,
            "engine": asdict(described.engine),
            "mesh": asdict(mesh),
            "settling": asdict(FINE_SETTLING),
        },
    )
    return calibration, save(file, json.dumps(asdict(calibration), indent=1, allow_nan=False).encode())


def kept_calibration(shop: Shop, name: str) -> Calibration:
    """A calibration by its name.

    Raises
    ------
    BadInput
        There is none of that name, or its file cannot be read.
    """
    file = named(shop.folder / FOLDER, name)
    if not file.exists():
        where = Where(str(file.parent))
        raise BadInput.at(where, "there is no such calibration", name, names_in(file.parent))
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        return Calibration(
            **{
                **data,
                "measured": Measured(*(tuple(data["measured"][each]) for each in ("speeds", "torques"))),
                "constants": tuple(Constant(**each) for each in data["constants"]),
                "differences_before": tuple(data["differences_before"]),
                "differences_after": tuple(data["differences_after"]),
            }
        )
    except (OSError, ValueError, KeyError, TypeError) as error:
        expected = "one that `tappetry calibrate` wrote"
        raise BadInput.at(Where(str(file)), "this is no calibration", unread(error), expected) from error


def calibrated(described: Described, calibration: Calibration) -> Described:
    """An engine, with this camshaft or another, with the constants that a calibration found.

    Raises
    ------
    BadInput
        It was found for another engine, or speaks of a constant that there is not.
    """
    if described.variant != calibration.variant:
        where = Where("--calibration")
        raise BadInput.at(where, "it is that of another engine", calibration.variant, described.variant)
    known = {each.name: each for each in CONSTANTS}
    engine = described.engine
    for constant in calibration.constants:
        if constant.name not in known:
            raise BadInput.at(
                Where("--calibration"), "no such constant is fitted", constant.name, "calibrate again"
            )
        engine = known[constant.name].put(engine, constant.after)
    return replace(described, engine=engine)


def remarks_of(calibration: Calibration) -> Sequence[str]:
    """What whoever uses a calibration should know."""
    said = [
        f"calibrated by {calibration.name}: measured with {calibration.cam}, misfit of torque "
        f"{calibration.misfit_before:.1%} before and {calibration.misfit_after:.1%} after"
    ]
    if calibration.made_with["model"] != model_mark():
        said.append("the calibration was found with another state of the model: calibrate again")
    return said
