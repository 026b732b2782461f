"""Finds parts by number, words, need or supplier, and tells what is known of one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tappetry.catalogue.identity import normal
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop

#: How many parts a search shows.
MOST = 60


@dataclass(frozen=True, slots=True)
class Found:
    """The first parts of a search, and how many there are."""

    parts: tuple[Part, ...]
    count: int


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
    catalogue, titles = shop.catalogue, shop.knowledge.titles()
    wanted = words.lower().split()
    meant = catalogue.numbered(words) if words else ()
    pool: Iterable[Part] = catalogue.parts_for(need) if need else catalogue.parts
    found = [
        part for part in pool if part not in meant and all(_holds(part, word, titles) for word in wanted)
    ]
    every = [*(part for part in meant if not need or part.pieces_for(need)), *found]
    return Found(tuple(every[:MOST]), len(every))


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


def _holds(part: Part, word: str, titles: dict[str, str]) -> bool:
    """Whether a part's number, words, supplier or needs hold a word."""
    said = [part.description, part.supplier, *(titles.get(fill.need, fill.need) for fill in part.fills)]
    plain = normal(word)
    return any(word in each.lower() for each in said) or bool(plain and plain in normal(part.number))
