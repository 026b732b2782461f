"""Evidence for a purchase: a part is held back until the facts behind it are known well enough."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from tappetry.knowledge.model import Knowledge, Need
from tappetry.records.evidence import Fact, Grade
from tappetry.records.part import Part


def grade_wanted(knowledge: Knowledge, part: Part, needs: Sequence[Need]) -> Grade:
    """The lowest grade of evidence on which this part may be bought for these needs."""
    by_need = max((need.grade for need in needs), default=Grade.decoded)
    return_class = str(
        part.attributes.get("return_class", "returnable" if part.returnable else "special order")
    )
    by_return = knowledge.book.evidence.get(
        return_class, knowledge.book.evidence.get("returnable", Grade.decoded)
    )
    return max(by_need, by_return)


def demands_of(
    knowledge: Knowledge, part: Part, needs: Sequence[Need], attributes: Iterable[str]
) -> dict[str, Grade]:
    """How well each attribute that a line rests on must be known before it is ordered.

    A returnable part of a need that may be ordered on the computed value demands nothing.
    Each attribute asks for no more than the grade that the shop's list of attributes demands of it.
    """
    if part.returnable and any(need.order_first for need in needs):
        return {}
    wanted = grade_wanted(knowledge, part, needs)
    found: dict[str, Grade] = {}
    for attribute in attributes:
        schema = knowledge.attributes.get(attribute)
        if schema is not None and schema.about != "finding":
            found[attribute] = min(wanted, Grade[schema.grade]) if schema.grade else wanted
    return found


def holds_of(knowledge: Knowledge, part: Part, needs: Sequence[Need], facts: Sequence[Fact]) -> Iterator[str]:
    """Why a line may be planned but not yet ordered: each fact below the grade that the purchase demands."""
    demands = demands_of(knowledge, part, needs, [fact.attribute for fact in facts])
    for fact in facts:
        least = demands.get(fact.attribute, fact.grade)
        if fact.grade < least:
            title = knowledge.attributes[fact.attribute].title
            yield f"{title} is {fact.grade.name}, must be {least.name} before the order"
