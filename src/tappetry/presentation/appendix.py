"""The appendix of the quote, for the customer: why these parts, what else there was, and why not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from tappetry.presentation.why_not import against
from tappetry.presentation.words import amount, hours, listed, state, working_days
from tappetry.records.why_not import Behind, Cost, RunnerUp, WhyNot

Data = dict[str, Any]

#: States of a place for which something is bought, or might be.
BOUGHT = frozenset({"new", "none", "customer's own"})
#: What puts a part behind, in the customer's words, where the shop's own would say too much or too little.
BEHIND = {
    "plan": "you decided otherwise",
    "suppliers": "equal in all that matters, and one more delivery",
    "arrival": "equal in all that matters, and later",
    "left over": "equal in all that matters, and more is left over",
    "order": "equal in all that matters",
}


def choices(places: Iterable[WhyNot], title: Callable[[str], str]) -> list[Data]:
    """The places with a choice worth telling, each with what else there was, at the customer's prices."""
    told = []
    seen: set[frozenset[str]] = set()
    for place in places:
        others = [
            each for each in place.runners_up if worth_telling(place, each) and _brings(each) not in seen
        ]
        seen |= {_brings(each) for each in others}
        if others:
            told.append(
                {
                    "need": title(place.need),
                    "chosen": place.chosen if place.parts else state(place.state),
                    "price": amount(place.spent) if place.parts else "",
                    "why": "; ".join(_why(place, others)),
                    "others": [_other(place, each) for each in others],
                }
            )
    return told


def _brings(runner_up: RunnerUp) -> frozenset[str]:
    """The parts that come with a runner-up: two that bring the same are one choice, told once."""
    moved = runner_up.cost.moved if runner_up.cost else ()
    return frozenset({runner_up.part, *(m.part for m in moved if m.new_quantity > m.old_quantity)})


def worth_telling(place: WhyNot, runner_up: RunnerUp) -> bool:
    """Whether a customer would want to know why a part was not taken.

    Another pack of the same goods is the shop's own affair, and so are parts for other engines. A part that
    cannot be used is told where it is cheaper, or stands there now. Where something stays that does its work,
    new parts are told only where they were offered.
    """
    if runner_up.asked in {"wished", "offered"}:
        return True
    if runner_up.same or place.state not in BOUGHT:
        return False
    if runner_up.misfit:
        return bool(runner_up.asked)
    return runner_up.cost is not None or runner_up.alone < 0 or bool(runner_up.asked)


def _why(place: WhyNot, others: Iterable[RunnerUp]) -> Iterator[str]:
    """Why a part was chosen: what its need says, and the preferences of the house that it follows.

    A preference that another part stands behind is told with that part.
    """
    if not place.parts:
        yield place.chosen
        return
    told = {each.behind.text for each in others if each.behind}
    for because in place.why:
        is_followed = because.kind == "choice" and not because.text.startswith("not followed")
        if because.text not in told and (because.kind == "rule" or is_followed):
            told.add(because.text)
            yield because.text


def _other(place: WhyNot, runner_up: RunnerUp) -> Data:
    cost, behind = runner_up.cost, runner_up.behind
    if cost is None or behind is None:
        return {
            "what": runner_up.description,
            "possible": False,
            "effect": "cannot be used",
            "why": "; ".join([against(runner_up), *_short(runner_up.arithmetic)]),
            "along": [],
        }
    return {
        "what": runner_up.description,
        "possible": True,
        "effect": effect(cost),
        "why": "" if behind.text == place.chosen else _behind(behind, cost),
        "along": list(_along(cost)),
    }


def _short(arithmetic: str) -> Iterator[str]:
    """How far each check is missed, without the reckoning."""
    for line in arithmetic.splitlines():
        check, _, reckoned = line.partition(": ")
        yield f"{check}: {reckoned.rpartition(': ')[2]}"


def effect(cost: Cost) -> str:
    """What a part would change for the customer: money with tax, and the day."""
    money = f"{amount(abs(cost.total))} {'less' if cost.total < 0 else 'more'}"
    days = f"{working_days(abs(cost.days))} {'later' if cost.days > 0 else 'sooner'}"
    said = [money if cost.total else "same price", *([days] if cost.days else [])]
    return ", ".join(said)


def _behind(behind: Behind, cost: Cost) -> str:
    if behind.kind == "cost":
        return "no better by our rules, and dearer" if cost.total > 0 else "it costs more to bring in"
    if behind.kind == "preference":
        return f"we prefer otherwise: {behind.text}"
    return BEHIND.get(behind.kind, behind.text)


def _along(cost: Cost) -> Iterator[str]:
    """What else would change, one sentence each; what only makes room for what comes is not told."""
    coming = [moved.description for moved in cost.moved if moved.new_quantity > moved.old_quantity]
    going = [moved.description for moved in cost.moved if moved.new_quantity < moved.old_quantity]
    if coming:
        yield f"It brings along: {'; '.join(coming)}."
    elif going:
        yield f"It takes the place of: {'; '.join(going)}."
    if cost.hours:
        yield f"{hours(abs(cost.hours))} hours {'more' if cost.hours > 0 else 'less'} work."
    if cost.worse:
        yield f"Less good in a check: {listed(cost.worse)}."
