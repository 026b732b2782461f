"""Conflicts of open questions, whole packs and boxes, each on a small shop made for it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tappetry.kitting.conflicts import core_of
from tappetry.kitting.resolve import attempt
from tappetry.records.part import Fill, Part, Supplier
from tests.kitting.small_shops import SmallNeed, SmallRule, SmallShop, SmallSlot, Test, Value

PLAIN = Supplier("SA", "SA")


def part(number: str, *fills: Fill, **attributes: Any) -> Part:
    return Part(
        number=number,
        supplier="SA",
        description=f"part {number}",
        fills=fills,
        unit="each",
        pieces=1,
        cost=Decimal("1.00"),
        price=Decimal("2.00"),
        lead_days=0,
        attributes=attributes,
    )


def need(name: str, pieces: int = 2, match: tuple[SmallRule, ...] = (), **more: Any) -> SmallNeed:
    return SmallNeed(name, (SmallSlot(name, pieces, match),), **more)


OPEN = SmallShop(
    needs=(need("n0", when=Test(Value("engine", "unseen"))),),
    parts=(part("A", Fill("n0", 2), size=1.0),),
    suppliers=(PLAIN,),
    engine={"hot": True},
    pins=("A",),
)
TWO_PACKS = SmallShop(
    needs=(need("n0"),),
    parts=(part("A", Fill("n0", 2), size=1.0), part("B", Fill("n0", 2), size=1.0)),
    suppliers=(PLAIN,),
    pins=("A", "B"),
)
BOXED = SmallShop(
    needs=(need("n0"), need("n1")),
    parts=(
        part("Q", Fill("n0", 2, {"size": 1.0}), Fill("n1", 2, {"size": 1.0})),
        part("B", Fill("n1", 2), size=2.0),
    ),
    suppliers=(PLAIN,),
    pins=("B",),
)


def told(shop: SmallShop) -> tuple[set[tuple[str, str]], str]:
    core = core_of(shop.request())
    text = "\n".join([*(ground.text for ground in core.grounds), core.arithmetic])
    return {(element.kind, element.name) for element in core.elements}, text


def test_a_pinned_part_has_no_place_while_a_fact_is_missing() -> None:
    elements, text = told(OPEN)
    assert elements == {("pin", "A"), ("question", "n0")}
    assert "n0 stays open until it is known: unseen" in text
    assert attempt(replace(OPEN, engine={"unseen": True}).request())[1] is not None


def test_two_pinned_packs_of_which_one_is_enough() -> None:
    elements, text = told(TWO_PACKS)
    assert elements == {("pin", "A"), ("pin", "B"), ("whole packs", "")}
    assert "no unit is bought that no place needs" in text
    assert "n0: 2 pieces wanted; A gives 2, B gives 2" in text
    more = replace(TWO_PACKS, needs=(need("n0", pieces=3),))
    assert attempt(more.request())[1] is not None, "three pieces need both"


def test_nothing_is_pinned_beside_the_only_box_that_holds_it() -> None:
    elements, text = told(BOXED)
    assert elements == {("pin", "B"), ("need", "n0"), ("catalogue", "n0"), ("box", "")}
    assert "what a box holds is not bought beside it" in text
    unfit = SmallRule("n1-match", Test(Value("n1", "size"), "!=", Value("n0", "size")))
    other = replace(BOXED, needs=(need("n0"), need("n1", match=(unfit,))))
    assert attempt(other.request())[1] is not None, (
        "where the piece in the box would not do, it may be pinned"
    )


@pytest.mark.parametrize("shop", [OPEN, TWO_PACKS, BOXED])
def test_without_any_one_of_its_pins_the_request_is_met(shop: SmallShop) -> None:
    assert attempt(shop.request())[1] is None
    for pin in shop.pins:
        fewer = replace(shop, pins=tuple(other for other in shop.pins if other != pin))
        assert attempt(fewer.request())[1] is not None, pin
