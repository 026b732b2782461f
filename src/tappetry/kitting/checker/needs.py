"""Whether every need is met in the way that its conditions ask for, and nothing else is in the kit."""

from __future__ import annotations

from collections.abc import Iterator

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fitting import carried
from tappetry.kitting.checker.layout import OWN, Layout, Place
from tappetry.knowledge.model import Need


def check_needs(layout: Layout) -> Iterator[CheckComplaint]:
    """Every place: needed or not, renewed or not, and met accordingly."""
    yield from _known(layout)
    for place in layout.places:
        yield from _one_way(place)
        yield from _met(layout, place)


def _known(layout: Layout) -> Iterator[CheckComplaint]:
    """Lines and kept entries speak of places that this engine has."""
    known = {(place.need.id, place.slot.id) for place in layout.places}
    said = [(filled.need, filled.slot, line.part) for line in layout.kit.lines for filled in line.needs]
    said += [(kept.need, kept.slot, kept.need) for kept in layout.kit.kept]
    for need, slot, where in said:
        if (need, slot) not in known:
            yield CheckComplaint("known-need", f"there is no place {need} {slot}".rstrip(), where)
    for line in layout.kit.lines:
        if not line.needs:
            yield CheckComplaint("known-need", f"{line.part} fills no need", line.part)


def _one_way(place: Place) -> Iterator[CheckComplaint]:
    """A need is bought or kept, and kept in one way only."""
    if len(place.kept) > 1 or (place.kept and place.supplies):
        ways = ["bought"] * bool(place.supplies) + [kept.state for kept in place.kept]
        yield CheckComplaint(
            "one-disposition", f"{place.name} is met twice: {', '.join(ways)}", place.need.id
        )


def _met(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    need = place.need
    when = [layout.values.maybe(condition, layout.views) for condition in (need.when, place.slot.when)]
    renew = True if _pinned(layout, need) else layout.values.maybe(layout.renewal(need), layout.views)
    if False in when:
        yield from _must_be(place, "none", "not-needed", f"{place.name} is not needed")
    elif None in when:
        yield from _must_be(
            place, "open", "open-fact", f"whether {place.name} is needed hangs on an unknown fact"
        )
    elif renew is None:
        yield from _must_be(
            place, "open", "open-fact", f"whether {place.name} is renewed hangs on an unknown fact"
        )
    elif not renew or _declined(layout, need):
        why = need.otherwise_why or "it is not renewed"
        yield from _must_be(place, need.otherwise, "not-renewed", f"{place.name}: {why}")
    else:
        yield from _renewed(layout, place)


def _must_be(place: Place, state: str, rule: str, why: str) -> Iterator[CheckComplaint]:
    if place.state == state:
        return
    if place.state == "none":
        rule = "need-complete"
    line = place.supplies[0].line.part if place.supplies else place.need.id
    yield CheckComplaint(rule, f"{why}: must be {state}, is {place.state}", line)


def _renewed(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    """A renewal is met by the customer's own part, else by a part of the lists, else as is written down."""
    need = place.need
    if layout.own_part(need) is not None:
        yield from _must_be(place, OWN, "own-part", f"the customer brings {place.name}")
        return
    if place.state == "new":
        return
    rows = list(carried(layout, need, place.slot))
    fitting = [part.number for part, passes in rows if passes]
    if fitting:
        rule = "need-complete" if place.state == "none" else "fallback"
        yield CheckComplaint(
            rule, f"{place.name} is renewed, and {', '.join(fitting)} would fit: is {place.state}", need.id
        )
    elif rows:
        yield from _must_be(place, "open", "open-fact", f"which {place.name} fits hangs on an unknown fact")
    else:
        yield from _must_be(
            place, _written_down(need), "fallback", f"no list carries {place.name} for this engine"
        )


def _written_down(need: Need) -> str:
    """What the need's policy says when a renewal cannot be bought.

    A need may name its own way. Else what is only inspected, reused by habit, or renewed by custom of
    the house stays; a tool or consumable comes from the shelf; what must be new is found by hand.
    """
    if need.no_part:
        return need.no_part
    if need.house:
        return "reuse"
    return {"I": "reuse", "U": "reuse", "T": "shop stock"}.get(need.written, "by hand")


def _declined(layout: Layout, need: Need) -> bool:
    return need.importance == "should" and need.id in layout.plan.declined


def _pinned(layout: Layout, need: Need) -> bool:
    """A part that the plan pins is renewed, whatever the need itself says."""
    pins = set(layout.plan.pins)
    return bool(pins) and any(part.number in pins for part in layout.catalogue.parts_for(need.id))
