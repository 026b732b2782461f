"""A large catalogue out of the invented one: copies of every part, dearer, slower, elsewhere, or other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from math import ceil
from random import Random
from typing import Any

from tappetry.catalogue.attributes import PartAttribute
from tappetry.catalogue.catalogue import Catalogue
from tappetry.records.part import Part

#: Of a hundred copies: how many fit the same engines, are other goods, or come in another pack.
SAME_ENGINES = 3
OTHER_GOODS = 10
OTHER_PACK = 15
#: Suppliers that are no shops have no copies.
NO_SHOPS = frozenset({"service", "house line"})
#: Engine families that are named nowhere else.
STRANGERS = 40


def large_catalogue(small: Catalogue, size: int, seed: int, same_engines: int = SAME_ENGINES) -> Catalogue:
    """A catalogue of about so many parts: the small one, and copies of it under other numbers.

    Cost is up to a quarter lower or higher, lead time from a day to three weeks, the supplier any. A tenth
    of the copies differ in one technical attribute, some come in half or double packs, and most fit engines
    of families that the shop does not know.
    """
    random = Random(seed)
    shops = sorted(code for code, supplier in small.suppliers.items() if supplier.kind not in NO_SHOPS)
    parts = list(small.parts)
    for copy in range(1, ceil(size / len(small.parts))):
        parts.extend(_copy(part, copy, shops, small, random, same_engines) for part in small.parts)
    return Catalogue(tuple(parts[:size]), small.suppliers, small.attributes, small.tables)


def _copy(
    part: Part, copy: int, shops: list[str], small: Catalogue, random: Random, same_engines: int
) -> Part:
    factor = random.uniform(0.75, 1.25)
    cost, price = (_cents(amount, factor) for amount in (part.cost, part.price))
    changed = replace(
        part,
        number=f"C{copy}-{part.number}",
        supplier=random.choice(shops),
        superseded_by="",
        status="discontinued" if part.superseded_by else part.status,
        cost=cost,
        price=max(cost, price),
        lead_days=random.randint(1, 15),
    )
    if random.randrange(100) < OTHER_GOODS:
        changed = replace(changed, attributes=_other(part, small.attributes, random))
    if random.randrange(100) < OTHER_PACK:
        changed = _repacked(changed, random.choice((1, 2, 2)))
    if random.randrange(100) >= same_engines:
        changed = replace(changed, fits={**part.fits, "family": (f"S{random.randrange(STRANGERS):02}",)})
    return changed


def _cents(amount: Decimal, factor: float) -> Decimal:
    return max(Decimal(round(float(amount) * factor * 100)), Decimal(1)) / 100


def _other(part: Part, known: Mapping[str, PartAttribute], random: Random) -> dict[str, Any]:
    """The attributes with one measure a little off; a part without measures stays as it is."""
    measures = sorted(name for name in part.attributes if known[name].type == "quantity")
    if not measures:
        return dict(part.attributes)
    name = random.choice(measures)
    return {**part.attributes, name: round(float(part.attributes[name]) * random.uniform(0.97, 1.03), 4)}


def _repacked(part: Part, times: int) -> Part:
    """The same goods, two packs in one or, where the pieces allow, half of one."""
    halved = times == 1 and len(part.fills) == 1 and part.fills[0].pieces % 2 == 0
    pieces = [fill.pieces // 2 if halved else fill.pieces * times for fill in part.fills]
    factor = 0.55 if halved else (1.0, 1.9)[times - 1]
    return replace(
        part,
        fills=tuple(replace(fill, pieces=count) for fill, count in zip(part.fills, pieces, strict=True)),
        pieces=part.pieces // 2 if halved else part.pieces * times,
        cost=_cents(part.cost, factor),
        price=_cents(part.price, factor),
    )
