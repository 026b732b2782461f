"""The inputs of proofs that may be off: each with its spread, whose that is, and how to measure it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import sqrt

from tappetry.knowledge.model import Knowledge
from tappetry.knowledge.spreads import ENGINE, PART, SpreadRule
from tappetry.knowledge.units import SUFFIXES, suffix_of_unit
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.quantities.units import find_unit
from tappetry.records.evidence import Fact, Grade
from tappetry.records.family import AttributeSchema

#: Who says what was measured of a part.
BENCH = "measured at the bench"
#: Who says what a list states.
LISTED = "the supplier's list"


@dataclass(frozen=True, slots=True)
class Leaf:
    """One input with its spread, in its own unit.

    ``spread`` is None for what the shop takes as exact. ``best`` is the standard deviation that is left
    when it is measured as well as the shop can; None where it cannot be measured.
    """

    name: str
    title: str
    unit: str
    spread: Toleranced | None
    source: str
    measured: bool
    best: float | None = None
    tool: str = ""

    @property
    def may_be_off(self) -> bool:
        """Whether it has a spread at all."""
        return self.spread is not None and self.spread.plus + self.spread.minus > 0


#: The input of a name with a value; None where nothing is known of its spread.
LeafOf = Callable[[str, float], Leaf | None]


def leaf_of(
    knowledge: Knowledge,
    facts_by_name: Mapping[str, Fact],
    measured: Mapping[str, Toleranced | None] | None = None,
    listed: Mapping[str, Toleranced] | None = None,
) -> LeafOf:
    """The inputs of one engine with its parts.

    Parameters
    ----------
    facts_by_name : mapping
        The facts in charge by the name that conditions use: their grade says whether they were measured, and
        what tolerance came with them.
    measured : mapping, optional
        Values of parts that were measured, by name (``valve_springs.solid_in``), with the spread in their own
        unit that was stated with them; None where none was.
    listed : mapping, optional
        Spreads that a supplier's list states of a part, by name, in their own unit.
    """
    at_the_bench, on_the_list = measured or {}, listed or {}
    attributes = {each.name_in_conditions: each for each in knowledge.attributes.values()}

    def found(name: str, value: float) -> Leaf | None:
        root, _, member = name.partition(".")
        if root == ENGINE and member in attributes:
            fact = facts_by_name.get(member)
            return _of_engine(attributes[member], knowledge.spreads.rule(ENGINE, member), fact, name, value)
        if member in knowledge.part_attributes:
            rule = knowledge.spreads.rule(PART, member)
            title = str(knowledge.part_attributes[member]["title"])
            unit = str(knowledge.part_attributes[member].get("unit", ""))
            is_measured = name in at_the_bench
            stated = at_the_bench[name] if is_measured else on_the_list.get(name)
            if stated is not None:
                best, tool = (None, "") if rule is None else (_best(rule, value), rule.tool)
                source = BENCH if is_measured else LISTED
                return Leaf(name, title, unit, stated, source, is_measured, best, tool)
            return None if rule is None else _assumed(rule, name, title, unit, value, is_measured)
        return None

    return found


def _of_engine(
    schema: AttributeSchema, rule: SpreadRule | None, fact: Fact | None, name: str, value: float
) -> Leaf | None:
    is_measured = fact is not None and fact.grade is Grade.measured
    if fact is not None and fact.tolerance is not None:
        best = None if rule is None else _best(rule, value)
        stated = _in_unit(fact.tolerance, schema, value)
        tool = schema.tool if rule is None else rule.tool
        return Leaf(name, schema.title, schema.unit, stated, fact.source, is_measured, best, tool)
    if rule is None:
        return None
    return _assumed(rule, name, schema.title, schema.unit, value, is_measured)


def _assumed(rule: SpreadRule, name: str, title: str, unit: str, value: float, is_measured: bool) -> Leaf:
    """An input with the spread of the shop's text."""
    width = rule.measured if is_measured and rule.measured is not None else rule.unmeasured
    spread = None
    if width is not None:
        spread = Toleranced(value, width.of(value), width.of(value), rule.means, Origin.ASSUMED)
    return Leaf(name, title, unit, spread, rule.source, is_measured, _best(rule, value), rule.tool)


def _best(rule: SpreadRule, value: float) -> float | None:
    if rule.measured is None:
        return None
    width = rule.measured.of(value)
    return width if rule.means is Spread.STANDARD_DEVIATION else width / sqrt(3.0)


def _in_unit(stated: Toleranced, schema: AttributeSchema, value: float) -> Toleranced:
    """The tolerance of a value in the unit in which the attribute is spoken of."""
    symbol = SUFFIXES.get(schema.unit, schema.unit)
    factor = float(find_unit(symbol, schema.kind).factor) if suffix_of_unit(schema.unit) else 1.0
    return Toleranced(value, stated.plus / factor, stated.minus / factor, stated.spread, stated.origin)
