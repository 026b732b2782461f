"""Solves one request again and again while its plan says something else of single parts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from tappetry.assembly.values import Values
from tappetry.kitting.choose import Known, choose
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.many.groups import Group, groups_of
from tappetry.kitting.options import SlotState
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import decide
from tappetry.kitting.problem import Problem
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt, hold_pins, ordered_preferences, suppliers_of
from tappetry.kitting.solution import Infeasible, Solution


@dataclass(frozen=True, slots=True)
class _Decided:
    """Needs with what the rules and the house's preferences leave of their options; no ranks if nothing."""

    problem: Problem
    ranks: dict[str, int] | None


class Again:
    """A request of which the needs were thinned out and decided once.

    For another plan this is done again only for the groups of needs that it touches by what it pins,
    refuses, brings or declines: no rule, proof or preference ties the others to these.
    """

    def __init__(self, request: Request) -> None:
        self.request = request
        self._known: Known = {}

    def attempt(self, request: Request) -> tuple[Problem, Solution | None]:
        """What solving a request alone finds; without a kit, the problem of the needs that have none."""
        first, anew = self._first, _decided(request, self._touched(request))
        if anew.ranks is None:
            return anew.problem, None
        if first.ranks is None:
            return attempt(request)[:2]
        problem = _joined(request, first.problem, anew.problem)
        decided = []
        for root, preference in ordered_preferences(request):
            ranks = anew.ranks if root in anew.problem.slots else first.ranks
            if preference.id in ranks:
                decided.append((preference.id, ranks[preference.id]))
        try:
            return problem, choose(problem, suppliers_of(request), decided, self._known)
        except (TooMany, Infeasible):
            return attempt(request)[:2]

    @cached_property
    def _groups(self) -> list[Group]:
        request = self.request
        return groups_of(Values(request.knowledge, request.fixed, request.memory), request.package)

    @cached_property
    def _first(self) -> _Decided:
        """The request itself."""
        return _decided(self.request, self._groups)

    def _touched(self, request: Request) -> list[Group]:
        """The groups of needs for which a plan says something else."""
        before, after = self.request.plan, request.plan
        numbers = {*before.pins} ^ {*after.pins} | {*before.refused_parts} ^ {*after.refused_parts}
        needs = {own.need for own in before.own_parts if own not in after.own_parts}
        needs |= {own.need for own in after.own_parts if own not in before.own_parts}
        needs |= before.declined.keys() ^ after.declined.keys()
        needs = needs.union(*(_filled(request, number) for number in numbers))
        pinned = [_filled(request, pin) for pin in after.pins]
        touched: list[Group] = []
        while len(found := [group for group in self._groups if needs & _names(group)]) > len(touched):
            touched = found
            names = {name for group in touched for name in _names(group)}
            # A pinned part is looked at with all its places.
            needs = needs.union(*(filled for filled in pinned if filled & names))
        return touched


def _filled(request: Request, number: str) -> set[str]:
    """The needs that the parts of a number fill."""
    return {fill.need for part in request.catalogue.numbered(number) for fill in part.fills}


def _names(group: Group) -> set[str]:
    return {part.need.id for part in group.needs}


def _decided(request: Request, groups: list[Group]) -> _Decided:
    """Groups of needs, thinned out and decided together."""
    names = {name for group in groups for name in _names(group)}
    needs = [need for need in request.knowledge.needs.values() if need.id in names]
    rules = {tie.rule.id for group in groups for tie in group.ties}
    problem = build(request, needs, [rule for rule in request.knowledge.rules if rule.id in rules])
    if narrow(problem) or hold_pins(problem) or not _places(request, problem, names):
        return _Decided(problem, None)
    preferences = [ranked for ranked in ordered_preferences(request) if ranked[0] in problem.slots]
    return _Decided(problem, dict(decide(problem, preferences)))


def _places(request: Request, problem: Problem, names: set[str]) -> bool:
    """Whether every pinned part that fills one of the needs still has a place."""
    left = {p.number for state in problem.slots.values() for option in state.options for p in option.parts}
    return all(pin in left or not _filled(request, pin) & names for pin in request.plan.pins)


def _joined(request: Request, first: Problem, anew: Problem) -> Problem:
    """The needs that were decided first, and those that were decided anew in their places."""
    needs = {state.need.id for state in anew.slots.values()}
    old = {root for root, state in first.slots.items() if state.need.id in needs}
    by_need: dict[str, dict[str, SlotState]] = {name: {} for name in request.knowledge.needs}
    kept = {root: state for root, state in first.slots.items() if root not in old}
    for root, state in {**kept, **anew.slots}.items():
        by_need[state.need.id][root] = state
    return Problem(
        request,
        first.values,
        {root: state for slots in by_need.values() for root, state in slots.items()},
        [*(each for each in first.constraints if not old & each.reads.keys()), *anew.constraints],
        {**{root: each for root, each in first.standings.items() if root not in old}, **anew.standings},
        questions_open=True,
        offered={**{root: each for root, each in first.offered.items() if root not in old}, **anew.offered},
    )
