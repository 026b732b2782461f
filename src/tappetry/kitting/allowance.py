"""What a change order would cost if an inspection fails: the cheapest new part that passes every rule."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from tappetry.kitting.options import Option, part_options
from tappetry.kitting.problem import Problem
from tappetry.knowledge.language import Unknown

Views = Mapping[str, Mapping[str, Any]]


def allowance(problem: Problem, root: str, views: Views) -> Decimal | None:
    """The list price of renewing what a slot keeps now; None where nothing that fits is carried."""
    request = problem.request
    need = problem.slots[root].need
    offers = part_options(request.catalogue.candidates(need.id, request.fixed["engine"]))
    prices = [price for option in offers if (price := _price(problem, root, option, views)) is not None]
    return min(prices, default=None)


def _price(problem: Problem, root: str, option: Option, views: Views) -> Decimal | None:
    slot = problem.slots[root].slot
    here = {**views, root: option.view}
    for rule in (*slot.match, *problem.slots[root].need.rules):
        applies = problem.values.maybe(rule.when, here) is not False
        if applies and problem.values.maybe(rule.that, here) is not True:
            return None
    try:
        pieces = problem.pieces(root, here)
    except Unknown:
        return None
    need = problem.slots[root].need.id
    units = [(part, -(-pieces // part.pieces_for(need))) for part in option.parts if len(part.fills) == 1]
    return min((part.price * count for part, count in units), default=None)
