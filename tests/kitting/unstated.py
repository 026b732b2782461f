"""The invented shop with less in its text: families that do not say something, needs with one more rule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from tappetry.knowledge.language import compile_expression
from tappetry.knowledge.model import Knowledge, Rule
from tappetry.records.family import Family, Table
from tappetry.records.problems import Where
from tappetry.services.shop import Shop
from tests.kitting.support import demo


def shop_of(knowledge: Knowledge) -> Shop:
    """The invented shop with other knowledge."""
    shop = Shop(demo().folder)
    shop.__dict__.update(knowledge=knowledge, catalogue=demo().catalogue)
    return shop


def shop_that_does_not_say(*attributes: str) -> Shop:
    """The shop whose families tell nothing of some attributes: only a job can state them."""
    families = {name: _silent(family, attributes) for name, family in demo().knowledge.families.items()}
    return shop_of(replace(demo().knowledge, families=families))


def shop_with_a_match(need: str, that: str, when: str | None = None) -> Shop:
    """The shop with one more rule for a new part of a need."""
    knowledge = demo().knowledge
    rule = Rule(
        "one-more",
        compile_expression(that, Where("test")),
        "the test wants it",
        "shop",
        None if when is None else compile_expression(when, Where("test")),
    )
    changed = knowledge.needs[need]
    slots = tuple(replace(slot, match=(*slot.match, rule)) for slot in changed.slots)
    return shop_of(replace(knowledge, needs={**knowledge.needs, need: replace(changed, slots=slots)}))


def _silent(family: Family, attributes: tuple[str, ...]) -> Family:
    def told(row: Mapping[str, Any]) -> dict[str, Any]:
        return {name: value for name, value in row.items() if name not in attributes}

    def table(one: Table) -> Table:
        return replace(one, rows={key: told(row) for key, row in one.rows.items()})

    return replace(
        family,
        attributes=told(family.attributes),
        tables=tuple(map(table, family.tables)),
        applications=tuple(replace(a, attributes=told(a.attributes)) for a in family.applications),
    )
