"""How well the proofs of a kit are known: worked out for a kit that somebody is shown, and no other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tappetry.assembly.roots import facts_by_name
from tappetry.proofs.doubt import with_doubt
from tappetry.proofs.leaves import leaf_of
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.services.kits import KitResult
from tappetry.services.shop import Shop


def doubted(
    shop: Shop, result: KitResult, measured: Mapping[str, Toleranced | None] | None = None
) -> KitResult:
    """The same kit, its proofs with band, chance of failing and what would narrow them.

    ``measured`` are values of parts that were measured, by name (``valve_springs.solid_in``), with the spread
    that was stated with them.
    """
    facts = facts_by_name(shop.knowledge.attributes, result.identification.engine_as_found)
    resolution = result.resolution
    known = leaf_of(shop.knowledge, facts, measured, listed(shop, result))
    proofs = with_doubt(resolution.values, resolution.views, result.kit.proofs, known)
    return replace(result, kit=replace(result.kit, proofs=proofs))


def listed(shop: Shop, result: KitResult) -> dict[str, Toleranced]:
    """The tolerances that suppliers' lists state of the parts of a kit, by name in conditions."""
    root_of = {(slot.need, slot.id): root for root, slot in shop.knowledge.slots().items()}
    found = {}
    for line in result.kit.lines:
        part = shop.catalogue.find(line.supplier, line.part)
        spreads = {} if part is None else part.spreads
        for filled in line.needs if spreads else ():
            root = root_of.get((filled.need, filled.slot), "")
            view = result.resolution.views.get(root, {})
            for member, (plus, minus) in spreads.items():
                if isinstance(view.get(member), float):
                    found[f"{root}.{member}"] = Toleranced(
                        view[member], plus, minus, Spread.LIMITS, Origin.STATED
                    )
    return found
