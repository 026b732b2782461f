"""What the tables of a family say of an engine variant."""

from __future__ import annotations

from tappetry.records.evidence import Value
from tappetry.records.family import Family, key_text
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop

VARIANT, FACTORY_GRIND = "variant", "factory-grind"
#: The camshaft that stands in the engine, the factory's or one that was put in.
CAM_GRIND = "cam-grind"


def variant_facts(shop: Shop, variant: str) -> tuple[Family, dict[str, Value]]:
    """The family of a variant, and what its tables say of it.

    Raises
    ------
    BadInput
        No family has such a variant.
    """
    known = []
    for family in shop.engines.families.values():
        rows = [key for table in family.tables if table.by == (VARIANT,) for key in table.rows]
        if (variant,) in rows:
            facts: dict[str, Value] = {**family.attributes, VARIANT: variant}
            for table in family.tables:
                if all(name in facts for name in table.by):
                    row = table.rows.get(tuple(key_text(facts[name]) for name in table.by), {})
                    facts = {**row, **facts}
            return family, facts
        known += [key[0] for key in rows]
    names = ", ".join(dict.fromkeys(known))
    raise BadInput.at(Where(field=VARIANT), "no family has such a variant", variant, f"one of {names}")
