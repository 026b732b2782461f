"""Curves of camshafts as long work: known by what the simulation sees, kept so that they can be made again.

The mark of a task is made of the whole engine in numbers, speeds, mesh, settling and model: two jobs with the
same engine share one curve, and a change in any of them makes another one.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from functools import cache
from importlib import resources
from typing import Any

from tappetry.records.problems import Refusal
from tappetry.services.breathing import Described, describe
from tappetry.services.model_sources import SOURCES
from tappetry.services.queue import Report, Wanted, key_of
from tappetry.services.shop import Shop
from tappetry.services.simulate import (
    JUST_SHUT,
    Point,
    Simulated,
    make_ready,
    rpm,
    simulate_engine,
    simulate_idle,
    speeds_of,
    versions,
)
from tappetry.simulation.cycle import Settling
from tappetry.simulation.engine import Mesh
from tappetry.simulation.friction import Friction
from tappetry.simulation.roughness import Roughness, roughness

KIND = "camshaft curve"
READY, IDLE = 0.1, 0.3
"""Shares of the work: kernels that are made ready, and idle; the rest are the speeds. [1]"""


@dataclass(frozen=True, slots=True)
class Curve:
    """An engine with a camshaft, at full throttle and at idle.

    Attributes
    ----------
    full : Simulated
    idle : Point or None
        None where it does not idle at the stated speed.
    no_idle : str
        Why not.
    roughness : Roughness or None
        How unevenly it idles, where it does.
    made_with : dict
        Model, engine in numbers, mesh, settling, speeds, and the state of the shop's text.
    """

    full: Simulated
    idle: Point | None
    no_idle: str
    roughness: Roughness | None
    made_with: Mapping[str, Any]

    @property
    def vacuum(self) -> float | None:
        """At idle, in the manifold below the air around. [Pa]"""
        return None if self.idle is None else self.idle.ambient_pressure - self.idle.manifold_pressure


def wanted_curve(shop: Shop, variant: str, cam: str = "") -> Wanted:
    """The task of a camshaft in an engine, the factory's where none is named.

    Raises
    ------
    BadInput
        There is no such engine or camshaft, or it is not stated how it breathes.
    """
    described = describe(shop, variant, cam)
    key = _key(described)
    return Wanted(
        key=key,
        kind=KIND,
        title=f"{described.variant} with {described.cam}, {described.cam_name}",
        task={"variant": variant, "cam": described.cam, "key": key},
    )


def work_curve(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """Simulate a camshaft and return all that is needed to show it, and to make it again.

    Raises
    ------
    Refusal
        Cycles do not come to repeat, or the shop's text changed since it was asked for.
    """
    variant, cam = str(task["variant"]), str(task["cam"])
    described = describe(shop, variant, cam)
    if _key(described) != task["key"]:
        raise Refusal(
            "The shop's text says otherwise of this engine or camshaft than when the curve was asked for.",
            ways_out=["ask for the curve again"],
        )
    speeds = _speeds(described)
    report(0.0, "compiles its equations, some ten seconds the first time")
    make_ready(shop, variant)
    report(READY, "looks for its idle")
    idle, no_idle = None, ""
    try:
        idle = simulate_idle(shop, variant, cam, None, lambda point: None).points[0]
    except Refusal as refusal:
        no_idle = refusal.message
    share = (1.0 - IDLE) / len(speeds)
    told = 0

    def tell(point: Point) -> None:
        nonlocal told
        told += 1
        report(IDLE + share * told, f"{rpm(point):.0f} of {speeds[-1]:.0f} rpm")

    report(IDLE, f"begins at {speeds[0]:.0f} of {speeds[-1]:.0f} rpm")
    found = simulate_engine(shop, variant, cam, speeds, tell)
    return {
        "points": [plain_point(point) for point in found.points],
        "remarks": list(found.remarks),
        "idle": None if idle is None else plain_point(idle),
        "no_idle": no_idle,
        "made_with": {**_made_with(described), "versions": versions(shop), "sources": SOURCES},
    }


def kept_curve(shop: Shop, task: Mapping[str, Any], result: Mapping[str, Any]) -> Curve:
    """A curve as it was kept.

    Raises
    ------
    BadInput
        The shop's text no longer says how this engine breathes.
    """
    described = describe(shop, str(task["variant"]), str(task["cam"]))
    made = result["made_with"]
    full = Simulated(
        described,
        tuple(point_of(each) for each in result["points"]),
        tuple(result["remarks"]),
        Mesh(**made["mesh"]),
        Settling(**made["settling"]),
    )
    idle = None if result["idle"] is None else point_of(result["idle"])
    uneven = None
    if idle is not None:
        part_load = describe(shop, described.variant, described.cam, JUST_SHUT)
        uneven = roughness(part_load.engine, idle)
    return Curve(full, idle, str(result["no_idle"]), uneven, made)


@cache
def model_mark() -> str:
    """A mark of the program text that simulates, so that a curve says with which one it was made."""
    digest = hashlib.sha256()
    for room in ("tappetry.simulation", "tappetry.engineering"):
        files = sorted(resources.files(room).iterdir(), key=lambda each: each.name)
        for file in files:
            if file.name.endswith(".py"):
                digest.update(file.name.encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()[:16]


def _speeds(described: Described) -> Sequence[float]:
    return speeds_of(described, None, None, None, None)


def _made_with(described: Described) -> dict[str, Any]:
    return {
        "model": model_mark(),
        "engine": asdict(described.engine),
        "idle_rpm": described.idle,
        "speeds_rpm": list(_speeds(described)),
        "mesh": asdict(Mesh()),
        "settling": asdict(Settling()),
    }


def _key(described: Described) -> str:
    return key_of(KIND, _made_with(described))


def plain_point(point: Point) -> dict[str, Any]:
    """A point as plain data; what is endless, such as fuel for no work, is None."""
    return {name: None if value == math.inf else value for name, value in asdict(point).items()}


def point_of(data: Mapping[str, Any]) -> Point:
    """A point out of plain data."""
    values = {each.name: data[each.name] for each in fields(Point)}
    for name, value in values.items():
        if value is None:
            values[name] = math.inf
        elif isinstance(value, list):
            values[name] = tuple(value)
    return Point(**{**values, "friction": Friction(**data["friction"])})
