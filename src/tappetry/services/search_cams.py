"""The camshafts of a search: those on the shelf of a job, and those that might be ground for it.

A camshaft that might be ground is put on the shelf beside the one of the plan, as the same blank: so the kit,
its proofs and the independent checker judge it like any other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tappetry.engineering.glossary import require
from tappetry.engineering.lobe_fit import fit_lobe
from tappetry.engineering.ranges import OutOfRange
from tappetry.identification.resolve import Identification
from tappetry.quantities.units import to_si
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.records.verdict import Proof, Verdict
from tappetry.search.exploring import Between, Specification
from tappetry.services.breathing import describe
from tappetry.services.choices import GRIND, choices
from tappetry.services.kits import kit_for_engine
from tappetry.services.shop import Shop
from tappetry.services.simulate import JUST_SHUT
from tappetry.simulation.engine import Engine

HERE = "the search"
GROUND = "to be ground"
STEEPNESS = "steepness_deg"
SIDES = ("intake", "exhaust")
CHECKED, SEATED = to_si(0.050, "in", "length"), to_si(0.006, "in", "length")

STEPS = {
    "duration_050_intake_deg": 1.0,
    "duration_050_exhaust_deg": 1.0,
    "lobe_lift_intake_in": 0.002,
    "lobe_lift_exhaust_in": 0.002,
    "lsa_deg": 1.0,
    "icl_deg": 1.0,
    STEEPNESS: 1.0,
}
"""What is free in a camshaft to be ground, and in which steps it is told to a grinder. The steepness is by
how much the duration at 0.006 in of lobe lift is longer than at 0.050 in: the less the steeper."""

REFUSED, NO_LOBE = 1.0, 2.0
"""How far a camshaft counts as beside the limits that no kit takes, and one that is no lobe. [1]"""


@dataclass(frozen=True, slots=True)
class Camshaft:
    """A camshaft that a search looks at.

    ``card`` is its row in the table of grinds; ``specification`` says what is free in it, empty where it lies
    on the shelf.
    """

    name: str
    card: Mapping[str, Any]
    specification: Specification


@dataclass(frozen=True, slots=True)
class Proved:
    """What the kit with a camshaft says: whether it stays in, why not, and by how much it misses."""

    stays: bool
    why: str = ""
    broken: float = 0.0


def shelf(shop: Shop, job: Job, identification: Identification, factory: str) -> tuple[Camshaft, ...]:
    """The factory's camshaft and those that the catalogue sells for the engine of a job."""
    sold = [
        each
        for choice in choices(shop, job, identification)
        if choice.field == "cam"
        for each in (choice.now, *choice.others)
    ]
    grinds = shop.catalogue.tables[GRIND]
    names = [factory, *sorted({each for each in sold if each} - {factory})]
    return tuple(Camshaft(name, grinds[name], {}) for name in names if name in grinds)


def free_between(shop: Shop, job: Job, stated: Mapping[str, tuple[float, float]]) -> tuple[Between, ...]:
    """Between which ends a camshaft to be ground is free: as stated, else as the family's own grinds span.

    Raises
    ------
    BadInput
        There is no such number in a specification, its ends are in the wrong order, or the plan names no
        camshaft whose blank could be ground.
    """
    grinds = shop.catalogue.tables[GRIND]
    if job.plan.cam not in grinds:
        raise BadInput.at(Where(HERE), "the plan names no camshaft whose blank could be ground", job.plan.cam)
    for name, (low, high) in stated.items():
        if name not in STEPS:
            where = Where(HERE, field="free")
            raise BadInput.at(where, "no such number is free", name, "one of " + ", ".join(STEPS))
        if not (math.isfinite(low) and math.isfinite(high) and high - low >= STEPS[name] - 1e-9):
            where = Where(HERE, field="free")
            raise BadInput.at(
                where,
                f"{name} does not rise",
                f"{low:g}..{high:g}",
                f"low..high, {STEPS[name]:g} apart or more",
            )
    blank = grinds[job.plan.cam]
    alike = [
        row
        for row in grinds.values()
        if row["family"] == blank["family"] and row["follower"] == blank["follower"]
    ]
    found = []
    for name, step in STEPS.items():
        values = [value for row in alike for value in _stated(row, name)]
        low, high = stated.get(name, (min(values), max(values)))
        whole = math.floor((high - low) / step + 1e-9)
        found.append(Between(name, low, round(low + whole * step, 6), step))
    return tuple(found)


def _stated(row: Mapping[str, Any], name: str) -> list[float]:
    if name == STEEPNESS:
        return [row[f"duration_006_{side}_deg"] - row[f"duration_050_{side}_deg"] for side in SIDES]
    return [float(row[name])]


