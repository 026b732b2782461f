"""Lays a finished kit out: puts every line and every kept entry in its place, then sees what stands there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from tappetry.assembly.values import Values
from tappetry.catalogue.catalogue import Catalogue
from tappetry.kitting.checker.answers import seen_of_open
from tappetry.kitting.checker.fitting import carried
from tappetry.kitting.checker.layout import (
    OWN,
    STAND_INS,
    Layout,
    Place,
    Supply,
    View,
    own_view,
    part_view,
    standing_view,
)
from tappetry.knowledge.model import Knowledge, Need, Slot
from tappetry.records.kit import Kept, Kit
from tappetry.records.plan import Plan

#: A kit in which each pass still finds something new after this many is looked at as it is then.
MOST_PASSES = 20


def lay_out(
    kit: Kit,
    fixed: Mapping[str, Any],
    plan: Plan,
    knowledge: Knowledge,
    catalogue: Catalogue,
    today: date | None,
) -> Layout:
    """Put every line and every kept entry in its place, then see what stands there."""
    rows = ((line.supplier, line.part, catalogue.find(line.supplier, line.part)) for line in kit.lines)
    parts = {(supplier, number): part for supplier, number, part in rows if part is not None}
    values = Values(knowledge, fixed)
    bare = Layout(kit, fixed, plan, knowledge, catalogue, values, today, parts)
    supplies = _supplies(bare)
    places = tuple(
        Place(need, slot, tuple(supplies.get((need.id, slot.id), ())), tuple(_kept(kit, need, slot)))
        for need in knowledge.needs.values()
        for slot in slots_of(bare, need)
    )
    standing = replace(bare, places=places)
    return replace(standing, views=_views(standing))


def _supplies(layout: Layout) -> dict[tuple[str, str], list[Supply]]:
    """What the lines claim to give, by need and slot; what they really give is in the price list."""
    supplies: dict[tuple[str, str], list[Supply]] = {}
    for line in layout.kit.lines:
        part = layout.part_of(line)
        for need, slot in dict.fromkeys((filled.need, filled.slot) for filled in line.needs):
            if part is not None:
                supply = Supply(line, part, part.pieces_for(need) * line.quantity)
                supplies.setdefault((need, slot), []).append(supply)
    return supplies


def _kept(kit: Kit, need: Need, slot: Slot) -> Iterator[Kept]:
    return (kept for kept in kit.kept if kept.need == need.id and kept.slot == slot.id)


def slots_of(layout: Layout, need: Need) -> Iterator[Slot]:
    """The places of a need: its slots, or one for each size of it that the price lists carry.

    Where the need takes one of each, only the smallest is taken while its ``only_least`` holds.
    """
    each = need.one_of_each
    if each is None:
        yield from need.slots
        return
    slot = need.slots[0]
    views = [view for _, view, passes in carried(layout, need, slot) if passes]
    sizes = sorted({view[each.attribute] for view in views if each.attribute in view})
    if not sizes:
        yield slot
        return
    only_least = each.only_least is not None and layout.values.maybe(each.only_least, {}) is True
    for size in sizes[:1] if only_least else sizes:
        yield replace(slot, id=f"{size:g}")


def _views(layout: Layout) -> dict[str, View]:
    """What stands in every place.

    Where a need has one place for each size, the smallest is what conditions see of it.
    A stand-in is new only when it meets a renewal, and a renewal may hang on what else is new; what is
    seen of an open place may hang on other open places. So each pass may find more, until one does not.
    """
    new_stand_ins: set[str] = set()
    views: dict[str, View] = {}
    for place in layout.places:
        views.setdefault(place.slot.root, _view(layout, place, new_stand_ins))
    for _ in range(MOST_PASSES):
        before = views
        views = {}
        for place in layout.places:
            if place.slot.root not in views:
                is_open = place.state == "open"
                seen = seen_of_open(layout, place, before) if is_open else _view(layout, place, new_stand_ins)
                views[place.slot.root] = seen
        found = {
            place.slot.root
            for place in layout.places
            if place.state in STAND_INS and layout.values.maybe(layout.renewal(place.need), views) is True
        }
        if views == before and found <= new_stand_ins:
            break
        new_stand_ins |= found
    return views


def _view(layout: Layout, place: Place, new_stand_ins: set[str]) -> View:
    if place.supplies:
        return part_view(layout.knowledge, place.supplies[0].part, place.need)
    if place.state == OWN:
        return own_view(layout.own_part(place.need))
    if place.state == "open":
        return {"key": "open", "state": "open"}
    found = layout.fixed.get(f"found_{place.need.root}", {})
    renewed = place.slot.root in new_stand_ins
    return standing_view(place.state, found, f"{place.state}/{renewed}", renewed)
