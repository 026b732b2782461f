"""What must hold between the parts of a list: each number once, and supersessions that end somewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tappetry.catalogue.attributes import closest
from tappetry.catalogue.identity import Identity, identity
from tappetry.records.part import Part
from tappetry.records.problems import Complaints, Where


def check_parts(parts: Sequence[Part], places: Sequence[Where], complaints: Complaints) -> None:
    """Complain of numbers that stand twice, unknown successors and supersessions in a circle."""
    by_identity: dict[Identity, int] = {}
    for index, part in enumerate(parts):
        key = identity(part.supplier, part.number)
        if key in by_identity:
            first = places[by_identity[key]].line
            where = replace(places[index], field="number")
            complaints.add(
                where,
                f"the number stands twice for {part.supplier}",
                part.number,
                f"only that of line {first}",
            )
        else:
            by_identity[key] = index
    for index, part in enumerate(parts):
        if part.superseded_by and identity(part.supplier, part.superseded_by) not in by_identity:
            where = replace(places[index], field="superseded_by")
            near = closest(
                part.superseded_by, [p.number for p in parts if p.supplier == part.supplier and p is not part]
            )
            expected = f"did you mean {near}?" if near else f"a number of {part.supplier}"
            complaints.add(where, "the successor is in no row", part.superseded_by, expected)
    for circle in circles(parts):
        index = by_identity[identity(circle[0].supplier, circle[0].number)]
        where = replace(places[index], field="superseded_by")
        chain = " -> ".join([*(part.number for part in circle), circle[0].number])
        complaints.add(
            where, "the supersessions go round in a circle", chain, "a chain that ends at a part that is sold"
        )


def circles(parts: Sequence[Part]) -> list[tuple[Part, ...]]:
    """Every circle of supersessions, each once, from its first part in the list on."""
    by_identity = {identity(part.supplier, part.number): part for part in parts}
    done: set[Identity] = set()
    found = []
    for part in parts:
        chain: dict[Identity, Part] = {}
        here: Part | None = part
        while here is not None and here.superseded_by:
            key = identity(here.supplier, here.number)
            if key in done:
                break
            if key in chain:
                found.append(tuple(list(chain.values())[list(chain).index(key) :]))
                break
            chain[key] = here
            here = by_identity.get(identity(here.supplier, here.superseded_by))
        done.update(chain)
    return found
