"""What is not known about an engine, and the one question that closes most."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from tappetry.identification.evidence import FAMILY, World
from tappetry.identification.verdict import Case, remarks
from tappetry.records.evidence import Facts, Grade
from tappetry.records.family import AttributeSchema, Family
from tappetry.records.kit import Unknown

VIN = "vin"


def unknown_attributes(found: Facts, world: World) -> tuple[str, ...]:
    """Attributes of engine and vehicle that nothing tells, in the order of the shop's list."""
    return tuple(
        schema.id
        for schema in world.attributes.values()
        if schema.about in {"engine", "vehicle"} and schema.id not in found
    )


def next_question(case: Case, not_to_ask: Collection[str] = ()) -> Unknown | None:
    """The unknown or doubtful attribute that decides most others; None when none decides any.

    First what a remark about this engine asks for, then what is unknown, then what is known less well
    than a purchase demands; among equals, what decides the most attributes and parts.
    """
    family = case.family
    if family is None:
        return _first_question(case, not_to_ask)
    asked = [name for remark in remarks(case) for name in remark.ask if _open(case, name)]
    ranked = sorted(
        (
            (name not in asked, name in case.found, -len(decided), place, name, decided)
            for place, name in enumerate(case.world.attributes)
            if name not in not_to_ask and _open(case, name)
            if (decided := tuple(_decides(case, family, name))) or name in asked
        ),
    )
    if not ranked:
        return None
    *_, name, decided = ranked[0]
    return _unknown(case.world.attributes[name], decided, case.world)


def _first_question(case: Case, not_to_ask: Collection[str]) -> Unknown | None:
    """Without a family: the VIN, unless there is none to be had, else the family."""
    for name in (VIN, FAMILY):
        if name in case.world.attributes and name not in not_to_ask and name not in case.found:
            return _unknown(case.world.attributes[name], (), case.world)
    return None


def _unknown(schema: AttributeSchema, decided: tuple[str, ...], world: World) -> Unknown:
    titles = tuple(world.title(name) for name in decided)
    return Unknown(schema.id, schema.ask or f"What is the {schema.title}?", schema.see, titles)


def _open(case: Case, attribute: str) -> bool:
    """Whether an attribute is unknown, or known less well than a purchase demands."""
    schema = case.world.attributes.get(attribute)
    if schema is None or schema.about not in {"engine", "vehicle"} or attribute == FAMILY:
        return False
    fact = case.found.get(attribute)
    return fact is None or (bool(schema.grade) and fact.grade < Grade[schema.grade])


def _decides(case: Case, family: Family, attribute: str) -> Iterator[str]:
    """Every open attribute that follows from one, directly or through others, and each part they select."""
    reached = {attribute}
    grew = True
    while grew:
        grew = False
        for table in family.tables:
            if not reached.intersection(table.by):
                continue
            for row in table.rows.values():
                new = {name for name in row if name not in reached and _open(case, name)}
                grew = grew or bool(new)
                reached |= new
    yield from sorted(reached - {attribute})
    for need, fitted in family.fitted.items():
        if any(reached.intersection(table.by) for table in fitted.tables):
            yield need
