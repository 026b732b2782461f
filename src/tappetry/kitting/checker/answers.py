"""A place that may be open: what could stand in it, what its conditions ask for, what is seen of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Any

from tappetry.assembly.values import UNDECIDED
from tappetry.kitting.checker.fitting import alone, carried, judged, others_read
from tappetry.kitting.checker.layout import OWN, Layout, Place, View, own_view, standing_view
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.model import Need, Rule

Views = Mapping[str, View]
#: A state, and whether what stands there is new.
Way = tuple[str, bool]
#: Of open places with more answers than this together, a rule is not asked whether one would do.
MOST_ANSWERS = 2000
NOT_THERE: Way = ("none", False)


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing that could stand in a place; ``sure`` says that what is known of it alone speaks for it."""

    state: str
    view: View
    sure: bool = True

    @property
    def way(self) -> Way:
        """Its state, and whether it is new."""
        return self.state, bool(self.view["renewed"])


@dataclass(frozen=True, slots=True)
class Due:
    """The ways in which a place may be met, the rule that says so, and why; open where none is settled."""

    ways: frozenset[Way]
    rule: str
    why: str
    is_open: bool = False

    @property
    def state(self) -> str:
        """The state in which the place must be."""
        return "open" if self.is_open else next(iter(self.ways))[0]

    def asks_for(self, answer: Answer) -> bool:
        """Whether this answer settles the place."""
        return not self.is_open and answer.way in self.ways


# ---- what could stand there ------------------------------------------------------------------------------


def answers(layout: Layout, place: Place) -> list[Answer]:
    """Everything that could stand in a place."""
    name = (place.need.id, place.slot.id)
    if name not in layout.answers:
        layout.answers[name] = _answers(layout, place)
    known: list[Answer] = layout.answers[name]
    return known


def _answers(layout: Layout, place: Place) -> list[Answer]:
    need = place.need
    found = layout.fixed.get(f"found_{need.root}", {})
    nothing = Answer("none", standing_view("none", {}, "not there", renewed=False))
    old = Answer(need.otherwise, standing_view(need.otherwise, found, "otherwise", renewed=False))
    new = list(_new(layout, place))
    instead = written_down(need)
    if layout.own_part(need) is not None or not instead or any(answer.sure for answer in new):
        return [nothing, old, *new]
    renewed = instead != "reuse"
    return [nothing, old, Answer(instead, standing_view(instead, found, "written", renewed)), *new]


def _new(layout: Layout, place: Place) -> Iterator[Answer]:
    """The customer's own part, else every part of a price list that passes what it is asked alone."""
    own = layout.own_part(place.need)
    if own is not None:
        passes = alone(layout, place.slot, own_view(own))
        if passes is not False and _states_its_number(layout, place, own_view(own)):
            yield Answer(OWN, own_view(own), passes is True)
        return
    for part, view, passes in carried(layout, place.need, place.slot):
        if (
            place.takes(part)
            and (passes or not place.is_one_size)
            and _states_its_number(layout, place, view)
        ):
            yield Answer("new", view, passes is True)


def _states_its_number(layout: Layout, place: Place, view: View) -> bool:
    """Whether something new states what the number of its pieces reads of it."""
    read = layout.values.needed([place.slot.pieces]).get(place.slot.root, frozenset())
    return all(member in view for member in read)


def written_down(need: Need) -> str:
    """What the need's policy says when a renewal cannot be bought; empty when nothing else will do.

    A need may name its own way. Else what is only inspected, reused by habit, or renewed by custom of
    the house stays; a tool or consumable comes from the shelf.
    """
    if need.no_part:
        return need.no_part
    if need.house:
        return "reuse"
    return {"I": "reuse", "U": "reuse", "T": "shop stock"}.get(need.written, "")


# ---- what must stand there -------------------------------------------------------------------------------


