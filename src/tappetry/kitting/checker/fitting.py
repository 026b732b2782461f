"""Whether a row of a price list may stand in a place: orderable, on time, for this engine, by the rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

import numpy as np

from tappetry.kitting.checker.layout import Layout, View, part_view, written
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import Need, Rule, Slot
from tappetry.records.part import Part

#: Attributes of the engine, each with what it may be.
Fits = Iterable[tuple[str, tuple[str, ...]]]
#: Rows that a shop can order: listed by the supplier, or found by hand each time.
ORDERABLE = frozenset({"active", "by hand"})


def why_not_orderable(part: Part) -> str:
    """Why a row cannot be ordered today; empty when it can."""
    if part.status not in ORDERABLE:
        following = f", in its place comes {part.superseded_by}" if part.superseded_by else ""
        return f"it is {part.status}{following}"
    if not part.price > 0:
        return f"its price is {part.price}, and nothing is sold for nothing"
    return ""


def misfit(layout: Layout, fits: Fits) -> str:
    """The engine attribute that keeps parts out: what it is, and what it should be; empty when none does."""
    for attribute, allowed in fits:
        is_now = fact(layout, attribute)
        if is_now and is_now.isdisjoint(allowed):
            return f"{attribute} is {', '.join(sorted(is_now))}, the part is for {' or '.join(allowed)}"
    return ""


def unsure(layout: Layout, fits: Fits) -> str:
    """An engine attribute that would keep parts in or out and is not known; empty when there is none."""
    return next((attribute for attribute, _ in fits if not fact(layout, attribute)), "")


def fact(layout: Layout, attribute: str) -> frozenset[str]:
    """What the engine is in one attribute, as price lists write it; empty when it is not known."""
    if attribute not in layout.facts:
        schema = layout.knowledge.attributes.get(attribute)
        name = schema.name_in_conditions if schema else attribute.replace("-", "_")
        value = layout.fixed["engine"].get(name)
        known = () if value is None else value if isinstance(value, list) else (value,)
        layout.facts[attribute] = frozenset(map(written, known))
    return layout.facts[attribute]


def arrives_in_time(part: Part, today: date, need_by: date) -> bool:
    """Whether the working days after today, up to the date itself, are enough for the part to come."""
    one_day = timedelta(days=1)
    return bool(np.busday_count(today + one_day, need_by + one_day) >= part.lead_days)


def carried(layout: Layout, need: Need, slot: Slot) -> Iterator[tuple[Part, View, bool | None]]:
    """Every row that could be bought for a place, what is seen of it, and whether it passes (None: open).

    Only rules that ask for nothing but the part itself and the engine are put to it: what the part
    does with its neighbours cannot excuse that nothing was bought, nor can that it comes late.
    """
    for part in _for_this_engine(layout, need):
        if why_not_orderable(part) or part.number in layout.plan.refused_parts:
            continue
        view = part_view(layout.knowledge, part, need)
        verdict = alone(layout, slot, view)
        if verdict is not False:
            yield part, view, None if unsure(layout, part.fits.items()) else verdict


def _for_this_engine(layout: Layout, need: Need) -> list[Part]:
    """The rows for a need that no known fact about the engine keeps out, by supplier and number.

    Most rows are for other engines: what many of them state alike is looked at once.
    """
    rows = [
        part
        for fits, parts in layout.catalogue.parts_by_engines(need.id).items()
        if not misfit(layout, fits)
        for part in parts
    ]
    return sorted(rows, key=lambda part: (part.supplier, part.number))


def alone(layout: Layout, slot: Slot, view: View) -> bool | None:
    """Whether something new passes the rules of a place that read no other place."""
    verdicts = [
        judged(layout, rule, slot.root, {slot.root: view})
        for rule in slot.match
        if not others_read(layout, rule, slot.root)
    ]
    if False in verdicts:
        return False
    return None if None in verdicts else True


def others_read(layout: Layout, rule: Rule, root: str) -> set[str]:
    """The other places that a rule speaks of."""
    return set(layout.values.reads([rule.when, rule.that])) - {root}


def judged(layout: Layout, rule: Rule, root: str, views: Mapping[str, View]) -> bool | None:
    """What a rule says of something new in a place; None while that hangs on what is not known.

    What states too little for the rule does not meet it; where the rule compares with a place in which
    nothing stands, it says nothing.
    """
    applies = layout.values.maybe(rule.when, views)
    if applies is False:
        return True
    holds = layout.values.maybe(rule.that, views)
    if holds is True:
        return True
    if holds is False and applies is True:
        return False
    if _lies_elsewhere(layout, rule, root, views):
        return None
    return not unstated(layout, rule, root, views)


def unstated(layout: Layout, rule: Rule, root: str, views: Mapping[str, View]) -> str:
    """The attribute for want of which a rule says nothing of a part; empty when it lies elsewhere.

    While the rule hangs on a fact that nobody has stated, or on what another place does not state, the
    part is not to blame.
    """
    if _lies_elsewhere(layout, rule, root, views):
        return ""
    try:
        for expression in _said(rule):
            layout.values.evaluate(expression, views)
    except Unknown as unknown:
        return unknown.key if unknown.root == root and unknown.key not in views[root] else ""
    return ""


def _lies_elsewhere(layout: Layout, rule: Rule, root: str, views: Mapping[str, View]) -> bool:
    """Whether a fact is missing for a rule, or another place does not say what the rule reads of it.

    An open place does not even say whether something is stated; in an empty one there is nothing to say.
    """
    said = _said(rule)
    if any(layout.values.lacks_a_fact(expression) for expression in said):
        return True
    for other in others_read(layout, rule, root):
        state = views[other]["state"]
        read = (layout.values.reads if state == "open" else layout.values.needed)(said)
        if state != "none" and any(member and member not in views[other] for member in read.get(other, ())):
            return True
    return False


def _said(rule: Rule) -> list[Expression]:
    return [expression for expression in (rule.when, rule.that) if expression is not None]
