"""What a measurement changes: the kit and its proofs before and after, and which lines become others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import partial

from tappetry.assembly.roots import facts_by_name, fixed_roots
from tappetry.assembly.values import Values
from tappetry.catalogue.attributes import PartAttribute, ValueProblem
from tappetry.knowledge.model import Knowledge
from tappetry.knowledge.spreads import ENGINE
from tappetry.proofs.doubt import with_doubt
from tappetry.proofs.leaves import BENCH, leaf_of
from tappetry.proofs.margins import prove
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.job import Job
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Complaints, Where
from tappetry.records.verdict import Proof
from tappetry.services.differences import Difference, difference
from tappetry.services.doubts import doubted, listed
from tappetry.services.identify import read_fact
from tappetry.services.kits import KitResult, identify_job, kit_for_job
from tappetry.services.shop import Shop
from tappetry.services.sides import Side, side

#: Figures that differ by less are the same.
DIGITS = 9


@dataclass(frozen=True, slots=True)
class Size:
    """One measured value of a part: its name in conditions, the value, and the spread stated with it."""

    name: str
    value: Value
    spread: Toleranced | None

    @property
    def root(self) -> str:
        """The place that it is in."""
        return self.name.partition(".")[0]

    @property
    def member(self) -> str:
        """The attribute that was measured."""
        return self.name.partition(".")[2]


@dataclass(frozen=True, slots=True)
class Measured:
    """What measurements change in a job.

    ``before`` and ``after`` are the kits as stated and as measured, ``after`` with the refusal where no kit
    is left. ``as_ordered`` are the proofs of the parts of the first kit with everything that was measured.
    """

    before: Side
    as_ordered: tuple[Proof, ...]
    after: Side
    difference: Difference | None

    def moved(self) -> Iterator[tuple[Proof | None, Proof]]:
        """The proofs whose value, limit or band is another one now, as they were and as they are."""
        was = {} if self.before.kit is None else {proof.id: proof for proof in self.before.kit.proofs}
        for proof in self.as_ordered:
            old = was.get(proof.id)
            if old is None or _figures(old) != _figures(proof):
                yield old, proof


def _figures(proof: Proof) -> tuple[float | None, ...]:
    return tuple(
        None if each is None else round(each, DIGITS)
        for each in (proof.value, proof.limit, proof.band, proof.chance_of_failing)
    )


def measured(shop: Shop, job: Job, readings: Iterable[str], said_in: str) -> Measured:
    """What measurements change in the kit of a job: proofs at once, and lines where a proof asks for it.

    Parameters
    ----------
    readings : iterable of str
        Each ``name=value`` in shop notation: an attribute of the engine (``installed-height=1.8 in ±0.002``)
        or an attribute of the part that fills a place of the kit (``valve_springs.solid_in=1.125 in``).
    said_in : str
        Where the readings stand, for complaints.

    Raises
    ------
    BadInput
        With every complaint: a name that nothing has, a value that cannot be read, a place with no new part.
    Refusal
        There is no kit before the measurement.
    """
    where = Where(said_in)
    facts, sizes = _read(shop.knowledge, readings, where)
    before = doubted(shop, kit_for_job(shop, job))
    other = replace(job, facts=(*facts, *job.facts))
    bench = shop.with_parts(_as_measured(shop, before, sizes, where)) if sizes else shop
    sides = (
        Side("before", "as stated", job, before),
        side(partial(_doubted_kit, bench, sizes), other, "after", "as measured"),
    )
    return Measured(
        sides[0], _as_ordered(shop, before, other, sizes), sides[1], difference(shop.knowledge, *sides)
    )


def _doubted_kit(shop: Shop, sizes: Iterable[Size], job: Job) -> KitResult:
    """A kit with the doubt of its proofs; what was measured counts where that part still stands."""
    result = kit_for_job(shop, job)
    views = result.resolution.views
    still = {
        each.name: each.spread for each in sizes if views.get(each.root, {}).get(each.member) == each.value
    }
    return doubted(shop, result, still)


def _as_ordered(shop: Shop, before: KitResult, job: Job, sizes: Iterable[Size]) -> tuple[Proof, ...]:
    """The proofs of the parts of a kit, with the engine and the parts as they were measured."""
    knowledge = shop.knowledge
    engine = identify_job(shop, job).engine_as_found
    facts = facts_by_name(knowledge.attributes, engine)
    values = Values(knowledge, fixed_roots(knowledge, engine, job))
    views = {root: dict(view) for root, view in before.resolution.views.items()}
    for size in sizes:
        views[size.root][size.member] = size.value
    sources = {f"{ENGINE}.{name}": f"{fact.grade.name}: {fact.source}" for name, fact in facts.items()}
    proved = (prove(values, rule, views, job.signatures, sources) for rule in knowledge.proofs.values())
    readings = {size.name: size.spread for size in sizes}
    leaves = leaf_of(knowledge, facts, readings, listed(shop, before))
    return with_doubt(values, views, [proof for proof in proved if proof is not None], leaves)


# ---- reading -----------------------------------------------------------------------------------------------


def _read(
    knowledge: Knowledge, readings: Iterable[str], where: Where
) -> tuple[tuple[Fact, ...], tuple[Size, ...]]:
    """The facts of the engine and the sizes of parts that readings state."""
    complaints = Complaints()
    by_name = {each.name_in_conditions: each.id for each in knowledge.attributes.values()}
    facts: list[Fact | None] = []
    sizes: list[Size | None] = []
    for reading in readings:
        name, equals, text = (word.strip() for word in reading.partition("="))
        root, dot, member = name.partition(".")
        if not equals:
            complaints.add(where, "a measurement cannot be read", reading, "name=value")
        elif dot and root != ENGINE:
            sizes.append(_size(knowledge, name, text, where, complaints))
        else:
            attribute = by_name.get(member or name, member or name)
            grade = Grade.measured.name
            facts.append(read_fact(knowledge, attribute, text, grade, BENCH, where, complaints))
    complaints.raise_if_any()
    return tuple(f for f in facts if f is not None), tuple(s for s in sizes if s is not None)


def _size(knowledge: Knowledge, name: str, text: str, where: Where, complaints: Complaints) -> Size | None:
    root, _, member = name.partition(".")
    for word, known, what, otherwise in (
        (root, knowledge.slots(), "place in the kit", "a need, as conditions name it"),
        (member, knowledge.part_attributes, "attribute of a part", "one of the shop's part-attributes.yaml"),
    ):
        if word not in known:
            close = get_close_matches(word, known, 1)
            hint = f"did you mean {close[0]}?" if close else otherwise
            complaints.add(where, f"there is no such {what}", word, hint)
            return None
    attribute = _attribute(knowledge, member)
    try:
        value = attribute.read(text)
        return Size(name, value, _spread(attribute, text, value))
    except ValueProblem as problem:
        complaints.add(where, problem.message, text, problem.expected)
        return None


def _attribute(knowledge: Knowledge, member: str) -> PartAttribute:
    stated: Mapping[str, str] = knowledge.part_attributes[member]
    return PartAttribute(
        member, stated["title"], stated["type"], stated.get("kind", ""), stated.get("unit", "")
    )


def _spread(attribute: PartAttribute, text: str, value: Value) -> Toleranced | None:
    """The limits that stand with a value, in the attribute's own unit."""
    limits = attribute.spread(text)
    if limits is None or not isinstance(value, float):
        return None
    return Toleranced(value, *limits, Spread.LIMITS, Origin.STATED)


# ---- parts as measured -------------------------------------------------------------------------------------


def _as_measured(shop: Shop, result: KitResult, sizes: Iterable[Size], where: Where) -> tuple[Part, ...]:
    """All parts, those of the kit with what was measured of them."""
    slots = shop.knowledge.slots()
    parts = {(part.supplier, part.number): part for part in shop.catalogue.parts}
    for size in sizes:
        slot = slots[size.root]
        lines = [
            line
            for line in result.kit.lines
            if any((filled.need, filled.slot) == (slot.need, slot.id) for filled in line.needs)
        ]
        if not lines:
            expected = "a place that the kit buys a part for; what stays in the engine is a fact of it"
            raise BadInput.at(where, "no part is bought for this place", size.root, expected)
        for line in lines:
            key = line.supplier, line.part
            parts[key] = _with_size(parts[key], slot.need, size)
    return tuple(parts.values())


def _with_size(part: Part, need: str, size: Size) -> Part:
    """A part that states what was measured of it in the place of a need."""
    fills = tuple(
        replace(fill, attributes={**fill.attributes, size.member: size.value}) if fill.need == need else fill
        for fill in part.fills
    )
    return replace(part, fills=fills)
