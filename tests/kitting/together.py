"""Whether some elements of a small shop's request can hold together, by trying every way to fill its slots.

Nothing of the program's search is used: each element is judged here on its own, over every combination of
all that may be thought to stand in the slots, known to the lists or not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from tappetry.records.part import Part
from tappetry.records.plan import OwnPart
from tests.kitting.brute_force import NEW, fits, stands, without_parts
from tests.kitting.small_shops import SmallNeed, SmallRule, SmallShop, SmallSlot, slots_of

Roots = dict[str, Mapping[str, Any]]
#: Kind, id and slot.
Key = tuple[str, str, str]
#: A part that no list carries is not known by anything.
UNLISTED = stands(NEW, {}, True)


@dataclass(frozen=True)
class Wishes:
    """What the customer wants of a small shop beside pins and refusals."""

    days: int | None = None
    own: tuple[OwnPart, ...] = ()

    def brings(self, need: str) -> bool:
        return any(own.need == need for own in self.own)


@dataclass(frozen=True)
class Filling:
    """One way to fill a slot: how it stands, what is seen of it, and the parts that would do."""

    label: str
    view: Mapping[str, Any]
    parts: tuple[Part, ...] = ()


def together(shop: SmallShop, wishes: Wishes, keys: Collection[Key], known: Collection[str]) -> bool:
    """Whether all these can hold at once, when nothing is known of the engine but these facts."""
    return next(_choices(shop, wishes, frozenset(keys), frozenset(known)), None) is not None


def _choices(
    shop: SmallShop, wishes: Wishes, keys: frozenset[Key], known: frozenset[str]
) -> Iterator[dict[str, Filling]]:
    engine = {name: value for name, value in shop.engine.items() if name in known}
    places = list(slots_of(shop))
    judged: list[SmallRule] = [rule for rule in shop.rules if ("rule", rule.id, "") in keys]
    judged += [rule for need in shop.needs for rule in need.rules if ("rule", rule.id, "") in keys]

    def extend(index: int, chosen: dict[str, Filling]) -> Iterator[dict[str, Filling]]:
        if index == len(places):
            if _pinned(shop, wishes, keys, engine, chosen):
                yield chosen
            return
        need, slot = places[index]
        for filling in _fillings(shop, wishes, need, slot):
            now = {**chosen, slot.root: filling}
            roots: Roots = {"engine": engine, **{root: one.view for root, one in now.items()}}
            if (
                _may_be_had(shop, wishes, keys, engine, need, filling)
                and _stands(shop, wishes, keys, need, slot, filling, roots)
                and all(_obeys(rule, roots) for rule in judged if _names(rule) <= now.keys())
                and all(
                    _obeys(rule, roots)
                    for root, rule in _matches(places, keys)
                    if _names(rule) | {root} <= now.keys() and now[root].label in {NEW, "own"}
                )
            ):
                yield from extend(index + 1, now)

    yield from extend(0, {})


def _fillings(shop: SmallShop, wishes: Wishes, need: SmallNeed, slot: SmallSlot) -> Iterator[Filling]:
    """All that may be thought to stand in a slot of a need."""
    alike: dict[Any, list[Part]] = {}
    for part in shop.parts:
        if part.pieces_for(need.id):
            alike.setdefault(tuple(sorted(part.attributes_for(need.id).items())), []).append(part)
    for looks, parts in alike.items():
        yield Filling(NEW, stands(NEW, dict(looks), True), tuple(parts))
    yield Filling(NEW, UNLISTED)
    for own in wishes.own:
        if own.need == need.id:
            yield Filling("own", {**stands("own", own.attributes, True), "fitted": True})
    yield Filling("not there", stands("none", {}, False))
    lacks = _lacks(shop, need, slot)
    labels = {need.otherwise} | ({without_parts(need)} - {"missing"} if lacks else set())
    for label in sorted(labels):
        state = label.removesuffix(" renewed")
        yield Filling(label, stands(state, need.found if state != "none" else {}, label != state))


def _lacks(shop: SmallShop, need: SmallNeed, slot: SmallSlot) -> bool:
    """Whether nothing is known to do in a slot, be it late, so that its need is met in another way."""
    views = [
        part.attributes_for(need.id)
        for part in shop.parts
        if part.pieces_for(need.id) and part.number not in shop.refused and fits(shop, part)
    ]
    return not any(_does_alone(shop, slot, view) for view in views)


def _does_alone(shop: SmallShop, slot: SmallSlot, view: Mapping[str, Any]) -> bool:
    roots = {"engine": shop.engine, slot.root: stands(NEW, dict(view), True)}
    alone = [rule for rule in slot.match if _names(rule) <= {slot.root}]
    return all(_judged(rule, roots) is True for rule in alone)


# ---- one element at a time -----------------------------------------------------------------------------


def _may_be_had(
    shop: SmallShop,
    wishes: Wishes,
    keys: frozenset[Key],
    engine: Mapping[str, Any],
    need: SmallNeed,
    filling: Filling,
) -> bool:
    """Whether a new part may be bought at all."""
    if filling.label != NEW:
        return True
    listed = ("catalogue", need.id, "") in keys
    if filling.view is UNLISTED:
        return not listed
    return any(
        not _barred(shop, wishes, keys, part)
        and (not listed or part.number in shop.pins or _for_engine(part, engine))
        for part in filling.parts
    )


def _barred(shop: SmallShop, wishes: Wishes, keys: frozenset[Key], part: Part) -> bool:
    late = wishes.days is not None and part.lead_days > wishes.days
    refused = part.number in shop.refused and ("refusal", part.number, "") in keys
    return refused or (late and ("need by", "", "") in keys)


def _for_engine(part: Part, engine: Mapping[str, Any]) -> bool:
    """Whether a part may be for an engine of which no more is known."""
    return all(engine.get(name) in (None, *allowed) for name, allowed in part.fits.items())


def _pinned(
    shop: SmallShop,
    wishes: Wishes,
    keys: frozenset[Key],
    engine: Mapping[str, Any],
    chosen: Mapping[str, Filling],
) -> bool:
    """Whether every pinned part stands somewhere and may be had; a rule may say that it fits."""
    for number in shop.pins:
        homes = [
            part
            for root, filling in chosen.items()
            for part in filling.parts
            if part.number == number and not _barred(shop, wishes, keys, part)
            if ("fits", number, root) not in keys or _for_engine(part, engine)
        ]
        if ("pin", number, "") in keys and not homes:
            return False
    return True


def _stands(
    shop: SmallShop,
    wishes: Wishes,
    keys: frozenset[Key],
    need: SmallNeed,
    slot: SmallSlot,
    filling: Filling,
    roots: Roots,
) -> bool:
    """Whether a slot stands as its need asks; a pin has it renewed anyhow, an own part is all that may."""
    if ("need", need.id, slot.root) not in keys:
        return True
    pins = {part.number for part in shop.parts if part.pieces_for(need.id)}.intersection(shop.pins)
    forced = any(("pin", number, "") in keys for number in pins)
    cases = [True] if forced else [True, False] if pins else [False]
    bought = {NEW, "own", *({without_parts(need)} if _lacks(shop, need, slot) else ())}
    bought = {"own"} if ("own part", need.id, "") in keys else bought
    return any(filling.label in _ways(need, roots, pinned, bought) for pinned in cases)


def _ways(need: SmallNeed, roots: Roots, pinned: bool, bought: set[str]) -> set[str]:
    there = need.when.truth(roots)
    if there is False:
        return {"not there"}
    renew = True if pinned else need.renew.truth(roots)
    ways = set() if there else {"not there"}
    if renew is not True:
        ways.add(need.otherwise)
    if renew is not False:
        ways |= bought
    return ways


def _matches(
    places: list[tuple[SmallNeed, SmallSlot]], keys: frozenset[Key]
) -> Iterator[tuple[str, SmallRule]]:
    for _, slot in places:
        for rule in slot.match:
            if ("match", rule.id, slot.root) in keys:
                yield slot.root, rule


def _obeys(rule: SmallRule, roots: Roots) -> bool:
    """Whether a rule is not known to be broken; of what no list carries nothing is known."""
    if any(roots.get(name) is UNLISTED for name in _names(rule)):
        return True
    return _judged(rule, roots) is not False


def _judged(rule: SmallRule, roots: Roots) -> bool | None:
    applies = True if rule.when is None else rule.when.truth(roots)
    holds = rule.that.truth(roots)
    if applies is False or holds is True:
        return True
    return False if applies is True and holds is False else None


def _names(rule: SmallRule) -> set[str]:
    return (rule.that.roots() | (rule.when.roots() if rule.when else set())) - {"engine"}


def days_of(today: date, need_by: date) -> int:
    """Working days, counted one by one."""
    days = 0
    while today < need_by:
        today = date.fromordinal(today.toordinal() + 1)
        days += today.isoweekday() <= 5
    return days
