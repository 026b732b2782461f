"""Puts valve trains together for the simulation: family tables, grind, springs, and what the shop assumes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tappetry.catalogue.columns import SOLD
from tappetry.engineering.lobe import nose_acceleration
from tappetry.engineering.pushrod import pushrod_compression
from tappetry.engineering.springs import coil_bind_margin, installed_height, open_load, seat_load
from tappetry.engineering.valvetrain import equivalent_mass, lift_at_valve, separation_speed
from tappetry.knowledge.motion import FILE, read_motion
from tappetry.quantities.units import to_si
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.family import Family
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop
from tappetry.services.variants import variant_facts
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
    """The valve trains of a variant with a camshaft, one pair for each spring.

    Attributes
    ----------
    variant, family, cam, cam_name, follower : str
    redline : float
        Of the engine as built. [rpm]
    speed_factor : float
        Share of the speed at which something begins that may be used. [1]
    bounce : float
        Height above which a valve is said to bounce. [m]
    candidates : tuple of Candidate
        The springs in the engine first.
    """

    variant: str
    family: str
    cam: str
    cam_name: str
    follower: str
    redline: float
    speed_factor: float
    bounce: float
    candidates: tuple[Candidate, ...]


def describe_trains(shop: Shop, variant: str, cam: str = "", springs: tuple[str, ...] = ()) -> Trains:
    """The valve trains of a variant with a camshaft, without one with the factory's, for each spring.

    Raises
    ------
    BadInput
        There is no such variant, camshaft or spring, or something is not stated.
    """
    family, facts = variant_facts(shop, variant)
    grinds = {key: row for key, row in shop.catalogue.tables["grind"].items() if row["family"] == family.id}
    name = cam or str(_stated(facts, "factory-grind", family))
    if name not in grinds:
        what = f"there is no such camshaft for {family.name}"
        raise BadInput.at(Where(field="--cam"), what, name, "one of " + ", ".join(grinds))
    assumed, grind = read_motion(shop.folder).data, grinds[name]
    found = [
        _candidate(shop, family, facts, grind, assumed, part, row)
        for part, row in _springs(shop, family, facts, assumed["reads"]["spring"])
    ]
    known = [each.spring for each in found]
    missing = [each for each in springs if each not in known]
    if missing:
        what = "no such spring fits this engine"
        raise BadInput.at(Where(field="--spring"), what, ", ".join(missing), "one of " + ", ".join(known))
    return Trains(
        variant=variant,
        family=family.name,
        cam=name,
        cam_name=str(grind["name"]),
        follower=str(grind["follower"]),
        redline=float(str(facts["redline"])),
        speed_factor=assumed["limit"]["speed_factor"],
        bounce=assumed["limit"]["bounce_mm"] * 1e-3,
        candidates=tuple(each for each in found if not springs or each.spring in springs),
    )


def _stated(facts: Mapping[str, Value], name: str, family: Family) -> Value:
    if name not in facts:
        raise BadInput.at(Where(family.file), "the family's tables do not state it for this variant", name)
    return facts[name]


def _fitted(family: Family, facts: Mapping[str, Value], need: str) -> Mapping[str, Value]:
    """What stands in the engine for a need."""
    told = {name: Fact(name, value, Grade.decoded, family.file) for name, value in facts.items()}
    return (family.fitted[need].row_for(told) if need in family.fitted else None) or {}


def _springs(
    shop: Shop, family: Family, facts: Mapping[str, Value], need: str
) -> list[tuple[str, Mapping[str, Value]]]:
    """The springs in the engine, with what the list says of their designation; then those that are sold."""
    sold = [(part.number, part.attributes_for(need)) for part in _sold(shop, family, facts, need)]
    known = {str(row["spring"]): row for _, row in sold}
    fitted = _fitted(family, facts, need)
    first = [("", {**known.get(str(fitted["spring"]), {}), **fitted})] if fitted else []
    return first + [each for each in sold if not fitted or each[1]["spring"] != fitted["spring"]]


def _sold(shop: Shop, family: Family, facts: Mapping[str, Value], need: str) -> list[Any]:
    """Parts for a need that fit the variant, cheapest first."""
    told = {**facts, "family": family.id}
    fitting = [
        part
        for part in shop.catalogue.parts
        if part.pieces_for(need)
        and part.status in SOLD
        and all(str(told[name]) in values for name, values in part.fits.items() if name in told)
    ]
    return sorted(fitting, key=lambda part: (part.price / part.pieces, part.number))


def _retainer(
    shop: Shop, family: Family, facts: Mapping[str, Value], need: str, spring: str
) -> tuple[str, Mapping[str, Value]] | None:
    """The retainer in the engine where it carries the spring, else the cheapest that does, by lock angle."""
    fitted = _fitted(family, facts, need)
    if spring in _list(fitted.get("springs", ())):
        return "", fitted
    angle = fitted.get("lock_angle_deg")
    rows = [(part.number, part.attributes_for(need)) for part in _sold(shop, family, facts, need)]
    carries = [each for each in rows if spring in _list(each[1].get("springs", ()))]
    carries.sort(key=lambda each: each[1].get("lock_angle_deg") != angle)
    return carries[0] if carries else None


def _candidate(
    shop: Shop,
    family: Family,
    facts: Mapping[str, Value],
    grind: Mapping[str, Any],
    assumed: Mapping[str, Any],
    part: str,
    row: Mapping[str, Value],
) -> Candidate:
    name, kind = str(row["spring"]), str(row["kind"])
    missing = [each for each in NEEDED if each not in row]
    if missing:
        return Candidate(name, kind, part, "", 0.0, (), "not stated: " + ", ".join(missing))
    found = _retainer(shop, family, facts, assumed["reads"]["retainer"], name)
    if found is None:
        return Candidate(name, kind, part, "", 0.0, (), "no retainer for it is sold")
    number, retainer = found
    mass = _grams(retainer["mass_g"])
    height = float(
        installed_height(
            _inch(_stated(facts, "installed-height", family)), retainer_step=_inch(retainer["step_in"])
        )
    )
    sides = tuple(_side(side, family, facts, grind, assumed, row, mass, height, kind) for side in SIDES)
    solid = [
        each.side
        for each in sides
        if coil_bind_margin(height, _inch(row["solid_in"]), _lift(facts, grind, each.side)) <= 0.0
    ]
    if solid:
        return Candidate(name, kind, part, number, mass, (), "goes solid at the " + " and ".join(solid))
    return Candidate(name, kind, part, number, mass, sides)


def _side(
    side: str,
    family: Family,
    facts: Mapping[str, Value],
    grind: Mapping[str, Any],
    assumed: Mapping[str, Any],
    row: Mapping[str, Value],
    retainer: float,
    height: float,
    kind: str,
) -> Side:
    def mass(name: str) -> float:
        return _grams(_stated(facts, name, family))

    ratio = float(str(facts["rocker-ratio"]))
    lobe = (
        _inch(grind[f"lobe_lift_{side}_in"]),
        float(grind[f"lobe_p_{side}"]),
        math.radians(grind[f"half_width_{side}_deg"]),
    )
    rate = to_si(float(str(row["rate_lb_in"])), "lb/in", "stiffness")
    load = to_si(float(str(row["seat_lb"])), "lb", "force")
    closed = float(seat_load(height, _inch(row["installed_in"]), load, rate))
    opened = float(open_load(closed, rate, _lift(facts, grind, side)))
    hydraulic = str(grind["follower"]).startswith("hydraulic")
    valve, locks, spring = mass(f"mass-{side}-valve"), mass("mass-locks"), _grams(row["mass_g"])
    felt = equivalent_mass(
        valve, retainer, locks, spring, mass("mass-rocker"), mass("mass-pushrod"), mass("mass-lifter"), ratio
    )
    text = assumed["spring"]
    rubs = kind in text["rubbing_kinds"]
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
            travel=height - _inch(row["solid_in"]),
            damping_ratio=text["rubbing_damping_ratio" if rubs else "damping_ratio"],
            clash_factor=text["clash_factor"],
        ),
        joints=_joints(family, facts, assumed, hydraulic),
        lash=0.0 if hydraulic else _inch(grind[f"lash_{side}_in"]),
        plunger=_plunger(assumed["lifter"]) if hydraulic else None,
    )
    return Side(side, train, opened, float(separation_speed(opened, felt, nose_acceleration(*lobe), ratio)))


def _lift(facts: Mapping[str, Value], grind: Mapping[str, Any], side: str) -> float:
    ratio, lash = float(str(facts["rocker-ratio"])), _inch(grind[f"lash_{side}_in"])
    return float(lift_at_valve(_inch(grind[f"lobe_lift_{side}_in"]), ratio, lash))


def _joints(
    family: Family, facts: Mapping[str, Value], assumed: Mapping[str, Any], hydraulic: bool
) -> Joints:
    rod = 1.0 / _pushrod(family, facts, assumed)
    if hydraulic:
        rod += 1.0 / _stiffness(assumed["oil_column"])
    return Joints(
        cam=_stiffness(assumed["cam"]),
        rod=1.0 / rod,
        tip=_stiffness(assumed["rocker"]),
        seat=_stiffness(assumed["seat"]),
        damping_ratio=assumed["train"]["damping_ratio"],
        seat_damping_ratio=assumed["seat"]["damping_ratio"],
        film=assumed["film"]["thickness_um"] * 1e-6,
    )


def _pushrod(family: Family, facts: Mapping[str, Value], assumed: Mapping[str, Any]) -> float:
    """Stiffness of the pushrods in the engine. [N/m]"""
    rod = _fitted(family, facts, assumed["reads"]["pushrod"])
    wall = rod.get("wall_mm", assumed.get("pushrod_wall_mm", {}).get(family.id))
    if wall is None or "od_mm" not in rod or "length_in" not in rod:
        where = Where(FILE, field=f"pushrod_wall_mm.{family.id}")
        raise BadInput.at(
            where, "diameter, wall or length of the pushrods in the engine is not stated", family.id
        )
    size = to_si(float(str(rod["od_mm"])), "mm", "length"), to_si(float(str(wall)), "mm", "length")
    return 1.0 / float(pushrod_compression(1.0, *size, _inch(rod["length_in"])))


def _plunger(text: Mapping[str, Any]) -> Plunger:
    load = float(text["plunger_load_n"])
    return Plunger(
        load=load,
        leak=text["leak_travel_mm"] * 1e-3 / text["leak_s"] / text["leak_load_n"],
        refill=text["refill_mm_per_s"] * 1e-3 / load,
    )


def _stiffness(text: Mapping[str, Any]) -> float:
    return to_si(float(text["stiffness_n_per_mm"]), "N/mm", "stiffness")


def _inch(value: Any) -> float:
    return to_si(float(str(value)), "in", "length")


def _grams(value: Any) -> float:
    return to_si(float(str(value)), "g", "mass")


def _list(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, tuple | list) else (value,)
