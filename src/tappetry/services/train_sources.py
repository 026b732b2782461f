"""What stands around the springs of an engine: out of a family's tables, or out of the kit of a job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tappetry.catalogue.columns import SOLD
from tappetry.engineering.pushrod import pushrod_compression
from tappetry.engineering.springs import installed_height
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.motion import FILE, read_motion
from tappetry.quantities.units import to_si
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.family import Family
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Where
from tappetry.services.kits import KitResult
from tappetry.services.shop import Shop
from tappetry.services.variants import FACTORY_GRIND, VARIANT, variant_facts

Row = Mapping[str, Value]

AS_FITTED = ""
"""In place of a part's number: what stands in the engine already."""


@dataclass(frozen=True, slots=True)
class Source:
    """An engine around its springs.

    Attributes
    ----------
    shop : Shop
    variant : str
    family : Family
    facts : dict
        What is known of it, by attribute, each in its attribute's unit.
    assumed : dict
        The shop's assumptions on valve trains.
    cam : str
        The grind that is fitted or chosen.
    spring, retainer : tuple of str and dict
        Part and attributes of what is fitted or chosen; the part `AS_FITTED` where it stands there already.
    rocker_ratio : float
        [1]
    height : float
        Installed height, with that retainer. [m]
    rod : float
        Stiffness of a pushrod. [N/m]
    speed : float
        Planned, else the redline as built. [rpm]
    """

    shop: Shop
    variant: str
    family: Family
    facts: Row
    assumed: Mapping[str, Any]
    cam: str
    spring: tuple[str, Row]
    retainer: tuple[str, Row]
    rocker_ratio: float
    height: float
    rod: float
    speed: float

    def stated(self, name: str) -> Value:
        """What is known of an attribute.

        Raises
        ------
        BadInput
            Nothing is.
        """
        return _stated(self.facts, name, self.family)

    def springs(self) -> list[tuple[str, Row]]:
        """The spring that is fitted or chosen, with what the list says of it; then those that are sold."""
        need = self.assumed["reads"]["spring"]
        sold = [(part.number, part.attributes_for(need)) for part in self._sold(need)]
        part, first = self.spring
        known = {str(row["spring"]): row for _, row in sold}
        whole = {**known.get(str(first["spring"]), {}), **first}
        return [(part, whole), *(each for each in sold if each[1]["spring"] != first["spring"])]

    def retainer_for(self, spring: str) -> tuple[str, Row] | None:
        """The retainer that stands there where it carries the spring, else the cheapest, by lock angle."""
        if spring in as_list(self.retainer[1].get("springs", ())):
            return self.retainer
        need, angle = self.assumed["reads"]["retainer"], self.retainer[1].get("lock_angle_deg")
        rows = [(part.number, part.attributes_for(need)) for part in self._sold(need)]
        carries = [each for each in rows if spring in as_list(each[1].get("springs", ()))]
        carries.sort(key=lambda each: each[1].get("lock_angle_deg") != angle)
        return carries[0] if carries else None

    def height_with(self, retainer: Row) -> float:
        """Installed height with another retainer. [m]"""
        step = inches(retainer["step_in"]) - inches(self.retainer[1]["step_in"])
        return float(installed_height(self.height, retainer_step=step))

    def _sold(self, need: str) -> list[Part]:
        """Parts for a need that fit the engine, cheapest first."""
        told = {**self.facts, "family": self.family.id}
        fitting = [
            part
            for part in self.shop.catalogue.parts
            if part.pieces_for(need)
            and part.status in SOLD
            and all(str(told[name]) in values for name, values in part.fits.items() if name in told)
        ]
        return sorted(fitting, key=lambda part: (part.price / part.pieces, part.number))


