"""The best purchase of a small shop, by trying every choice and every number of units.

Nothing of the solver is used here: rules are worked out in Python, choices are enumerated, and the
rankings are compared as plain tuples.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import prod
from typing import Any

from tappetry.records.part import Part, Supplier
from tests.kitting.small_shops import (
    Both,
    SmallNeed,
    SmallPreference,
    SmallRule,
    SmallShop,
    SmallSlot,
    Test,
    Value,
    slots_of,
)

NEW = "new"
IN_ENGINE = {NEW, "reuse", "shop stock", "by hand"}
Roots = dict[str, Mapping[str, Any]]
Identity = tuple[str, str]
Place = tuple[str, frozenset[Identity]]


class TooLarge(Exception):
    """More choices than can be tried."""


@dataclass(frozen=True)
class Choice:
    """One way to fill a slot; an open one with its possible answers."""

    state: str
    view: Mapping[str, Any]
    parts: tuple[Part, ...] = ()
    answers: tuple[Choice, ...] = ()


@dataclass(frozen=True)
class Best:
    """The purchase that ranks first."""

    units: Mapping[Identity, int]
    landed_cents: int
    states: Mapping[str, str]
    rank: tuple[Any, ...]


def stands(state: str, attributes: Mapping[str, Any], renewed: bool) -> dict[str, Any]:
    """What a condition sees of a slot."""
    return {**attributes, "state": state, "fitted": state in IN_ENGINE, "renewed": renewed}


def best(shop: SmallShop, limit: int = 40_000) -> Best | None:
    """The first purchase by every ranking in turn; None when nothing meets the rules."""
    found: Best | None = None
    tried = 0
    for chosen in assignments(shop):
        for units in purchases(shop, chosen, limit):
            tried += 1
            if tried > limit:
                raise TooLarge
            rank = ranking(shop, chosen, units)
            if found is None or rank < found.rank:
                landed = landed_cents(shop, units)
                states = {root: choice.view["state"] for root, choice in chosen.items()}
                found = Best(units, landed, states, rank)
    return found


# ---- choices -------------------------------------------------------------------------------------------


def candidates(shop: SmallShop, need: SmallNeed, slot: SmallSlot) -> list[Choice]:
    """Parts that pass the rules about themselves, alike ones together."""
    alike: dict[Any, list[Part]] = {}
    for part in shop.parts:
        if part.pieces_for(need.id) and part.number not in shop.refused and fits(shop, part):
            alike.setdefault(tuple(sorted(part.attributes_for(need.id).items())), []).append(part)
    choices = []
    for attributes, parts in alike.items():
        view = stands(NEW, dict(attributes), True)
        roots = {"engine": shop.engine, slot.root: view}
        if all(rule.that.truth(roots) for rule in slot.match if names(rule) <= {slot.root, "engine"}):
            choices.append(Choice(NEW, view, tuple(parts)))
    return choices


def fits(shop: SmallShop, part: Part) -> bool:
    return all(shop.engine.get(name) in allowed for name, allowed in part.fits.items())


def names(rule: SmallRule) -> set[str]:
    return rule.that.roots() | (rule.when.roots() if rule.when else set())


def ways(shop: SmallShop, need: SmallNeed, roots: Roots, has_parts: bool) -> set[str]:
    """The ways to fill a slot that the conditions of its need leave possible."""
    needed = need.when.truth(roots)
    if needed is False:
        return {"not there"}
    pinned = any(part.pieces_for(need.id) and part.number in shop.pins for part in shop.parts)
    renew = True if pinned else need.renew.truth(roots)
    if needed is None and renew is False and need.otherwise == "none":
        return {"none"}
    left = set() if needed else {"not there"}
    if renew is not True:
        left.add(need.otherwise)
    if renew is not False:
        left.add(NEW if has_parts else without_parts(need))
    return left


def without_parts(need: SmallNeed) -> str:
    """What meets a renewal that no part can meet; nothing meets one that is always written."""
    if need.no_part:
        return need.no_part if need.no_part == "reuse" else f"{need.no_part} renewed"
    return {"I": "reuse", "U": "reuse", "T": "shop stock renewed"}.get(need.written, "missing")


def stand_ins(need: SmallNeed) -> Iterator[Choice]:
    """Every way to fill a slot without buying."""
    yield Choice("not there", stands("none", {}, False))
    for label in {need.otherwise, without_parts(need)} - {"missing"}:
        state = label.removesuffix(" renewed")
        yield Choice(label, stands(state, need.found if state != "none" else {}, label != state))


def open_between(choices: Sequence[Choice]) -> Choice:
    """A slot that is open between choices: what they have alike is seen all the same."""
    first = choices[0].view
    alike = {m: v for m, v in first.items() if all(m in c.view and c.view[m] == v for c in choices)}
    return Choice("open", {**alike, "state": "open"}, answers=tuple(choices))


def choices_of(
    shop: SmallShop, need: SmallNeed, slot: SmallSlot, roots: Roots, parts: Sequence[Choice]
) -> list[Choice]:
    """How a slot may be filled, with what stands in all slots that it hangs on."""
    left = ways(shop, need, roots, bool(parts))
    answers = [choice for choice in (*stand_ins(need), *parts) if choice.state in left]
    if len(left) > 1:
        return [open_between(answers)]
    if not answers or answers[0].view["state"] == "none":
        return answers
    if slot.other_when is not None and slot.other_when.truth(roots) is None:
        return [open_between(answers)]
    if left != {NEW}:
        return answers
    verdicts = [meets(slot, {**roots, slot.root: part.view}) for part in parts]
    fitting = [part for part, verdict in zip(parts, verdicts, strict=True) if verdict]
    return fitting if fitting or None not in verdicts else [open_between(answers)]


def meets(slot: SmallSlot, roots: Roots) -> bool | None:
    """Whether a new part meets every rule of its slot; None where that is not known."""
    verdicts = [judged(rule, roots) for rule in slot.match]
    if False in verdicts:
        return False
    return None if None in verdicts else True


def judged(rule: SmallRule, roots: Roots) -> bool | None:
    """What a rule says of a new part; nothing where it compares with a slot in which nothing stands."""
    applies = True if rule.when is None else rule.when.truth(roots)
    holds_ = rule.that.truth(roots)
    if applies is False or holds_ is True:
        return True
    if applies and holds_ is False:
        return False
    read = [value for condition in (rule.that, rule.when) if condition for value in values_in(condition)]
    silent = {value.root for value in read if value.root and value.of(roots) is None}
    return None if any(roots[root].get("state") != "none" for root in silent) else True


def values_in(condition: Any) -> list[Value]:
    if isinstance(condition, Value):
        return [condition]
    if not isinstance(condition, Test | Both):
        return []
    return [*values_in(condition.left), *(values_in(condition.right) if condition.sign else [])]


def assignments(shop: SmallShop) -> Iterator[dict[str, Choice]]:
    """Every choice for all slots that breaks no rule."""
    places = list(slots_of(shop))
    parts = {slot.root: candidates(shop, need, slot) for need, slot in places}

    def extend(index: int, chosen: dict[str, Choice]) -> Iterator[dict[str, Choice]]:
        if index == len(places):
            if allowed(shop, chosen):
                yield dict(chosen)
            return
        need, slot = places[index]
        earlier = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
        # Conditions, pieces and matches hang on earlier needs only, so its choices are known here.
        for choice in choices_of(shop, need, slot, earlier, parts[slot.root]):
            in_time = tuple(part for part in choice.parts if shop.days is None or part.lead_days <= shop.days)
            if in_time or not choice.parts:  # what comes too late is wanted all the same
                yield from extend(index + 1, {**chosen, slot.root: replace(choice, parts=in_time)})

    yield from extend(0, {})


def allowed(shop: SmallShop, chosen: Mapping[str, Choice]) -> bool:
    """Whether all that stands there together breaks no rule."""
    roots: Roots = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
    rules = [*shop.rules, *(rule for need in shop.needs for rule in need.rules)]
    if not all(any(holds(rule, settled) for settled in answered(rule, chosen, roots)) for rule in rules):
        return False
    for _, slot in slots_of(shop):
        choice = chosen[slot.root]
        if choice.state == NEW and not meets(slot, roots):
            return False
        if choice.state == "open" and not all(
            may_meet(rule, slot.root, chosen, roots) for rule in slot.match
        ):
            return False
    return True


def may_meet(rule: SmallRule, root: str, chosen: Mapping[str, Choice], roots: Roots) -> bool:
    """Whether a rule for new parts leaves an open slot an answer."""
    return any(
        settled[root].get("state") != NEW or judged(rule, settled) is not False
        for settled in answered(rule, chosen, roots, root)
    )


def answered(rule: SmallRule, chosen: Mapping[str, Choice], roots: Roots, *also: str) -> Iterator[Roots]:
    """What stands there, with every answer to the open slots of which a rule speaks."""
    asked = [root for root in {*names(rule), *also} if root in chosen and chosen[root].state == "open"]
    for answers in product(*(chosen[root].answers for root in asked)):
        yield {**roots, **{root: answer.view for root, answer in zip(asked, answers, strict=True)}}


def holds(rule: SmallRule, roots: Roots) -> bool:
    """A rule is broken only where it is known to apply and known to be broken."""
    applies = True if rule.when is None else rule.when.truth(roots)
    return not (applies is True and rule.that.truth(roots) is False)


# ---- units ---------------------------------------------------------------------------------------------


def place(need: SmallNeed, choice: Choice) -> Place:
    """Where pieces go: slots of a need that take one kind of part share its packs."""
    return need.id, frozenset((part.supplier, part.number) for part in choice.parts)


def wanted_pieces(shop: SmallShop, chosen: Mapping[str, Choice]) -> dict[Place, int]:
    """Pieces of each need from each kind of part that was chosen for it."""
    roots: Roots = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
    wanted: dict[Place, int] = {}
    for need, slot in slots_of(shop):
        choice = chosen[slot.root]
        if choice.state == NEW:
            other = slot.other_when is not None and slot.other_when.truth(roots)
            key = place(need, choice)
            wanted[key] = wanted.get(key, 0) + (slot.other_pieces if other else slot.pieces)
    return wanted


def purchases(shop: SmallShop, chosen: Mapping[str, Choice], limit: int) -> Iterator[dict[Identity, int]]:
    """Every number of units that is enough, where no unit could be left out."""
    wanted = wanted_pieces(shop, chosen)
    takes: dict[Identity, list[tuple[Place, int]]] = {}
    parts: dict[Identity, Part] = {}
    for need, slot in slots_of(shop):
        choice = chosen[slot.root]
        for part in choice.parts:
            key = place(need, choice)
            identity = (part.supplier, part.number)
            uses = takes.setdefault(identity, [])
            if (key, part.pieces_for(need.id)) not in uses:
                uses.append((key, part.pieces_for(need.id)))
            parts[identity] = part
    usable = [i for i, part in parts.items() if not clashes(shop, chosen, part)]
    most = [max(-(-wanted[key] // pieces) for key, pieces in takes[i]) for i in usable]
    if prod(units + 1 for units in most) > 50 * limit:
        raise TooLarge
    for units in vectors(usable, most, takes, dict(wanted)):
        given = dict.fromkeys(wanted, 0)
        for identity, count in units.items():
            for key, pieces in takes[identity]:
                given[key] += count * pieces
        enough = all(given[key] >= pieces for key, pieces in wanted.items())
        lean = all(
            any(given[key] - pieces < wanted[key] for key, pieces in takes[identity]) for identity in units
        )
        pinned = all(any(number == pin for _, number in units) for pin in shop.pins)
        if enough and lean and pinned:
            yield units


def vectors(
    usable: Sequence[Identity], most: Sequence[int], takes: Mapping[Identity, Any], short: dict[Any, int]
) -> Iterator[dict[Identity, int]]:
    """Numbers of units up to the most that could be wanted."""
    last_for: dict[Any, int] = {}
    for index, identity in enumerate(usable):
        for key, _ in takes[identity]:
            last_for[key] = index

    def extend(
        index: int, short: dict[Any, int], units: dict[Identity, int]
    ) -> Iterator[dict[Identity, int]]:
        if any(pieces > 0 and last_for.get(key, -1) < index for key, pieces in short.items()):
            return
        if index == len(usable):
            yield dict(units)
            return
        identity = usable[index]
        for count in range(most[index] + 1):
            left = dict(short)
            for key, pieces in takes[identity]:
                left[key] -= count * pieces
            yield from extend(index + 1, left, {**units, identity: count} if count else units)

    yield from extend(0, short, {})


def clashes(shop: SmallShop, chosen: Mapping[str, Choice], part: Part) -> bool:
    """Whether something is bought beside a box that holds it, and the box's piece would do."""
    if len(part.fills) < 2:
        return False
    for need, slot in slots_of(shop):
        choice = chosen[slot.root]
        if choice.state == NEW and part not in choice.parts and part.pieces_for(need.id):
            inside = Choice(NEW, stands(NEW, part.attributes_for(need.id), True), (part,))
            if allowed(shop, {**chosen, slot.root: inside}):
                return True
    return False


