"""Pieces against units: enough for every place, no unit too many, nothing twice, and the rest told."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fit import broken_rules
from tappetry.kitting.checker.layout import OWN, Layout, Place, Supply, part_view
from tappetry.knowledge.language import Unknown
from tappetry.records.kit import Line
from tappetry.records.part import Part


@dataclass(frozen=True, slots=True)
class Pool:
    """Places of one need that draw on the same lines, such as two slots out of one set."""

    places: tuple[Place, ...]
    supplies: tuple[Supply, ...]
    required: int

    @property
    def given(self) -> int:
        """The pieces of all lines together."""
        return sum(supply.pieces for supply in self.supplies)

    @property
    def name(self) -> str:
        """The places by name."""
        return ", ".join(place.name for place in self.places)


def check_packs(layout: Layout) -> Iterator[CheckComplaint]:
    """The arithmetic of pieces, sets and boxes."""
    pools = list(_pools(layout))
    for place in layout.places:
        yield from _as_filled(layout, place)
        yield from _as_kept(layout, place)
    for pool in pools:
        yield from _enough(pool)
    yield from _own_enough(layout)
    yield from _no_unit_too_many(layout, pools)
    yield from _boxes_first(layout)
    yield from _left_over(layout, pools)


def required(layout: Layout, place: Place) -> int | None:
    """The pieces that a place takes, by its own expression; None when that hangs on an unknown fact."""
    try:
        number = layout.values.number(place.slot.pieces, layout.views)
    except Unknown:
        return None
    return max(0, math.ceil(number - 1e-9))


# ---- what the kit says of its own pieces -------------------------------------------------------------------


def _as_filled(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    wanted = required(layout, place)
    if place.supplies and wanted is None:
        yield CheckComplaint(
            "pieces", f"how many {place.name} are wanted hangs on an unknown fact", place.need.id
        )
    for supply in place.supplies:
        number = supply.line.part
        if supply.pieces == 0:
            yield CheckComplaint("pieces", f"{number} gives nothing to {place.name}", number)
        for filled in supply.line.needs:
            if (filled.need, filled.slot) != (place.need.id, place.slot.id):
                continue
            if filled.given != supply.pieces:
                text = f"{number} gives {supply.pieces} to {place.name}, the line says {filled.given}"
                yield CheckComplaint("pieces", text, number)
            if wanted is not None and filled.required != wanted:
                text = f"{place.name} takes {wanted}, the line says {filled.required}"
                yield CheckComplaint("pieces", text, number)


def _as_kept(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    for kept in place.kept:
        wanted = 0 if kept.state == "open" else required(layout, place)
        if wanted is not None and kept.pieces != wanted:
            text = f"{place.name} takes {wanted}, the kept entry says {kept.pieces}"
            yield CheckComplaint("pieces", text, place.need.id)


# ---- enough, and not too much ----------------------------------------------------------------------------


def _pools(layout: Layout) -> Iterator[Pool]:
    """Bought places, joined where one line feeds several places of a need."""
    for need in layout.knowledge.needs.values():
        waiting = [place for place in layout.places if place.need is need and place.supplies]
        while waiting:
            joined = [waiting.pop(0)]
            for place in list(waiting):
                if any(_share_a_line(place, other) for other in joined):
                    joined.append(place)
                    waiting.remove(place)
            lines = {id(supply.line): supply for place in joined for supply in place.supplies}
            wanted = sum(required(layout, place) or 0 for place in joined)
            yield Pool(tuple(joined), tuple(lines.values()), wanted)


def _share_a_line(one: Place, other: Place) -> bool:
    return any(a.line is b.line for a in one.supplies for b in other.supplies)


def _enough(pool: Pool) -> Iterator[CheckComplaint]:
    if pool.given < pool.required:
        units = " + ".join(f"{s.line.quantity} x {s.line.part} ({s.pieces})" for s in pool.supplies)
        short = _short(pool.required - pool.given)
        text = f"{pool.name}: {pool.required} wanted, {pool.given} given by {units}: {short}"
        yield CheckComplaint("pack-maths", text, pool.supplies[0].line.part)


def _own_enough(layout: Layout) -> Iterator[CheckComplaint]:
    """What the customer brings is as many pieces as its places take."""
    for need in layout.knowledge.needs.values():
        brought = sum(own.pieces for own in layout.plan.own_parts if own.need == need.id)
        places = [place for place in layout.places if place.need is need and place.state == OWN]
        wanted = sum(required(layout, place) or 0 for place in places)
        if wanted > brought:
            text = (
                f"{need.id}: {wanted} wanted, {brought} brought by the customer: {_short(wanted - brought)}"
            )
            yield CheckComplaint("pack-maths", text, need.id)


def _short(pieces: int) -> str:
    return f"short by {pieces} {'piece' if pieces == 1 else 'pieces'}"


def _no_unit_too_many(layout: Layout, pools: Iterable[Pool]) -> Iterator[CheckComplaint]:
    """Take one unit of a line away: some place must then want for pieces, else the unit is too many."""
    pools = list(pools)
    for line in layout.kit.lines:
        part = layout.part_of(line)
        fed = [pool for pool in pools if any(supply.line is line for supply in pool.supplies)]
        if part is None or not fed:
            continue
        if all(pool.given - part.pieces_for(pool.places[0].need.id) >= pool.required for pool in fed):
            others = [s.line.part for pool in fed for s in pool.supplies if s.line is not line]
            rule = "double-supply" if others else "overbuy"
            beside = f" beside {', '.join(dict.fromkeys(others))}" if others else ""
            names = "; ".join(f"{pool.name} {pool.required} wanted, {pool.given} given" for pool in fed)
            text = f"{line.quantity} x {line.part}{beside} is a unit too many: {names}"
            yield CheckComplaint(rule, text, line.part)


def _boxes_first(layout: Layout) -> Iterator[CheckComplaint]:
    """What stands in a box on the order is not bought again, as long as it fits its place."""
    for line in layout.kit.lines:
        part = layout.part_of(line)
        if part is None or len({fill.need for fill in part.fills}) < 2:
            continue
        for place in layout.places:
            loose = [s.line.part for s in place.supplies if s.line is not line]
            takes = any(supply.line is line for supply in place.supplies)
            if loose and not takes and part.pieces_for(place.need.id) and _would_fit(layout, place, part):
                text = f"{line.part} holds {place.name}, and {', '.join(loose)} is bought for it again"
                yield CheckComplaint("double-supply", text, loose[0])


def _would_fit(layout: Layout, place: Place, part: Part) -> bool:
    view = part_view(layout.knowledge, part, place.need)
    return not any(broken_rules(layout, place, view))


# ---- what stays over -------------------------------------------------------------------------------------


def _left_over(layout: Layout, pools: Iterable[Pool]) -> Iterator[CheckComplaint]:
    """Given less required, contents that no place takes, and the rest of a box of which one piece is used."""
    due = Counter[str]()
    for pool in pools:
        due[pool.places[0].need.title] += pool.given - pool.required
    for line in layout.kit.lines:
        part = layout.part_of(line)
        if part is not None:
            due.update(_not_taken(layout, line, part))
            due.update(_rest_of_box(line, part))
    said = Counter[str]()
    for left in layout.kit.left_over:
        said[left.item] += left.pieces
    for item in sorted(due.keys() | said.keys()):
        if said[item] != max(0, due[item]):
            text = f"{item}: {max(0, due[item])} stay over, the kit says {said[item]}"
            yield CheckComplaint("left-over", text, item)


def _not_taken(layout: Layout, line: Line, part: Part) -> Mapping[str, int]:
    """Pieces for needs that take nothing from this line."""
    taken = {filled.need for filled in line.needs}
    needs = layout.knowledge.needs
    return {
        needs[fill.need].title: fill.pieces * line.quantity
        for fill in part.fills
        if fill.need in needs and fill.need not in taken
    }


def _rest_of_box(line: Line, part: Part) -> Mapping[str, int]:
    if not line.use_from_box:
        return {}
    return {
        content.item: content.pieces * line.quantity
        for content in part.contents
        if not line.use_from_box.startswith(f"{content.item}:")
    }