def due(layout: Layout, place: Place, views: Views) -> Due:
    """The state that a place's conditions ask for, and under which rule."""
    need = place.need
    there = [layout.values.maybe(condition, views) for condition in (need.when, place.slot.when)]
    renew = True if _pinned(layout, need) else layout.values.maybe(layout.renewal(need), views)
    stays = renew is False or _declined(layout, need)
    kept: Way = (need.otherwise, False)
    if False in there:
        return Due(frozenset({NOT_THERE}), "not-needed", "is not needed")
    new = frozenset[Way]() if stays else _bought(layout, place)
    old = frozenset({kept}) if stays or renew is None else frozenset[Way]()
    ways = new | old
    if None in there:
        rule, why = "open-fact", "may be needed, a fact is missing"
        ways |= {NOT_THERE}
    elif stays:
        rule, why = "not-renewed", f"is not renewed ({need.otherwise_why or need.title})"
    elif renew is None:
        rule, why = "open-fact", "may be renewed, a fact is missing"
    else:
        rule, why = _why_new(layout, place)
    if len(ways) > 1:
        return Due(ways, rule, why, is_open=True)
    return _known(layout, place, views, Due(ways, rule, why))


def _bought(layout: Layout, place: Place) -> frozenset[Way]:
    """The ways to meet a renewal."""
    if layout.own_part(place.need) is not None:
        return frozenset({(OWN, True)})
    new = [answer for answer in answers(layout, place) if answer.state == "new"]
    ways = frozenset(answer.way for answer in new)
    if any(answer.sure for answer in new):
        return ways
    instead = written_down(place.need)
    return ways | {(instead, instead != "reuse") if instead else ("missing", True)}


def _why_new(layout: Layout, place: Place) -> tuple[str, str]:
    if layout.own_part(place.need) is not None:
        return "own-part", "is brought by the customer"
    parts = [answer for answer in answers(layout, place) if answer.state == "new" and answer.sure]
    if parts:
        numbers = " or ".join(dict.fromkeys(_number(answer) for answer in parts))
        return "renewal", f"is renewed, {numbers} would fit"
    rule = "fallback" if written_down(place.need) else "renewal"
    return rule, "is renewed, no list carries it for this engine"


def _number(answer: Answer) -> str:
    return str(answer.view["key"]).partition("/")[2]


def _declined(layout: Layout, need: Need) -> bool:
    return need.importance == "should" and need.id in layout.plan.declined


def _pinned(layout: Layout, need: Need) -> bool:
    """A part that the plan pins is renewed, whatever the need itself says."""
    pins = set(layout.plan.pins)
    return bool(pins) and any(part.number in pins for part in layout.catalogue.parts_for(need.id))


def _can_be_counted(layout: Layout, place: Place, views: Views, answer: Answer) -> bool:
    """Whether it is known how many pieces a place takes of what stands there."""
    try:
        layout.values.number(place.slot.pieces, {**views, place.slot.root: answer.view})
    except Unknown:
        return False
    return True


def _known(layout: Layout, place: Place, views: Views, due: Due) -> Due:
    """The one way that is left, open where the pieces or the fit of what would stand there are not known."""
    here = [answer for answer in answers(layout, place) if due.asks_for(answer)]
    if not here or here[0].state == "none":
        return due
    if not any(answer.sure for answer in here):
        return Due(due.ways, "open-fact", "is renewed, which part fits hangs on a missing fact", is_open=True)
    here = [answer for answer in here if answer.sure]
    if not _can_be_counted(layout, place, views, here[0]):
        return Due(due.ways, "open-fact", "how many are wanted hangs on a missing fact", is_open=True)
    if here[0].state in {"new", OWN}:
        verdicts = [fits(layout, place, views, answer.view) for answer in here]
        if True not in verdicts and None in verdicts:
            why = "is renewed, what fits hangs on a missing fact"
            return Due(due.ways, "open-fact", why, is_open=True)
    return due


