"""Camshafts in an engine beside the factory's, some figures of each: strength, idle, launch, knock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tappetry.records.evidence import Fact
from tappetry.records.problems import Refusal
from tappetry.services.breathing import describe
from tappetry.services.driving import Cruise, around_stall, converter_of, cruise
from tappetry.services.shop import Shop
from tappetry.services.simulate import Point, Simulated, Told, simulate_engine, simulate_idle
from tappetry.simulation.launch import Converter, Launch, launch
from tappetry.simulation.roughness import Roughness


@dataclass(frozen=True, slots=True)
class CamFigures:
    """What a camshaft gives in an engine.

    Attributes
    ----------
    full : Simulated
        At full throttle.
    idle : Point or None
        None where it does not idle; `no_idle` says why.
    no_idle : str
    roughness : Roughness or None
        Of its idle.
    launch : Launch or None
        None where the converter is not known, or it stalls too far from its stated speed.
    cruise : Cruise or None
        None where no speed was asked for.
    """

    full: Simulated
    idle: Point | None
    no_idle: str
    roughness: Roughness | None
    launch: Launch | None
    cruise: Cruise | None

    @property
    def vacuum(self) -> float | None:
        """At idle, in the manifold below the air around. [Pa]"""
        return None if self.idle is None else self.idle.ambient_pressure - self.idle.manifold_pressure

    @property
    def latest(self) -> Point:
        """Where knock takes most of the fire."""
        return max(self.full.points, key=lambda point: point.retarded)

    @property
    def knock_margin(self) -> float:
        """By how much the fire may still be later there, until the engine knocks. [rad]"""
        return self.full.described.engine.burning.latest - self.latest.half_burned


@dataclass(frozen=True, slots=True)
class CamTable:
    """Camshafts side by side, the factory's first; ``no_launch`` says why the stall is not known."""

    rows: tuple[CamFigures, ...]
    converter: Converter | None
    no_launch: str


def cam_table(
    shop: Shop,
    variant: str,
    cams: Sequence[str],
    speeds: Sequence[float],
    facts: Mapping[str, Fact] | None,
    road_speed: float | None,
    told: Told,
) -> CamTable:
    """Camshafts in an engine beside the factory's.

    Parameters
    ----------
    shop : Shop
    variant : str
    cams : sequence of str
        Besides the factory's.
    speeds : sequence of float
        Of the curves. [rpm]
    facts : mapping or None
        Of the vehicle; without them neither launch nor cruise is known.
    road_speed : float or None
        At which it cruises. [m/s]
    told : callable
        Hears of each point of a curve.

    Raises
    ------
    BadInput
        There is no such engine or camshaft.
    Refusal
        Cycles do not come to repeat.
    """
    factory = describe(shop, variant)
    converter, no_launch = None, "the vehicle is not stated"
    if facts is not None:
        try:
            converter, no_launch = converter_of(facts, around_stall(factory.engine, facts)), ""
        except Refusal as refusal:
            no_launch = " ".join([refusal.message, *refusal.ways_out])
    names = [factory.cam, *(cam for cam in dict.fromkeys(cams) if cam != factory.cam)]
    return CamTable(
        tuple(_figures(shop, variant, cam, speeds, facts, converter, road_speed, told) for cam in names),
        converter,
        no_launch,
    )


def family_cams(shop: Shop, variant: str) -> tuple[str, ...]:
    """The camshafts of the catalogue for the family of an engine that no factory fitted."""
    grinds = shop.catalogue.tables["grind"]
    family = grinds[describe(shop, variant).cam]["family"]
    return tuple(name for name, row in grinds.items() if row["family"] == family and not row.get("factory"))


def _figures(
    shop: Shop,
    variant: str,
    cam: str,
    speeds: Sequence[float],
    facts: Mapping[str, Fact] | None,
    converter: Converter | None,
    road_speed: float | None,
    told: Told,
) -> CamFigures:
    full = simulate_engine(shop, variant, cam, speeds, told)
    still, no_idle = None, ""
    try:
        still = simulate_idle(shop, variant, cam, None, told)
    except Refusal as refusal:
        no_idle = refusal.message
    stalled = None
    if facts is not None and converter is not None:
        stalled = launch(converter, around_stall(full.described.engine, facts))
    held = None
    if facts is not None and road_speed is not None:
        held = cruise(shop, variant, cam, facts, road_speed)
    return CamFigures(
        full,
        None if still is None else still.points[0],
        no_idle,
        None if still is None else still.unevenness[0],
        stalled,
        held,
    )
