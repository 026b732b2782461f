"""Whether every need is met in the way that its conditions ask for, and nothing else is in the kit."""

from __future__ import annotations

from collections.abc import Iterator

from tappetry.kitting.checker.answers import Answer, answers, due, question
from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fit import broken_rules
from tappetry.kitting.checker.layout import Layout, Place, standing_view
from tappetry.kitting.checker.packs import required


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
    if place.state == "none" and required(layout, place) == 0:
        return
    asked = due(layout, place, layout.views)
    line = place.supplies[0].line.part if place.supplies else place.need.id
    if place.state != asked.state:
        rule = "need-complete" if place.state == "none" else asked.rule
        text = f"{place.name} {asked.why}: must be {asked.state}, is {place.state}"
        yield CheckComplaint(rule, text, line)
    elif place.state == "new" and _is_its_own_reason(layout, place):
        text = f"{place.name} is renewed only because a new one stands there: {place.need.otherwise} would do"
        yield CheckComplaint("not-renewed", text, line)


def _rightly_open(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    """A place stays open only where nothing that could stand there would settle its own question."""
    if question(layout, place, layout.views) is not None:
        return
    for answer in answers(layout, place):
        seen = {**layout.views, place.slot.root: answer.view}
        if answer.sure and due(layout, place, seen).asks_for(answer):
            text = f"{place.name} stands open, and {answer.state} is what the known facts ask for"
            yield CheckComplaint("open-fact", text, place.need.id)
            return


def _is_its_own_reason(layout: Layout, place: Place) -> bool:
    """Whether a part is renewed for no other reason than that it is new, and the old one breaks no rule."""
    need, root = place.need, place.slot.root
    if root not in layout.values.reads([layout.renewal(need)]):
        return False
    found = layout.fixed.get(f"found_{need.root}", {})
    old = Answer(need.otherwise, standing_view(need.otherwise, found, "otherwise", renewed=False))
    asked = due(layout, place, {**layout.views, root: old.view})
    return asked.asks_for(old) and not any(broken_rules(layout, place, old.view))
