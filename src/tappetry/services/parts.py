"""Finds parts by number, words, need or supplier, and tells what is known of one."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain, islice

from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop

#: How many parts a search shows, and how many it counts.
MOST, MOST_COUNTED = 60, 500


@dataclass(frozen=True, slots=True)
class Found:
    """The first parts of a search, and how many there are; ``more`` where they were not all counted."""

    parts: tuple[Part, ...]
    count: int
    more: bool = False


@dataclass(frozen=True, slots=True)
class PartCard:
    """A part with the titles of what it fills, what replaces it and what it replaces."""

    part: Part
    supplier: str
    fills: tuple[tuple[str, str, int], ...]
    replaced_by: Part | None
    replaces: tuple[str, ...]


def find_parts(shop: Shop, words: str, need: str = "") -> Found:
    """Parts that hold every one of some words; a part of just this number comes first."""
    catalogue = shop.catalogue
    named = catalogue.numbered(words) if words else ()
    meant = [part for part in named if not need or part.pieces_for(need)]
    others = (part for part in shop.words.find(words.split(), need) if part not in meant)
    found = list(islice(chain(meant, others), MOST_COUNTED + 1))
    return Found(tuple(found[:MOST]), min(len(found), MOST_COUNTED), len(found) > MOST_COUNTED)


def part_card(shop: Shop, supplier: str, number: str) -> PartCard:
    """What is known of a part.

    Raises
    ------
    BadInput
        No list carries it; numbers that may be meant are named.
    """
    part = shop.catalogue.find(supplier, number)
    if part is None:
        close = shop.catalogue.close_numbers(number)
        expected = f"perhaps {' or '.join(close)}" if close else "a number of a supplier's list"
        raise BadInput.at(Where("parts"), "no list carries this part", f"{supplier} {number}", expected)
    titles, suppliers = shop.knowledge.titles(), shop.catalogue.suppliers
    return PartCard(
        part=part,
        supplier=suppliers[part.supplier].name if part.supplier in suppliers else part.supplier,
        fills=tuple((fill.need, titles.get(fill.need, fill.need), fill.pieces) for fill in part.fills),
        replaced_by=shop.catalogue.successor(part),
        replaces=shop.catalogue.where_used(part).successor_of,
    )