def ground(blank: Mapping[str, Any], specification: Specification) -> Camshaft:
    """A camshaft of a specification on the blank of another.

    Raises
    ------
    OutOfRange
        There is no lobe of this law with such durations, or a centreline is none.
    """
    free = {name: round(value, 6) for name, value in specification.items()}
    card = {**blank, **{name: value for name, value in free.items() if name != STEEPNESS}}
    for side in SIDES:
        duration = free[f"duration_050_{side}_deg"]
        seat = duration + free[STEEPNESS]
        lobe = fit_lobe(
            to_si(free[f"lobe_lift_{side}_in"], "in", "length"),
            math.radians(duration),
            CHECKED,
            math.radians(seat),
            SEATED,
        )
        card[f"duration_006_{side}_deg"] = seat
        card[f"lobe_p_{side}"] = float(lobe.lobe_exponent)
        card[f"half_width_{side}_deg"] = math.degrees(float(lobe.lobe_half_width))
    card["ecl_deg"] = 2.0 * free["lsa_deg"] - free["icl_deg"]
    for side, name in zip(SIDES, ("icl_deg", "ecl_deg"), strict=True):
        require(f"{side}_centreline", math.radians(card[name]))
    name = (
        f"{free['duration_050_intake_deg']:.0f}/{free['duration_050_exhaust_deg']:.0f} "
        f"{free['lobe_lift_intake_in']:.3f}/{free['lobe_lift_exhaust_in']:.3f} in, "
        f"{free['lsa_deg']:.0f}{free['lsa_deg'] - free['icl_deg']:+.0f}, "
        f"{free[STEEPNESS]:.0f} deg steep"
    )
    card["name"] = name
    return Camshaft(name, card, free)


def shop_with(shop: Shop, job: Job, camshaft: Camshaft) -> Shop:
    """The shop as if the camshaft lay on its shelf, as the blank of the plan's one."""
    blanks = [part for part in shop.catalogue.parts if part.attributes.get(GRIND) == job.plan.cam]
    made = [
        replace(part, number=f"{part.number}-G", attributes={**part.attributes, GRIND: GROUND})
        for part in blanks
    ]
    tables = {
        **shop.catalogue.tables,
        GRIND: {**shop.catalogue.tables[GRIND], GROUND: camshaft.card},
    }
    other = shop.with_parts((*shop.catalogue.parts, *made))
    other.__dict__["catalogue"] = replace(other.catalogue, tables=tables)
    other.__dict__["knowledge"] = replace(shop.knowledge, tables=tables)
    return other


def engines(shop: Shop, job: Job, variant: str, camshaft: Camshaft) -> tuple[Engine, Engine]:
    """The engine with a camshaft at full throttle, and with the mixture of part load for idle."""
    where, cam = (shop_with(shop, job, camshaft), GROUND) if camshaft.specification else (shop, camshaft.name)
    part = describe(where, variant, cam, JUST_SHUT).engine
    return (
        describe(where, variant, cam).engine,
        replace(part, throttle_area=part.throttle_area / JUST_SHUT),
    )


def proved(
    shop: Shop, job: Job, identification: Identification, camshaft: Camshaft, may_sign: bool, why: bool
) -> Proved:
    """Whether the kit with a camshaft holds.

    Parameters
    ----------
    may_sign : bool
        A camshaft that somebody has to sign for stays in.
    why : bool
        Where no kit takes it, look for the reason, which takes longer.
    """
    where, cam = (shop_with(shop, job, camshaft), GROUND) if camshaft.specification else (shop, camshaft.name)
    asked = replace(job, plan=replace(job.plan, cam=cam))
    try:
        kit = kit_for_engine(where, asked, identification, why=why).kit
    except Refusal as refusal:
        return Proved(False, _in_lines(refusal), REFUSED)
    except OutOfRange as error:
        return Proved(False, str(error), NO_LOBE)
    bad = list(_missed(kit, may_sign))
    if not bad:
        return Proved(True)
    return Proved(False, "; ".join(map(_said, bad)), sum(_share(proof) for proof in bad))


def made(blank: Mapping[str, Any], specification: Specification) -> Camshaft | Proved:
    """The camshaft of a specification, or why there is none."""
    try:
        return ground(blank, specification)
    except OutOfRange as error:
        return Proved(False, str(error), NO_LOBE)


def _in_lines(refusal: Refusal) -> str:
    """What cannot be, and each ground of it on a line of its own."""
    grounds = ";\n".join(ground.text for ground in refusal.grounds)
    return f"{refusal.message}\n{grounds}".strip()


def _missed(kit: Kit, may_sign: bool) -> Sequence[Proof]:
    never = {Verdict.STOP, Verdict.UNKNOWN} | (set() if may_sign else {Verdict.SIGN})
    return [proof for proof in kit.proofs if proof.verdict in never and not proof.signed]


def _said(proof: Proof) -> str:
    if proof.value is None or proof.limit is None:
        return f"{proof.title}: {proof.verdict.value}"
    unit = "" if proof.unit == "1" else f" {proof.unit}"
    return f"{proof.title}: {proof.value:.4g}{unit}, limit {proof.limit:.4g}{unit}"


def _share(proof: Proof) -> float:
    if proof.margin is None or not proof.limit:
        return REFUSED
    return min(REFUSED, abs(proof.margin / proof.limit))
