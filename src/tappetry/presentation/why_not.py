"""Runners-up in the shop's words, and as plain JSON data: what each would cost or break."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from tappetry.presentation.as_json import because_data
from tappetry.presentation.differences import CHOICES
from tappetry.presentation.words import amount, decimal_text, hours, listed, title, working_days
from tappetry.records.why_not import Behind, Cost, RunnerUp, WhyNot

Data = dict[str, Any]

#: Why a person would ask for a part.
ASKED = {"wished": "wished for", "offered": "offered", "factory": "as the factory fitted it"}


def outcome(runner_up: RunnerUp, purchase: bool = True) -> str:
    """What a runner-up would cost and why it was not taken, or what it breaks, in one sentence.

    ``purchase`` says whether whoever reads it may see what the shop pays.
    """
    if runner_up.cost is None or runner_up.behind is None:
        return f"{alone(runner_up.alone)}, but {broken(runner_up)}"
    cheaper = runner_up.cost.total < 0
    reason = reason_of(runner_up.behind)
    if not purchase and runner_up.behind.kind == "cost":
        reason = "it costs the shop more"
    return f"{costs(runner_up.cost, purchase)}{', but ' if cheaper else ': '}{reason}"


def brief(runner_up: RunnerUp) -> str:
    """A runner-up and its outcome in few words: the money, and why; not why something stays."""
    if runner_up.cost is None or runner_up.behind is None:
        return f"{runner_up.part}: {alone(runner_up.alone)}, but {against(runner_up)}"
    told = f"{runner_up.part}: {difference(runner_up.cost.total)}"
    return told if runner_up.behind.kind == "stays" else f"{told}; {reason_of(runner_up.behind)}"


def costs(cost: Cost, purchase: bool = True) -> str:
    """The difference of two kits: for the customer, for the shop, in hours and in days."""
    landed = f" (landed cost {_more_or_less(cost.landed)})" if purchase else ""
    parts = [f"{difference(cost.total)}{landed}"]
    if cost.hours:
        parts.append(f"{hours(abs(cost.hours))} hours {'more' if cost.hours > 0 else 'less'}")
    if cost.days:
        parts.append(f"{working_days(abs(cost.days))} {'later' if cost.days > 0 else 'sooner'}")
    return ", ".join(parts)


def difference(total: Decimal) -> str:
    """How a kit compares in the customer's money: ``cheaper by 14.00``."""
    if not total:
        return "at the same price"
    return f"{'cheaper' if total < 0 else 'dearer'} by {amount(abs(total))}"


def alone(total: Decimal) -> str:
    """How the part alone compares at list price, whatever else would have to change."""
    return f"by itself {_more_or_less(total)}" if total else "by itself no dearer"


def _more_or_less(money: Decimal) -> str:
    return f"{amount(abs(money))} {'less' if money < 0 else 'more'}" if money else "the same"


def reason_of(behind: Behind) -> str:
    """What put a part behind, as the end of a sentence."""
    if behind.kind == "preference":
        return f"the house prefers otherwise: {behind.text}"
    if behind.kind == "stays":
        return f"nothing is bought here: {behind.text}"
    return behind.text


def broken(runner_up: RunnerUp) -> str:
    """What speaks against a part, with the arithmetic, as the end of a sentence."""
    return "; ".join([against(runner_up), *runner_up.arithmetic.splitlines()])


def against(runner_up: RunnerUp) -> str:
    """What speaks against a part, and what of the plan that hangs on."""
    told = "; ".join(runner_up.because)
    plan = listed(CHOICES.get(each, f"the {title(each[0])} is {each[1]}") for each in runner_up.decided)
    return f"{told}, and {plan}" if plan else told


def along(cost: Cost) -> Iterator[str]:
    """What changes with a runner-up beside the part itself."""
    changes = [(moved.new_quantity - moved.old_quantity, moved.part) for moved in cost.moved]
    coming = [f"{change} x {part}" for change, part in changes if change > 0]
    going = [f"{-change} x {part}" for change, part in changes if change < 0]
    if coming:
        yield f"with {listed(coming)}"
    if going:
        yield f"without {listed(going)}"
    if cost.worse:
        yield f"ends less well: {listed(cost.worse)}"


# ---- data ----------------------------------------------------------------------------------------------


def why_not_data(place: WhyNot) -> Data:
    """A place of a need with its runners-up. It shows the shop's costs: no paper for the customer."""
    return {
        "need": place.need,
        "slot": place.slot,
        "title": place.title,
        "state": place.state,
        "chosen": place.chosen,
        "parts": list(place.parts),
        "why": [because_data(because) for because in place.why],
        "runners_up": [runner_up_data(each) for each in place.runners_up],
        "more": place.more,
    }


def runner_up_data(each: RunnerUp) -> Data:
    """One runner-up; where there is no kit with it, ``cost`` and ``behind`` are null."""
    return {
        "part": each.part,
        "supplier": each.supplier,
        "description": each.description,
        "alike": list(each.alike),
        "asked": each.asked,
        "same_class": each.same,
        "misfit": each.misfit,
        "alone": decimal_text(each.alone),
        "cost": None if each.cost is None else _cost_data(each.cost),
        "behind": None if each.behind is None else _behind_data(each.behind),
        "because": list(each.because),
        "decided": dict(each.decided),
        "grounds": [{"text": g.text, "owner": g.owner, "source": g.source} for g in each.grounds],
        "arithmetic": each.arithmetic,
        "text": outcome(each),
    }


def _cost_data(cost: Cost) -> Data:
    return {
        "landed": decimal_text(cost.landed),
        "total": decimal_text(cost.total),
        "hours": float(cost.hours),
        "days": cost.days,
        "moved": [
            {"part": m.part, "description": m.description, "quantity": [m.old_quantity, m.new_quantity]}
            for m in cost.moved
        ],
        "worse": list(cost.worse),
    }


def _behind_data(behind: Behind) -> Data:
    return {"kind": behind.kind, "id": behind.id, "text": behind.text, "source": behind.source}
