"""Part numbers of a plan as the price lists carry them today: supersessions followed, each change told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.identity import normal
from tappetry.records.part import Part
from tappetry.records.plan import Plan
from tappetry.records.verdict import Finding, Verdict

NUMBER = "part-number"


def as_sold(catalogue: Catalogue, plan: Plan) -> Plan:
    """The plan with every number as it is printed, and what is no longer sold by what replaces it.

    A number that leads to no part, or to several, stays as it is written.
    """
    return replace(
        plan,
        pins=tuple(_sold(catalogue, number) for number in plan.pins),
        wishes=tuple(_sold(catalogue, wish) for wish in plan.wishes),
        refused_parts=tuple(_printed(catalogue, number) for number in plan.refused_parts),
    )


def number_findings(catalogue: Catalogue, plan: Plan) -> Iterator[Finding]:
    """What is told of the numbers of a plan: what stands for another, and refusals of what nobody sells."""
    for number in (*plan.pins, *plan.wishes):
        now = _sold(catalogue, number)
        if now != number:
            yield Finding(NUMBER, Verdict.NOTE, _change(catalogue, number, now), "price list")
    for number in plan.refused_parts:
        if not _meant(catalogue, number):
            close = " or ".join(catalogue.close_numbers(number))
            text = f"the plan refuses {number}, which is in no price list"
            yield Finding(NUMBER, Verdict.WARN, text, "price list", f"did you mean {close}?" if close else "")


def _meant(catalogue: Catalogue, number: str) -> tuple[Part, ...]:
    """The parts that a number may mean, however it is punctuated, or without the letters before its dash.

    Figures are never left out, for a leading zero may tell two parts apart.
    """
    return catalogue.numbered(number) or tuple(
        part for part in catalogue.parts if _without_letters(part.number) == normal(number)
    )


def _without_letters(number: str) -> str:
    letters, _, rest = number.partition("-")
    return normal(rest) if letters.isalpha() else ""


def _sold(catalogue: Catalogue, number: str) -> str:
    if catalogue.carries(number):
        return number
    sold = {part.number for each in _meant(catalogue, number) if (part := catalogue.orderable(each))}
    return sold.pop() if len(sold) == 1 else number


def _printed(catalogue: Catalogue, number: str) -> str:
    printed = {part.number for part in _meant(catalogue, number)}
    return number if number in printed or len(printed) != 1 else printed.pop()


def _change(catalogue: Catalogue, number: str, now: str) -> str:
    """Why another number stands in place of the one that was written."""
    named = _meant(catalogue, number)[0]
    if named.number == now:
        return f"{number} is read as {now}"
    return f"{named.number} is {named.status}: {' -> '.join(_chain(catalogue, named))} takes its place"


def _chain(catalogue: Catalogue, part: Part) -> Iterator[str]:
    """The numbers that replace a part, one after the other, the last with its price."""
    now = catalogue.orderable(part)
    following = catalogue.successor(part)
    while following is not None and following is not now:
        yield following.number
        following = catalogue.successor(following)
    if now is not None:
        yield f"{now.number} at {now.price:.2f}"
