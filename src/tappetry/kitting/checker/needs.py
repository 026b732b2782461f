"""Whether every need is met in the way that its conditions ask for, and nothing else is in the kit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fit import broken_rules
from tappetry.kitting.checker.fitting import carried
from tappetry.kitting.checker.layout import OWN, Layout, Place, View, own_view, part_view, standing_view
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.model import Need
from tappetry.records.part import Part


@dataclass(frozen=True, slots=True)
class Due:
    """The state in which a place must be, the rule that says so, and why."""

    state: str
    rule: str
    why: str


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
    """What stands in a place is what its conditions ask for."""
    if place.state == "open":
        yield from _rightly_open(layout, place)
        return
    due = _due(layout, place, layout.views)
    line = place.supplies[0].line.part if place.supplies else place.need.id
    if place.state != due.state:
        rule = "need-complete" if place.state == "none" else due.rule
        yield CheckComplaint(rule, f"{place.name} {due.why}: must be {due.state}, is {place.state}", line)
    elif place.state == "new" and _is_its_own_reason(layout, place):
        text = f"{place.name} is renewed only because a new one stands there: {place.need.otherwise} would do"
        yield CheckComplaint("not-renewed", text, line)


def _rightly_open(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    """A place stays open only where nothing that could stand there would settle its own question."""
    for state, view in _could_stand(layout, place):
        if _due(layout, place, {**layout.views, place.slot.root: view}).state == state:
            text = f"{place.name} stands open, and {state} is what the known facts ask for"
            yield CheckComplaint("open-fact", text, place.need.id)


def _could_stand(layout: Layout, place: Place) -> Iterator[tuple[str, View]]:
    """Nothing, the old one, what is written down for want of a part, the customer's own, a part that fits."""
    need = place.need
    found = layout.fixed.get(f"found_{need.root}", {})
    yield "none", standing_view("none", {}, "none", renewed=False)
    if need.otherwise != "none":
        yield need.otherwise, standing_view(need.otherwise, found, "otherwise", renewed=False)
    if written := _written_down(need):
        yield written, standing_view(written, found, "written", renewed=written != "reuse")
    yield OWN, own_view(layout.own_part(need))
    for part, passes in carried(layout, need, place.slot):
        if passes:
            yield "new", part_view(layout.knowledge, part, need)


def _is_its_own_reason(layout: Layout, place: Place) -> bool:
    """Whether a part is renewed for no other reason than that it is new, and the old one breaks no rule."""
    need, root = place.need, place.slot.root
    if root not in layout.values.reads([layout.renewal(need)]):
        return False
    found = layout.fixed.get(f"found_{need.root}", {})
    old = standing_view(need.otherwise, found, "otherwise", renewed=False)
    due = _due(layout, place, {**layout.views, root: old})
    return due.state == need.otherwise and not any(broken_rules(layout, place, old))


def _due(layout: Layout, place: Place, views: Mapping[str, View]) -> Due:
    """The state that a place's conditions ask for, and under which rule."""
    need = place.need
    when = [layout.values.maybe(condition, views) for condition in (need.when, place.slot.when)]
    renew = True if _pinned(layout, need) else layout.values.maybe(layout.renewal(need), views)
    stays = renew is False or _declined(layout, need)
    if False in when:
        return Due("none", "not-needed", "is not needed")
    if None in when:
        nothing = stays and need.otherwise == "none"
        return Due("none" if nothing else "open", "open-fact", "may be needed, a fact is missing")
    if stays:
        return Due(need.otherwise, "not-renewed", f"is not renewed ({need.otherwise_why or need.title})")
    if renew is None:
        return Due("open", "open-fact", "may be renewed, a fact is missing")
    if layout.own_part(need) is not None:
        return Due(OWN, "own-part", "is brought by the customer")
    return _bought(layout, place, views)


def _bought(layout: Layout, place: Place, views: Mapping[str, View]) -> Due:
    """A renewal is bought while a list carries a part that fits, else met as is written down."""
    rows = list(carried(layout, place.need, place.slot))
    fitting = [part for part, passes in rows if passes]
    if fitting and not _can_be_counted(layout, place, views, fitting[0]):
        return Due("open", "open-fact", "is renewed, how many are wanted hangs on a missing fact")
    if fitting:
        numbers = " or ".join(part.number for part in fitting)
        return Due("new", "renewal", f"is renewed, {numbers} would fit")
    if rows:
        return Due("open", "open-fact", "is renewed, which part fits hangs on a missing fact")
    written = _written_down(place.need)
    rule = "fallback" if written else "renewal"
    return Due(written or "new", rule, "is renewed, no list carries it for this engine")


def _can_be_counted(layout: Layout, place: Place, views: Mapping[str, View], part: Part) -> bool:
    """Whether it is known how many pieces a place takes of a part."""
    try:
        layout.values.number(
            place.slot.pieces, {**views, place.slot.root: part_view(layout.knowledge, part, place.need)}
        )
    except Unknown:
        return False
    return True


def _written_down(need: Need) -> str:
    """What the need's policy says when a renewal cannot be bought; empty when nothing else will do.

    A need may name its own way. Else what is only inspected, reused by habit, or renewed by custom of
    the house stays; a tool or consumable comes from the shelf.
    """
    if need.no_part:
        return need.no_part
    if need.house:
        return "reuse"
    return {"I": "reuse", "U": "reuse", "T": "shop stock"}.get(need.written, "")


def _declined(layout: Layout, need: Need) -> bool:
    return need.importance == "should" and need.id in layout.plan.declined


def _pinned(layout: Layout, need: Need) -> bool:
    """A part that the plan pins is renewed, whatever the need itself says."""
    pins = set(layout.plan.pins)
    return bool(pins) and any(part.number in pins for part in layout.catalogue.parts_for(need.id))
