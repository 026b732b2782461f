"""Puts valve trains together for the simulation, one pair for each spring that may stand in an engine."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tappetry.engineering.lobe import nose_acceleration
from tappetry.engineering.springs import coil_bind_margin, open_load, seat_load
from tappetry.engineering.valvetrain import equivalent_mass, lift_at_valve, separation_speed
from tappetry.quantities.units import to_si
from tappetry.records.problems import BadInput, Where
from tappetry.services.train_sources import Row, Source, inches
from tappetry.simulation.train import Coils, Joints, Plunger, Train, power_lobe

SIDES = ("intake", "exhaust")
NEEDED = ("seat_lb", "rate_lb_in", "installed_in", "solid_in", "mass_g", "surge_cpm")
"""What is read of a spring."""


@dataclass(frozen=True, slots=True)
class Side:
    """The train of one valve.

    Attributes
    ----------
    side : str
        Intake or exhaust.
    train : Train
    open_load : float
        [N]
    separation_speed : float
        Of the rigid train, as the proofs reckon it. [rad/s]
    """

    side: str
    train: Train
    open_load: float
    separation_speed: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """A spring that may stand in an engine, with the trains that it makes.

    Attributes
    ----------
    spring, kind, part : str
        Its designation and kind, and the number of the part; empty for the one in the engine.
    retainer : str
        The part that goes with it; empty for the one in the engine.
    retainer_mass : float
        [kg]
    sides : tuple of Side
        None where something keeps it from being turned.
    why_not : str
        What that is.
    """

    spring: str
    kind: str
    part: str
    retainer: str
    retainer_mass: float
    sides: tuple[Side, ...]
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Trains:
    """The valve trains of an engine with a camshaft, one pair for each spring.

    Attributes
    ----------
    variant, family, cam, cam_name, follower : str
    speed : float
        Planned, else the redline as built. [rpm]
    speed_factor : float
        Share of the speed at which something begins that may be used. [1]
    bounce : float
        Height above which a valve is said to bounce. [m]
    candidates : tuple of Candidate
        The spring that is fitted or chosen first.
    assumed : dict
        The shop's assumptions that they were made with.
    """

    variant: str
    family: str
    cam: str
    cam_name: str
    follower: str
    speed: float
    speed_factor: float
    bounce: float
    candidates: tuple[Candidate, ...]
    assumed: Mapping[str, Any]


def describe_trains(source: Source, springs: tuple[str, ...] = ()) -> Trains:
    """The valve trains of an engine, for each spring or for those that are named.

    Raises
    ------
    BadInput
        There is no such camshaft or spring, or something is not stated.
    """
    every = source.shop.catalogue.tables["grind"]
    grinds = {key: row for key, row in every.items() if row["family"] == source.family.id}
    if source.cam not in grinds:
        what = f"there is no such camshaft for {source.family.name}"
        raise BadInput.at(Where(field="--cam"), what, source.cam, "one of " + ", ".join(grinds))
    grind, limit = grinds[source.cam], source.assumed["limit"]
    found = [_candidate(source, grind, part, row) for part, row in source.springs()]
    known = [each.spring for each in found]
    missing = [each for each in springs if each not in known]
    if missing:
        what = "no such spring fits this engine"
        raise BadInput.at(Where(field="--spring"), what, ", ".join(missing), "one of " + ", ".join(known))
    return Trains(
        variant=source.variant,
        family=source.family.name,
        cam=source.cam,
        cam_name=str(grind["name"]),
        follower=str(grind["follower"]),
        speed=source.speed,
        speed_factor=limit["speed_factor"],
        bounce=limit["bounce_mm"] * 1e-3,
        candidates=tuple(each for each in found if not springs or each.spring in springs),
        assumed=source.assumed,
    )


def _candidate(source: Source, grind: Mapping[str, Any], part: str, row: Row) -> Candidate:
    name, kind = str(row["spring"]), str(row["kind"])
    missing = [each for each in NEEDED if each not in row]
    if missing:
        return Candidate(name, kind, part, "", 0.0, (), "not stated: " + ", ".join(missing))
    found = source.retainer_for(name)
    if found is None:
        return Candidate(name, kind, part, "", 0.0, (), "no retainer for it is sold")
    number, retainer = found
    mass, height = _grams(retainer["mass_g"]), source.height_with(retainer)
    solid = [
        side
        for side in SIDES
        if coil_bind_margin(height, inches(row["solid_in"]), _lift(source, grind, side)) <= 0.0
    ]
    if solid:
        return Candidate(name, kind, part, number, mass, (), "goes solid at the " + " and ".join(solid))
    sides = tuple(_side(side, source, grind, row, mass, height) for side in SIDES)
    return Candidate(name, kind, part, number, mass, sides)


def _side(
    side: str, source: Source, grind: Mapping[str, Any], row: Row, retainer: float, height: float
) -> Side:
    def mass(name: str) -> float:
        return _grams(source.stated(name))

    ratio, assumed = source.rocker_ratio, source.assumed
    lobe = (
        inches(grind[f"lobe_lift_{side}_in"]),
        float(grind[f"lobe_p_{side}"]),
        math.radians(grind[f"half_width_{side}_deg"]),
    )
    rate = to_si(float(str(row["rate_lb_in"])), "lb/in", "stiffness")
    load = to_si(float(str(row["seat_lb"])), "lb", "force")
    closed = float(seat_load(height, inches(row["installed_in"]), load, rate))
    opened = float(open_load(closed, rate, _lift(source, grind, side)))
    hydraulic = str(grind["follower"]).startswith("hydraulic")
    valve, locks, spring = mass(f"mass-{side}-valve"), mass("mass-locks"), _grams(row["mass_g"])
    felt = equivalent_mass(
        valve, retainer, locks, spring, mass("mass-rocker"), mass("mass-pushrod"), mass("mass-lifter"), ratio
    )
    text = assumed["spring"]
    rubs = row["kind"] in text["rubbing_kinds"]
    train = Train(
        lobe=power_lobe(*lobe),
        rocker_ratio=ratio,
        lifter_mass=mass("mass-lifter"),
        pushrod_mass=mass("mass-pushrod"),
        rocker_mass=mass("mass-rocker"),
        valve_mass=valve + retainer + locks,
        coils=Coils(
            seat_load=closed,
            rate=rate,
            mass=spring,
            surge_frequency=to_si(float(str(row["surge_cpm"])), "cpm", "frequency"),
            travel=height - inches(row["solid_in"]),
            damping_ratio=text["rubbing_damping_ratio" if rubs else "damping_ratio"],
            clash_factor=text["clash_factor"],
        ),
        joints=_joints(source.rod, assumed, hydraulic),
        lash=0.0 if hydraulic else inches(grind[f"lash_{side}_in"]),
        plunger=_plunger(assumed["lifter"]) if hydraulic else None,
    )
    return Side(side, train, opened, float(separation_speed(opened, felt, nose_acceleration(*lobe), ratio)))


def _lift(source: Source, grind: Mapping[str, Any], side: str) -> float:
    lift, lash = inches(grind[f"lobe_lift_{side}_in"]), inches(grind[f"lash_{side}_in"])
    return float(lift_at_valve(lift, source.rocker_ratio, lash))


def _joints(rod: float, assumed: Mapping[str, Any], hydraulic: bool) -> Joints:
    gives = 1.0 / rod + (1.0 / _stiffness(assumed["oil_column"]) if hydraulic else 0.0)
    return Joints(
        cam=_stiffness(assumed["cam"]),
        rod=1.0 / gives,
        tip=_stiffness(assumed["rocker"]),
        seat=_stiffness(assumed["seat"]),
        damping_ratio=assumed["train"]["damping_ratio"],
        seat_damping_ratio=assumed["seat"]["damping_ratio"],
        film=assumed["film"]["thickness_um"] * 1e-6,
    )


def _plunger(text: Mapping[str, Any]) -> Plunger:
    load = float(text["plunger_load_n"])
    return Plunger(
        load=load,
        leak=text["leak_travel_mm"] * 1e-3 / text["leak_s"] / text["leak_load_n"],
        refill=text["refill_mm_per_s"] * 1e-3 / load,
    )


def _stiffness(text: Mapping[str, Any]) -> float:
    return to_si(float(text["stiffness_n_per_mm"]), "N/mm", "stiffness")


def _grams(value: Any) -> float:
    return to_si(float(str(value)), "g", "mass")
