"""Tries every choice that is left one by one, where they are few: exact, and quick."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import partial
from itertools import product
from math import prod

from tappetry.kitting.alternatives import groups_apart
from tappetry.kitting.options import Option, SlotState
from tappetry.kitting.packs import (
    Demand,
    Identity,
    TooMany,
    Way,
    groups_of,
    together,
    way,
    ways,
    worth_trying,
)
from tappetry.kitting.problem import Problem, Table
from tappetry.kitting.purchase import Found, Rank, Search
from tappetry.kitting.solution import Infeasible, Solution, Stage, landed_cents
from tappetry.records.kit import BY_LANDED_COST
from tappetry.records.part import Part, Supplier

#: More choices than this are left to the general solver.
MAX_CHOICES = 3000
MAX_PURCHASES = 4000

#: The ways to buy a group of demands that are worth trying.
Known = dict[tuple[frozenset[tuple[Demand, int]], frozenset[Identity]], list[Way]]


def choose(
    problem: Problem,
    suppliers: Mapping[str, Supplier],
    decided: list[tuple[str, int]],
    known: Known | None = None,
) -> Solution:
    """The best of all choices that are left, by landed cost, suppliers, arrival, left-over, then codes.

    Few are tried one by one; many are bounded by supplier first. What is too much for that is left to the
    general solver. ``known`` keeps the ways to buy for other problems over the same catalogue.

    Raises
    ------
    Infeasible
        None of them passes every rule.
    """
    stages = tuple(Stage(name, rank, True) for name, rank in decided)
    for search in (partial(best_of_few, known=known), best_of_many):
        try:
            best = search(problem, suppliers)
        except TooMany:
            continue
        if best is None:
            raise Infeasible
        return _solution(problem, best, stages)
    from tappetry.kitting.solver import solve  # heavy, and seldom needed

    solution = solve(problem, [], suppliers)
    return replace(solution, stages=(*stages, *solution.stages))


def best_of_few(
    problem: Problem, suppliers: Mapping[str, Supplier], known: Known | None = None
) -> Found | None:
    """The best of all choices, each tried; None where none passes every rule."""
    order = _in_order(problem)
    buying = _Buying(problem, suppliers, {} if known is None else known)
    slots_of = _slots_by_need(problem)
    best: Found | None = None
    for chosen in assignments(problem):
        wanted, choices = buying.choices(chosen)
        for bought in _together(choices):
            rank = _rank(bought, wanted, suppliers)
            if best is not None and rank > best.rank:
                continue
            units = dict(bought.purchase)
            tie = tuple([-units.get(identity, 0) for identity in order])
            if best is not None and (rank, tie) >= (best.rank, best.tie):
                continue
            if _pins_bought(problem, units) and not _bought_again(problem, chosen, bought.boxes, slots_of):
                best = Found(rank, tie, chosen, units)
    return best


class _Buying:
    """The ways to buy what a choice of options wants; what no choice changes is worked out once."""

    def __init__(self, problem: Problem, suppliers: Mapping[str, Supplier], known: Known) -> None:
        self.problem = problem
        self.suppliers = suppliers
        self.parts = _parts(problem)
        self.known = known
        self.pinned = self._pinned()
        fixed = {root: state.options[0] for root, state in problem.slots.items() if len(state.options) == 1}
        self.varying = [root for root, state in problem.slots.items() if self._varies(state, fixed)]
        steady = wanted_pieces(problem, fixed, [root for root in fixed if root not in self.varying])
        touched = {
            (part.supplier, part.number)
            for root in self.varying
            for option in problem.slots[root].options
            for part in option.parts
        }
        self.wanted = sum(steady.values())
        self.shared: dict[Demand, int] = {}
        settled: list[list[Way]] = []
        for group in groups_of(steady, self.parts):
            if any(
                (part.supplier, part.number) in touched for demand in group for part in self.parts[demand]
            ):
                self.shared.update(group)
            else:
                settled.append(self._ways(group))
        single = together(choice[0] for choice in settled if len(choice) == 1)
        self.settled = [[single], *(choice for choice in settled if len(choice) != 1)]

    def _varies(self, state: SlotState, fixed: Mapping[str, Option]) -> bool:
        return len(state.options) > 1 or any(
            root not in fixed for root in self.problem.values.reads([state.slot.pieces])
        )

    def choices(self, chosen: Mapping[str, Option]) -> tuple[int, list[list[Way]]]:
        """The pieces that a choice wants in all, and the ways to buy each group of demands."""
        varying = wanted_pieces(self.problem, chosen, self.varying)
        wanted = dict(self.shared)
        for demand, pieces in varying.items():
            wanted[demand] = wanted.get(demand, 0) + pieces
        groups = [self._ways(group) for group in groups_of(wanted, self.parts)]
        return self.wanted + sum(varying.values()), [*self.settled, *groups]

    def _pinned(self) -> dict[Identity, bool]:
        """What the plan pins, and whether that is the only part of its number."""
        pins = self.problem.request.plan.pins
        found = {
            i for group in self.parts.values() for p in group if (i := (p.supplier, p.number))[1] in pins
        }
        numbers = [number for _, number in found]
        return {identity: numbers.count(identity[1]) == 1 for identity in found}

    def _ways(self, group: Mapping[Demand, int]) -> list[Way]:
        """The ways to buy a group; of one with a pinned part those that buy it."""
        listed = {(part.supplier, part.number) for demand in group for part in self.parts[demand]}
        pinned = listed & self.pinned.keys()
        key = (frozenset(group.items()), frozenset(pinned))
        if key not in self.known:
            found = [way(purchase, group, self.parts) for purchase in ways(group, self.parts)]
            if all(self.pinned[identity] for identity in pinned):
                found = [one for one in found if pinned <= dict(one.purchase).keys()]
                found = worth_trying(found, self.suppliers)
            self.known[key] = found
        return self.known[key]


def _slots_by_need(problem: Problem) -> dict[str, list[str]]:
    slots_of: dict[str, list[str]] = {}
    for root, state in problem.slots.items():
        slots_of.setdefault(state.need.id, []).append(root)
    return slots_of


def best_of_many(problem: Problem, suppliers: Mapping[str, Supplier]) -> Found | None:
    """The best of all choices, most of them ruled out by bounds; None where none passes every rule.

    Where the request is in a hurry it is a good one, if proving that it is the best takes long.
    """
    if problem.request.plan.pins:
        raise TooMany  # a pinned part has to be bought at any price, which the bounds do not know
    search = Search(suppliers, _in_order(problem), problem.request.hurried)
    return search.run(groups_apart(problem))


def _in_order(problem: Problem) -> list[Identity]:
    """All parts that may be bought, by code and number: what decides between equals."""
    return sorted({(p.supplier, p.number) for group in _parts(problem).values() for p in group})


def _together(choices: list[list[Way]]) -> Iterator[Way]:
    """Every combination of one way for each group."""
    if prod(len(choice) for choice in choices) > MAX_PURCHASES:
        raise TooMany
    settled = together(choice[0] for choice in choices if len(choice) == 1)
    for open_ones in product(*(choice for choice in choices if len(choice) != 1)):
        yield together((settled, *open_ones))


def _rank(bought: Way, wanted: int, suppliers: Mapping[str, Supplier]) -> Rank:
    """Landed cost, suppliers, latest arrival, left-over pieces."""
    landed = sum([landed_cents(suppliers.get(code), amount) for code, amount in bought.net])
    return (landed, len(bought.net), bought.lead_days, bought.pieces - wanted)


def assignments(problem: Problem) -> Iterator[dict[str, Option]]:
    """Every choice of options that passes every constraint."""
    fixed = {root: state.options[0] for root, state in problem.slots.items() if len(state.options) == 1}
    live = [root for root, state in problem.slots.items() if len(state.options) > 1]
    if prod(len(problem.slots[root].options) for root in live) > MAX_CHOICES * 20:
        raise TooMany
    allowed = [problem.table(c) for c in problem.constraints if len(problem.live(list(c.reads))) > 1]
    for found, chosen in enumerate(_extend(problem, dict(fixed), live, allowed)):
        if found >= MAX_CHOICES:
            raise TooMany
        yield chosen


def _extend(
    problem: Problem, chosen: dict[str, Option], live: list[str], allowed: list[Table]
) -> Iterator[dict[str, Option]]:
    if not live:
        yield dict(chosen)
        return
    root, *rest = live
    for option in problem.slots[root].options:
        chosen[root] = option
        ready = [
            table for table in allowed if root in table.roots and all(name in chosen for name in table.roots)
        ]
        if all(table.allows(chosen) for table in ready):
            yield from _extend(problem, chosen, rest, allowed)
        del chosen[root]


def wanted_pieces(problem: Problem, chosen: Mapping[str, Option], roots: Iterable[str]) -> dict[Demand, int]:
    """Pieces wanted of each class, over those of the slots that take it."""
    views = problem.views(chosen)
    wanted: dict[Demand, int] = {}
    for root in roots:
        option = chosen[root]
        if option.state == "new":
            demand = (problem.slots[root].need.id, option.key)
            wanted[demand] = wanted.get(demand, 0) + problem.pieces(root, views)
    return {demand: pieces for demand, pieces in wanted.items() if pieces > 0}


def _parts(problem: Problem) -> dict[Demand, tuple[Part, ...]]:
    return {
        (state.need.id, option.key): option.parts
        for state in problem.slots.values()
        for option in state.options
        if option.state == "new"
    }


def _pins_bought(problem: Problem, units: Mapping[Identity, int]) -> bool:
    bought = {number for _, number in units}
    return all(pin in bought for pin in problem.request.plan.pins)


def _bought_again(
    problem: Problem,
    chosen: Mapping[str, Option],
    boxes: tuple[Part, ...],
    slots_of: Mapping[str, list[str]],
) -> bool:
    """Whether something is bought beside a box that holds a piece which would do."""
    for box in boxes:
        for root in (root for fill in box.fills for root in slots_of.get(fill.need, ())):
            option = chosen[root]
            if option.state != "new":
                continue
            inside = problem.from_box(root, box)
            if inside is not None and inside.key != option.key and problem.would_stand(chosen, root, inside):
                return True
    return False


def _solution(problem: Problem, best: Found, decided: tuple[Stage, ...]) -> Solution:
    chosen = {root: best.chosen.get(root, state.options[0]) for root, state in problem.slots.items()}
    by_identity = {(part.supplier, part.number): part for option in chosen.values() for part in option.parts}
    names = (BY_LANDED_COST, "suppliers", "latest arrival", "left-over pieces")
    ranked = [Stage(name, value, best.proved) for name, value in zip(names, best.rank, strict=True)]
    views = problem.views(chosen)
    return Solution(
        chosen=chosen,
        units=dict(sorted(best.units.items())),
        parts={identity: by_identity[identity] for identity in best.units},
        required={
            root: problem.pieces(root, views)
            for root, option in chosen.items()
            if option.state not in {"none", "open"}
        },
        stages=(*decided, *ranked),
        landed_cost=Decimal(best.rank[0]) / 100,
        proved=best.proved,
    )
