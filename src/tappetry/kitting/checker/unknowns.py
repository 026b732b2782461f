"""An unknown fact is no fault, but it must be told: every open question stands in the kit's list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.layout import Layout, View
from tappetry.knowledge.language import Expression, Read, Unknown


def open_facts(
    layout: Layout,
    rule: str,
    expressions: Iterable[Expression | None],
    views: Mapping[str, View],
    line: str,
) -> Iterator[CheckComplaint]:
    """A complaint when a rule hangs on facts about the engine that the kit does not list as unknown."""
    missing = _missing(layout, expressions, views)
    listed = {unknown.attribute for unknown in layout.kit.unknowns}
    if missing and not missing & listed:
        text = f"{rule} is open: {', '.join(sorted(missing))} is not known, and the kit does not say so"
        yield CheckComplaint("unknown", text, line)


def _missing(
    layout: Layout, expressions: Iterable[Expression | None], views: Mapping[str, View]
) -> frozenset[str]:
    """The facts about the engine that nobody has stated and for want of which an expression is unknown."""
    attribute_of = {schema.name_in_conditions: name for name, schema in layout.knowledge.attributes.items()}
    waiting = [e for e in expressions if e is not None and _is_unknown(layout, e, views)]
    seen: set[Read] = set()
    missing: set[str] = set()
    while waiting:
        for read in waiting.pop().reads:
            if read in seen:
                continue
            seen.add(read)
            if read.root in layout.knowledge.named:
                parts = layout.values.made_of(read.root)
                waiting += [part for part in parts if _is_unknown(layout, part, views)]
            elif read.root == "engine" and read.member not in layout.fixed["engine"]:
                missing.add(attribute_of.get(read.member, read.member))
    return frozenset(missing)


def _is_unknown(layout: Layout, expression: Expression, views: Mapping[str, View]) -> bool:
    try:
        layout.values.evaluate(expression, views)
    except Unknown:
        return True
    return False
