"""The best purchase of a small shop, by trying every choice and every number of units.

Nothing of the solver is used here: rules are worked out in Python, choices are enumerated, and the
rankings are compared as plain tuples.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import Any

from tappetry.records.part import Part, Supplier
from tests.kitting.small_shops import Condition, SmallNeed, SmallPreference, SmallRule, SmallShop, SmallSlot, slots_of

NEW = "new"
IN_ENGINE = {NEW, "reuse", "shop stock", "by hand"}
Roots = dict[str, Mapping[str, Any]]
Identity = tuple[str, str]
Place = tuple[str, frozenset[Identity]]


class TooLarge(Exception):
    """More choices than can be tried."""


@dataclass(frozen=True)
class Choice:
    """One way to fill a slot."""

    state: str
    view: Mapping[str, Any]
    parts: tuple[Part, ...] = ()


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
                found = Best(units, landed, {root: choice.state for root, choice in chosen.items()}, rank)
    return found


# ---- choices -------------------------------------------------------------------------------------------


def candidates(shop: SmallShop, need: SmallNeed, slot: SmallSlot) -> tuple[list[Choice], bool]:
    """Parts that pass the rules about themselves, alike ones together; true where a fact is missing."""
    alike: dict[Any, list[Part]] = {}
    for part in shop.parts:
        if part.pieces_for(need.id) and part.number not in shop.refused and fits(shop, part):
            alike.setdefault(tuple(sorted(part.attributes_for(need.id).items())), []).append(part)
    choices = []
    open_fact = False
    for attributes, parts in alike.items():
        view = stands(NEW, dict(attributes), True)
        roots = {"engine": shop.engine, slot.root: view}
        verdicts = [rule.that.truth(roots) for rule in slot.match if names(rule) <= {slot.root, "engine"}]
        if False in verdicts:
            continue
        if None in verdicts:
            open_fact = True
            continue
        choices.append(Choice(NEW, view, tuple(parts)))
    return choices, open_fact


def fits(shop: SmallShop, part: Part) -> bool:
    return all(shop.engine.get(name) in allowed for name, allowed in part.fits.items())


def names(rule: SmallRule) -> set[str]:
    return rule.that.roots() | (rule.when.roots() if rule.when else set())


def state_of(shop: SmallShop, need: SmallNeed, slot: SmallSlot, roots: Roots, ways: tuple[bool, bool]) -> str:
    """The state that the conditions of a need ask for."""
    has_parts, open_fact = ways
    needed = need.when.truth(roots)
    if needed is None:
        return "open"
    if not needed:
        return "none"
    pinned = any(part.pieces_for(need.id) and part.number in shop.pins for part in shop.parts)
    renew = True if pinned else need.renew.truth(roots)
    if renew is None:
        return "open"
    if not renew:
        return need.otherwise
    if has_parts:
        return NEW
    return "open" if open_fact else f"{need.no_part or 'by hand'} renewed"


def assignments(shop: SmallShop) -> Iterator[dict[str, Choice]]:
    """Every choice for all slots that breaks no rule."""
    places = list(slots_of(shop))
    options: dict[str, list[Choice]] = {}
    ways: dict[str, tuple[bool, bool]] = {}
    for need, slot in places:
        parts, open_fact = candidates(shop, need, slot)
        ways[slot.root] = (bool(parts), open_fact)
        fallback = need.no_part or "by hand"
        options[slot.root] = [
            *parts,
            Choice("none", stands("none", {}, False)),
            Choice(need.otherwise, stands(need.otherwise, {} if need.otherwise == "none" else need.found, False)),
            Choice(f"{fallback} renewed", stands(fallback, need.found, True)),
            Choice("open", {"state": "open"}),
        ]
        if need.otherwise == "none":
            # "Not needed" and "nothing in place of the old one" look the same to every condition.
            del options[slot.root][-3]

    def extend(index: int, chosen: dict[str, Choice]) -> Iterator[dict[str, Choice]]:
        if index == len(places):
            if allowed(shop, chosen, ways):
                yield dict(chosen)
            return
        need, slot = places[index]
        earlier = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
        settled = (need.when.roots() | need.renew.roots()) <= {*earlier}
        wanted = state_of(shop, need, slot, earlier, ways[slot.root]) if settled else None
        for choice in options[slot.root]:
            if wanted is None or choice.state == wanted:
                yield from extend(index + 1, {**chosen, slot.root: choice})

    yield from extend(0, {})


def allowed(shop: SmallShop, chosen: Mapping[str, Choice], ways: Mapping[str, tuple[bool, bool]]) -> bool:
    roots: Roots = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
    for need, slot in slots_of(shop):
        if chosen[slot.root].state != state_of(shop, need, slot, roots, ways[slot.root]):
            return False
        if chosen[slot.root].state == NEW and not all(holds(rule, roots) for rule in slot.match):
            return False
    rules = [*shop.rules, *(rule for need in shop.needs for rule in need.rules)]
    return all(holds(rule, roots) for rule in rules)


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
        given = {key: 0 for key in wanted}
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

    def extend(index: int, short: dict[Any, int], units: dict[Identity, int]) -> Iterator[dict[Identity, int]]:
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
    """Whether a box would bring a second kind of part to a need that it could fill itself."""
    for need, slot in slots_of(shop):
        choice = chosen[slot.root]
        if choice.state != NEW or part in choice.parts or not part.pieces_for(need.id):
            continue
        could = any(part in other.parts for other in candidates(shop, need, slot)[0])
        if could:
            return True
    return False


# ---- rankings ------------------------------------------------------------------------------------------


def ranking(shop: SmallShop, chosen: Mapping[str, Choice], units: Mapping[Identity, int]) -> tuple[Any, ...]:
    """Preferences in order, landed cost, suppliers, latest arrival, left-over pieces, then code and number."""
    roots: Roots = {"engine": shop.engine, **{root: choice.view for root, choice in chosen.items()}}
    parts = {(part.supplier, part.number): part for part in shop.parts}
    regrets = [regret(p, roots) for need in shop.needs for p in need.prefer]
    over = sum(count * sum(f.pieces for f in parts[i].fills) for i, count in units.items())
    over -= sum(wanted_pieces(shop, chosen).values())
    return (
        *regrets,
        landed_cents(shop, units),
        len({supplier for supplier, _ in units}),
        max((parts[identity].lead_days for identity in units), default=0),
        over,
        sum(units.values()),
        tuple(-units.get(identity, 0) for identity in sorted(parts)),
    )


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
    return (0 if free else round(supplier.freight * 100)) + (round(supplier.under_minimum * 100) if small else 0)


__all__ = ["Best", "Condition", "TooLarge", "best", "landed_cents"]