# ---- rankings ------------------------------------------------------------------------------------------


def ranking(shop: SmallShop, chosen: Mapping[str, Choice], units: Mapping[Identity, int]) -> tuple[Any, ...]:
    """Preferences, landed cost, suppliers, latest arrival, left-over pieces, then codes and numbers."""
    roots: Roots = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
    parts = {(part.supplier, part.number): part for part in shop.parts}
    regrets = [regret(p, roots) for need in shop.needs if not is_pinned(shop, need) for p in need.prefer]
    over = sum(count * sum(f.pieces for f in parts[i].fills) for i, count in units.items())
    over -= sum(wanted_pieces(shop, chosen).values())
    return (
        *regrets,
        landed_cents(shop, units),
        len({supplier for supplier, _ in units}),
        max((parts[identity].lead_days for identity in units), default=0),
        over,
        tuple(-units.get(identity, 0) for identity in sorted(parts)),
    )


def is_pinned(shop: SmallShop, need: SmallNeed) -> bool:
    """Whether the plan says which part fills a need of one place: then nothing is left to prefer."""
    pinned = [part for part in shop.parts if part.number in shop.pins and len(part.fills) == 1]
    return len(need.slots) == 1 and any(part.pieces_for(need.id) for part in pinned)


def regret(preference: SmallPreference, roots: Roots) -> float:
    """What is lost by not following a preference; nothing where it does not speak."""
    nothing = float("-inf") if preference.least else 0.0
    if roots[preference.root]["state"] != NEW:
        return nothing
    if preference.when is not None and preference.when.truth(roots) is not True:
        return nothing
    if preference.that is not None:
        return 0.0 if preference.that.truth(roots) is True else 1.0
    value = preference.least.of(roots)
    return nothing if value is None else float(value)


def landed_cents(shop: SmallShop, units: Mapping[Identity, int]) -> int:
    """Net cost with every supplier's freight and surcharge on small orders."""
    net: dict[str, int] = {}
    for part in shop.parts:
        count = units.get((part.supplier, part.number), 0)
        if count:
            net[part.supplier] = net.get(part.supplier, 0) + count * round(part.cost * 100)
    return sum(net.values()) + sum(
        terms_cents(supplier, net[supplier.code]) for supplier in shop.suppliers if supplier.code in net
    )


def terms_cents(supplier: Supplier, net: int) -> int:
    """Freight, free from a net cost on, and the surcharge below a minimum."""
    free = supplier.free_over is not None and net >= supplier.free_over * 100
    small = net < supplier.minimum * 100
    return (0 if free else round(supplier.freight * 100)) + (
        round(supplier.under_minimum * 100) if small else 0
    )