def fits(layout: Layout, place: Place, views: Views, view: View) -> bool | None:
    """Whether something new meets every rule of its place that speaks of other places."""
    seen = {**views, place.slot.root: view}
    verdicts = [
        judged(layout, rule, place.slot.root, seen)
        for rule in place.slot.match
        if others_read(layout, rule, place.slot.root) and not in_a_ring(layout, place, rule)
    ]
    if False in verdicts:
        return False
    return None if None in verdicts else True


def in_a_ring(layout: Layout, place: Place, rule: Rule) -> bool:
    """Whether a rule, all facts being known, speaks of a place that itself hangs on this one.

    Two such places cannot leave each other open, so that the rule does not decide whether a place is.
    """
    said = [expression for expression in (rule.when, rule.that) if expression is not None]
    if any(layout.values.lacks_a_fact(expression) for expression in said):
        return False
    return any(
        place.slot.root in _hangs_on(layout, other) for other in others_read(layout, rule, place.slot.root)
    )


def _hangs_on(layout: Layout, root: str) -> frozenset[str]:
    """Every place that a place hangs on, directly or through others."""
    if root not in layout.hangs_on:
        found: set[str] = set()
        waiting = {root}
        while waiting:
            here = waiting.pop()
            for need in layout.knowledge.needs.values():
                for slot in need.slots:
                    if slot.root == here:
                        said = [need.when, slot.when, layout.renewal(need), slot.pieces]
                        said += [part for rule in slot.match for part in (rule.when, rule.that)]
                        read = set(layout.values.reads(said)) - {here}
                        waiting |= read - found
                        found |= read
        layout.hangs_on[root] = frozenset(found)
    return layout.hangs_on[root]


# ---- what is seen of an open place -----------------------------------------------------------------------


def question(layout: Layout, place: Place, views: Views) -> Due | None:
    """What a place is open between; None where something that could stand there settles it.

    While it is not known whether the old part may stay, a new one that is its own reason settles nothing.
    """
    tried = [
        (answer, due(layout, place, {**views, place.slot.root: answer.view}))
        for answer in answers(layout, place)
        if answer.sure
    ]
    unsettled = [asks for _, asks in tried if asks.is_open]
    if not unsettled:
        return None
    kept = (place.need.otherwise, False)
    old_may_stay = any(asks.is_open for answer, asks in tried if answer.way == kept)
    if not old_may_stay and any(asks.asks_for(answer) for answer, asks in tried):
        return None
    ways = frozenset(way for _, asks in tried for way in asks.ways)
    return Due(ways, unsettled[-1].rule, unsettled[-1].why, is_open=True)


def possible(layout: Layout, place: Place, views: Views) -> list[View]:
    """What may yet stand in an open place."""
    asked = question(layout, place, views)
    return [] if asked is None else [a.view for a in answers(layout, place) if a.way in asked.ways]


def leaves_an_answer(layout: Layout, rule: Rule, views: Views) -> bool:
    """Whether a rule that hangs on open places could still hold, whatever else is found out."""
    read = layout.values.reads([rule.when, rule.that])
    places = [p for p in layout.places if p.slot.root in read and views[p.slot.root]["state"] == "open"]
    tried = [[(p.slot.root, view) for view in possible(layout, p, views)] for p in places]
    if not tried or math.prod(map(len, tried)) > MOST_ANSWERS:
        return True
    return any(
        layout.values.maybe(rule.when, settled) is not True
        or layout.values.maybe(rule.that, settled) is not False
        for given in product(*tried)
        if (settled := {**views, **dict(given)})
    )


def seen_of_open(layout: Layout, place: Place, views: Views) -> dict[str, Any]:
    """What conditions see of a place that stands open: what all possible answers have alike."""
    seen: dict[str, Any] = {"key": "open", "state": "open"}
    yet = possible(layout, place, views)
    told = {name for view in yet for name in view} - {"key", "state"}
    for name in sorted(told):
        values = [view.get(name) for view in yet]
        if all(name in view for view in yet) and all(value == values[0] for value in values):
            seen[name] = values[0]
    return {**seen, UNDECIDED: tuple(sorted(told - seen.keys()))}
