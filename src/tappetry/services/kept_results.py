"""Simulated results that a shop keeps with all that it takes to make them again, and whether they do."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any, TypeVar, get_type_hints

from tappetry.records.problems import BadInput, Where
from tappetry.services.breathing import Described, describe
from tappetry.services.calibrating import calibrated, kept_calibration
from tappetry.services.curves import model_mark, plain_point, point_of
from tappetry.services.files import named, names_in, require_place, save, unread
from tappetry.services.model_sources import SOURCES
from tappetry.services.shop import Shop
from tappetry.services.simulate import (
    JUST_SHUT,
    Simulated,
    Told,
    idle_described,
    rpm,
    simulate_described,
    versions,
)
from tappetry.simulation.cycle import Settling
from tappetry.simulation.engine import Mesh

T = TypeVar("T")

FOLDER = "results"
COMPARED = ("indicated_pressure", "manifold_pressure", "volumetric_efficiency", "fuel_flow", "peak_pressure")
"""By which two points are compared: what is never nought."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Curves as they were kept, in the order in which they were asked for.

    Attributes
    ----------
    found : tuple of Simulated
    throttle : float
        Open share. [1]
    calibrated_by : str
        Name of the calibration; empty where there was none.
    model : str
        Mark of the program text that simulates.
    versions : mapping
        Marks of the shop's text.
    """

    found: tuple[Simulated, ...]
    throttle: float
    calibrated_by: str
    model: str
    versions: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Again:
    """One curve turned again, as it was kept.

    Attributes
    ----------
    kept, now : Simulated
    same : bool
        Every number of every point, to the last digit.
    most, quantity, speed : float, str, float
        The greatest relative difference of what is compared, of what, and where. [1], name, [rpm]
    settled : float
        Up to which relative change cycles were settled. [1]
    text_says : str
        Whether the shop's text of today still describes that engine.
    """

    kept: Simulated
    now: Simulated
    same: bool
    most: float
    quantity: str
    speed: float
    settled: float
    text_says: str


def require_keepable(shop: Shop, name: str) -> Path:
    """The file of a result under a name, before the work for it begins.

    Raises
    ------
    BadInput
        The name is none, or the file cannot be written.
    """
    return require_place(named(shop.folder / FOLDER, name))


def keep_result(
    shop: Shop, name: str, found: Sequence[Simulated], throttle: float, calibrated_by: str | None
) -> Path:
    """Write what was simulated into the shop's folder, and return the file.

    Raises
    ------
    BadInput
        The name is none, or the file cannot be written.
    """
    return save(
        named(shop.folder / FOLDER, name),
        json.dumps(
            {
                "model": model_mark(),
                "versions": versions(shop),
                "sources": SOURCES,
                "throttle": throttle,
                "calibrated_by": calibrated_by or "",
                "curves": [
                    {
                        "described": asdict(each.described),
                        "mesh": asdict(each.mesh),
                        "settling": asdict(each.settling),
                        "points": [plain_point(point) for point in each.points],
                        "remarks": list(each.remarks),
                    }
                    for each in found
                ],
            },
            indent=1,
            allow_nan=False,
        ).encode(),
    )


def kept_result(shop: Shop, name: str) -> Kept:
    """What was kept under a name, or in a file.

    Raises
    ------
    BadInput
        There is none, or it cannot be read.
    """
    file = Path(name) if name.endswith(".json") else named(shop.folder / FOLDER, name)
    if not file.exists():
        where = Where(str(file.parent))
        raise BadInput.at(where, "there is no such result", name, names_in(file.parent))
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        found = tuple(_simulated(each) for each in data["curves"])
        if not found or not all(each.points for each in found):
            raise ValueError(name)
        return Kept(
            found,
            float(data["throttle"]),
            str(data["calibrated_by"]),
            str(data["model"]),
            dict(data["versions"]),
        )
    except (OSError, ValueError, KeyError, TypeError) as error:
        expected = "one that `tappetry simulate --keep` wrote"
        raise BadInput.at(Where(str(file)), "this is no result", unread(error), expected) from error


def repeat(shop: Shop, kept: Kept, told: Told) -> tuple[Again, ...]:
    """Turn the engines of a result again, in their numbers of then, and compare.

    Raises
    ------
    Refusal
        Cycles do not come to repeat any more.
    """
    return tuple(_again(shop, kept, each, told) for each in kept.found)


def _again(shop: Shop, kept: Kept, old: Simulated, told: Told) -> Again:
    if old.at_idle:
        now = idle_described(old.described, rpm(old.points[0]), told, old.settling)
    else:
        now = simulate_described(
            old.described, [rpm(point) for point in old.points], told, old.mesh, old.settling
        )
    most, quantity, speed = max(
        (
            (_difference(getattr(before, name), getattr(after, name)), name, rpm(before))
            for before, after in zip(old.points, now.points, strict=True)
            for name in COMPARED
        ),
        key=lambda each: each[0],
    )
    return Again(
        old,
        now,
        old.points == now.points,
        most,
        quantity,
        speed,
        old.settling.change,
        _text_says(shop, kept, old),
    )


def _text_says(shop: Shop, kept: Kept, old: Simulated) -> str:
    """Whether the same engine would be put together today."""
    then = old.described
    try:
        now = describe(shop, then.variant, then.cam, JUST_SHUT if old.at_idle else kept.throttle)
        if kept.calibrated_by:
            now = calibrated(now, kept_calibration(shop, kept.calibrated_by))
    except BadInput as error:
        return f"the shop's text no longer describes it: {error}"
    parts = [
        each.name
        for each in fields(now.engine)
        if getattr(now.engine, each.name) != getattr(then.engine, each.name)
    ]
    return f"the shop's text says otherwise today of its {', '.join(parts)}" if parts else ""


def _difference(before: float, after: float) -> float:
    return abs(after - before) / max(abs(before), abs(after))


def _simulated(data: Mapping[str, Any]) -> Simulated:
    return Simulated(
        _restored(Described, data["described"]),
        tuple(point_of(each) for each in data["points"]),
        tuple(data["remarks"]),
        Mesh(**data["mesh"]),
        Settling(**data["settling"]),
    )


def _restored(kind: type[T], data: Mapping[str, Any]) -> T:
    """A record out of plain data, with the records in it; what is to be a number has to be one."""
    hints = get_type_hints(kind)
    values: dict[str, Any] = {}
    for name, value in data.items():
        hint = hints[name]
        if isinstance(hint, type) and is_dataclass(hint):
            values[name] = _restored(hint, value)
        else:
            if hint is float and not isinstance(value, int | float):
                raise TypeError(name)
            values[name] = tuple(value) if isinstance(value, list) else value
    return kind(**values)