def source_of_variant(shop: Shop, variant: str, cam: str = "") -> Source:
    """A variant as built, with a camshaft of its family, without one with the factory's.

    Raises
    ------
    BadInput
        There is no such variant, or something is not stated.
    """
    family, facts = variant_facts(shop, variant)
    assumed = read_motion(shop.text).data
    reads = assumed["reads"]
    told = {name: Fact(name, value, Grade.decoded, family.file) for name, value in facts.items()}

    def fitted(name: str) -> Row:
        row = family.fitted[reads[name]].row_for(told) if reads[name] in family.fitted else None
        if row is None:
            where = Where(family.file, field=f"fitted.{reads[name]}")
            raise BadInput.at(where, "what stands in the engine is not stated", variant)
        return row

    rod = fitted("pushrod")
    wall = rod.get("wall_mm", assumed.get("pushrod_wall_mm", {}).get(family.id))
    if wall is None or "od_mm" not in rod or "length_in" not in rod:
        where = Where(FILE, field=f"pushrod_wall_mm.{family.id}")
        raise BadInput.at(
            where, "diameter, wall or length of the pushrods in the engine is not stated", variant
        )
    height = inches(_stated(facts, "installed-height", family))
    return Source(
        shop=shop,
        variant=variant,
        family=family,
        facts=facts,
        assumed=assumed,
        cam=cam or str(_stated(facts, FACTORY_GRIND, family)),
        spring=(AS_FITTED, fitted("spring")),
        retainer=(AS_FITTED, fitted("retainer")),
        rocker_ratio=float(str(_stated(facts, "rocker-ratio", family))),
        height=float(installed_height(height, retainer_step=inches(fitted("retainer")["step_in"]))),
        rod=_rod(rod["od_mm"], wall, rod["length_in"]),
        speed=float(str(_stated(facts, "redline", family))),
    )


def source_of_job(shop: Shop, result: KitResult) -> Source:
    """The engine of a job with the parts of its kit.

    Raises
    ------
    BadInput
        Its variant is not known, or something that its train needs is open.
    """
    known = {name: fact.value for name, fact in result.identification.engine_as_found.facts.items()}
    if VARIANT not in known:
        raise BadInput.at(Where(result.job.id), "the variant of the engine is not known", "")
    family, built = variant_facts(shop, str(known[VARIANT]))
    assumed, views = read_motion(shop.text).data, result.resolution.views

    def chosen(name: str) -> tuple[str, Row]:
        view = views[assumed["reads"][name].replace("-", "_")]
        new = view["state"] in {"new", "own"}
        return (str(view["key"]).split("|")[0].split("/")[-1] if new else AS_FITTED), view

    def value(name: str) -> float:
        try:
            return float(result.resolution.values.named(assumed["values"][name], views))
        except Unknown as unknown:
            where = Where(result.job.id, field=assumed["values"][name])
            raise BadInput.at(where, f"it is open: {unknown}", "") from None

    rod = (value("pushrod_od_mm"), value("pushrod_wall_mm"), value("pushrod_length_in"))
    return Source(
        shop=shop,
        variant=str(known[VARIANT]),
        family=family,
        facts={**built, **known},
        assumed=assumed,
        cam=str(chosen("cam")[1]["grind"]),
        spring=chosen("spring"),
        retainer=chosen("retainer"),
        rocker_ratio=value("rocker_ratio"),
        height=inches(value("installed_height_in")),
        rod=_rod(*rod),
        speed=value("speed_rpm"),
    )


def _stated(facts: Row, name: str, family: Family) -> Value:
    if name not in facts:
        raise BadInput.at(Where(family.file), "the family's tables do not state it for this variant", name)
    return facts[name]


def _rod(outside_mm: Any, wall_mm: Any, length_in: Any) -> float:
    """Stiffness of a pushrod. [N/m]"""
    outside, wall = (to_si(float(str(each)), "mm", "length") for each in (outside_mm, wall_mm))
    return 1.0 / float(pushrod_compression(1.0, outside, wall, inches(length_in)))


def inches(value: Any) -> float:
    """Inches of a text in SI. [m]"""
    return to_si(float(str(value)), "in", "length")


def as_list(value: Any) -> tuple[Any, ...]:
    """What a text states once or several times."""
    return tuple(value) if isinstance(value, tuple | list) else (value,)
