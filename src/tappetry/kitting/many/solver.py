"""Solves requests that are much alike: each group of needs once for all that it cannot tell apart."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from tappetry.assembly.values import Values
from tappetry.catalogue.catalogue import Catalogue
from tappetry.kitting.choose import Known, choose
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.many.groups import Fixed, Group, Part, Reading, Tie, groups_of, known_members
from tappetry.kitting.many.split import Component, Piece, Split
from tappetry.kitting.options import Option, SlotState
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import decide
from tappetry.kitting.problem import Constraint, Problem
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt, ordered_preferences, suppliers_of
from tappetry.kitting.solution import Infeasible, Solution
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import Knowledge, Package
from tappetry.quantities.calendar import working_days

#: Roots of requests of which the members are kept.
MOST_VIEWS = 1000
#: Whole kits that are kept.
MOST_SOLUTIONS = 1000
#: Larger groups of needs are broken apart.
MOST_TOGETHER = 4


@dataclass(slots=True)
class Count:
    """How much work was spared: requests, groups that were asked for, and those that had to be solved."""

    requests: int = 0
    asked: int = 0
    solved: int = 0
    alone: int = 0

    @property
    def hit_rate(self) -> float:
        """The share of groups that were known already, from 0 to 1."""
        return 1.0 - self.solved / self.asked if self.asked else 0.0


@dataclass(frozen=True, slots=True)
class _Left:
    """What is left of some needs: the options of their slots, and what still ties them.

    ``around`` are slots of other needs that are read, with the one option that is left there.
    """

    number: int
    slots: Mapping[str, SlotState]
    around: Mapping[str, SlotState]
    offered: Mapping[str, list[Option]]
    constraints: tuple[Constraint, ...]
    decided: Mapping[str, int] = field(default_factory=dict)
    has_choice: bool = True

    def problem(self, request: Request, values: Values) -> Problem:
        """The same as a problem of its own."""
        slots = {
            root: replace(state, rejected=[]) for root, state in (*self.slots.items(), *self.around.items())
        }
        return Problem(
            request,
            values,
            slots,
            list(self.constraints),
            questions_open=True,
            offered=dict(self.offered),
        )


@dataclass(slots=True)
class ManySolver:
    """Solves requests over one knowledge and one catalogue; it remembers each group that it has solved.

    A group is solved again for a request only where something that its needs read is different: the
    outcome of a condition on the engine or the plan, a value that a proof takes, the parts that fit.
    A large group is broken apart first, and each component remembered by itself. What the house prefers
    is decided on top of that, and remembered in the same way.
    """

    knowledge: Knowledge
    catalogue: Catalogue
    count: Count = field(default_factory=Count)
    _groups: dict[str, list[Group]] = field(default_factory=dict)
    _facts: dict[str, frozenset[Fixed]] = field(default_factory=dict)
    _pieces: dict[Hashable, Piece] = field(default_factory=dict)
    _fitting: dict[Hashable, tuple[_Left, ...] | None] = field(default_factory=dict)
    _components: dict[Hashable, _Left | frozenset[str] | None] = field(default_factory=dict)
    _preferred: dict[Hashable, _Left] = field(default_factory=dict)
    _offers: dict[Hashable, int] = field(default_factory=dict)
    _offered: dict[Hashable, int] = field(default_factory=dict)
    _ways: Known = field(default_factory=dict)
    _solutions: dict[Hashable, tuple[list[_Left], Solution | None]] = field(default_factory=dict)
    _alone: dict[Hashable, Solution | None] = field(default_factory=dict)
    _stock: tuple[object, object, dict[str, Hashable]] | None = None
    _members: dict[int, tuple[object, dict[str, Hashable]]] = field(default_factory=dict)

    def solve(self, request: Request) -> Solution | None:
        """The best kit of a request, as solving it alone would find; None where there is none."""
        self.count.requests += 1
        values = Values(request.knowledge, request.fixed, request.memory)
        sight = _Sight(request, values, self)
        if request.plan.pins:
            return self._pinned(sight)
        fitting: list[tuple[Group, _Left]] = []
        for group in self.groups(request.package, values):
            left = self._fits(sight, group)
            if left is None:
                return None
            fitting.extend((group, each) for each in left)
        found = [self._prefer(sight, group, left) for group, left in fitting]
        # What is left of a group is one object for all requests that its needs and rules cannot tell apart.
        key = (sight.common, request.package.id, request.hurried, *map(id, found))
        if key not in self._solutions:
            if len(self._solutions) >= MOST_SOLUTIONS:
                self._solutions.clear()
            self._solutions[key] = (found, self._chosen(sight, found))
        return self._solutions[key][1]

    def _pinned(self, sight: _Sight) -> Solution | None:
        """A request with pinned parts, which tie all groups: solved once for all that none tells apart."""
        request = sight.request
        groups = self.groups(request.package, sight.values)
        keys = [key for group in groups for key in _keys(sight, group)]
        keys += [each for group in groups for part in group.needs for each in sight.of_reading(part.wishes)]
        key = (request.plan.pins, request.package.id, request.hurried, sight.common, *keys)
        if key not in self._alone:
            if len(self._alone) >= MOST_SOLUTIONS:
                self._alone.clear()
            self.count.alone += 1
            self._alone[key] = attempt(request)[1]
        return self._alone[key]

    def groups(self, package: Package, values: Values) -> list[Group]:
        """The groups of a package."""
        if package.id not in self._groups:
            self._groups[package.id] = groups_of(values, package)
        return self._groups[package.id]

    def facts(self, package: Package, values: Values) -> frozenset[Fixed]:
        """Every fact that anything of a package reads."""
        if package.id not in self._facts:
            readings = [
                reading
                for group in self.groups(package, values)
                for reading in (
                    *(tie.reading for tie in group.ties),
                    *(reading for part in group.needs for reading in (part.reading, part.wishes)),
                )
            ]
            self._facts[package.id] = frozenset().union(*(reading.all for reading in readings))
        return self._facts[package.id]

    # ---- what fits -------------------------------------------------------------------------------------

    def _fits(self, sight: _Sight, group: Group) -> tuple[_Left, ...] | None:
        """What the rules leave of a group; None where nothing meets them."""
        self.count.asked += 1
        keys = _keys(sight, group)
        key = (sight.common, *keys)
        if key not in self._fitting:
            self._fitting[key] = (
                self._apart(sight, group, keys)
                if len(group.needs) > MOST_TOGETHER
                else self._together(sight, group)
            )
        return self._fitting[key]

    def _together(self, sight: _Sight, group: Group) -> tuple[_Left] | None:
        """A small group, solved as it is."""
        needs = [part.need for part in group.needs]
        left = self._narrowed(build(sight.request, needs, [tie.rule for tie in group.ties]), {})
        return None if left is None else (left,)

    def _apart(self, sight: _Sight, group: Group, keys: list[Hashable]) -> tuple[_Left, ...] | None:
        """A large group, broken apart; once more without what turns out not to be settled."""
        members: list[Part | Tie] = [*group.needs, *group.ties]
        pieces = [self._piece(sight, key, each) for key, each in zip(keys, members, strict=True)]
        unsettled: frozenset[str] = frozenset()
        while True:
            split = Split(pieces, unsettled)
            if not split.is_possible:
                return None
            found: list[_Left] = []
            for component in split.components():
                left = self._component(sight, component)
                if left is None:
                    return None
                if isinstance(left, frozenset):
                    unsettled |= left
                    break
                found.append(left)
            else:
                return tuple(found)

    def _piece(self, sight: _Sight, key: Hashable, each: Part | Tie) -> Piece:
        """A need or a rule of a large group by itself."""
        full = (sight.common, key)
        if full not in self._pieces:
            number = len(self._pieces)
            if isinstance(each, Part):
                piece = Piece(number, build(sight.request, [each.need], ()), each.need, each.beside)
            else:
                piece = Piece(number, build(sight.request, (), [each.rule]))
            self._pieces[full] = piece
        return self._pieces[full]

    def _component(self, sight: _Sight, component: Component) -> _Left | frozenset[str] | None:
        """What is left of a component; the needs that are not settled after all; None where nothing is."""
        self.count.asked += 1
        if component.key not in self._components:
            problem = build(sight.request, component.needs, ())
            problem.constraints = [
                *(each for each in problem.constraints if (each.id, each.root) not in component.elsewhere),
                *component.foreign,
            ]
            for constraint in problem.constraints:
                if (said := component.said.get((constraint.id, constraint.root))) is not None:
                    problem.know(constraint, said)
            left = self._narrowed(problem, component.around)
            unsettled = left and frozenset(
                left.slots[root].need.id
                for root, key in component.settled.items()
                if [option.key for option in left.slots[root].options] != [key]
            )
            self._components[component.key] = unsettled or left
        return self._components[component.key]

    def _narrowed(self, problem: Problem, around: Mapping[str, SlotState]) -> _Left | None:
        """Thin out a problem beside what is settled around it."""
        self.count.solved += 1
        inside = dict(problem.slots)
        problem.slots.update(around)
        if narrow(problem) is not None:
            return None
        return _Left(
            self.count.solved,
            inside,
            around,
            {root: problem.offered[root] for root in inside},
            tuple(problem.constraints),
            has_choice=any(len(state.options) > 1 for state in inside.values()),
        )

    # ---- what is preferred, and bought -----------------------------------------------------------------

    def _prefer(self, sight: _Sight, group: Group, left: _Left) -> _Left:
        """What the preferences of the house leave of that."""
        if not left.has_choice:
            return left
        preferences = [ranked for ranked in sight.preferences if ranked[0] in left.slots]
        if not preferences:
            return left
        self.count.asked += 1
        wishes = (preference.id for _, preference in preferences)
        needs = {left.slots[root].need.id for root, _ in preferences}
        readings = (part.wishes for part in group.needs if part.need.id in needs)
        read = (each for reading in readings for each in sight.of_reading(reading))
        key = (left.number, *wishes, *read)
        if key not in self._preferred:
            self.count.solved += 1
            problem = left.problem(sight.request, sight.values)
            decided = dict(decide(problem, preferences))
            self._preferred[key] = replace(
                left,
                slots={root: problem.slots[root] for root in left.slots},
                constraints=tuple(problem.constraints),
                decided=decided,
            )
        return self._preferred[key]

    def _chosen(self, sight: _Sight, found: list[_Left]) -> Solution | None:
        slots = {root: state for left in found for root, state in left.slots.items()}
        order = {need: place for place, need in enumerate(self.knowledge.needs)}
        problem = Problem(
            sight.request,
            sight.values,
            dict(sorted(slots.items(), key=lambda item: order[item[1].need.id])),
            [constraint for left in found for constraint in left.constraints],
            questions_open=True,
            offered={root: options for left in found for root, options in left.offered.items()},
        )
        ranks = {name: rank for left in found for name, rank in left.decided.items()}
        names = [preference.id for _, preference in sight.preferences]
        decided = [(name, ranks[name]) for name in names if name in ranks]
        try:
            return choose(problem, suppliers_of(sight.request), decided, self._ways)
        except (TooMany, Infeasible):
            self.count.alone += 1
            return attempt(sight.request)[1]

    def members(self, view: object) -> dict[str, Hashable]:
        """The members of a root; of one that many requests share, found out once."""
        known = self._members.get(id(view))
        if known is None or known[0] is not view:
            if len(self._members) > MOST_VIEWS:
                self._members.clear()
            known = self._members[id(view)] = (view, known_members(view))
        return known[1]

    def stock(self, request: Request) -> dict[str, Hashable]:
        """What there is for each need of an engine, as far as it was asked for; its plans share it."""
        engine, found = request.fixed["engine"], request.found
        if self._stock is None or self._stock[0] is not engine or self._stock[1] is not found:
            self._stock = (engine, found, {})
        return self._stock[2]

    def offer(self, need: str, engine: Mapping[str, Any]) -> int:
        """A number for what the catalogue offers an engine for a need: equal where it offers the same."""
        key = (need, *(repr(engine.get(name)) for name in self.catalogue.facts_asked(need)))
        if key not in self._offers:
            parts = tuple(
                (sure, part.supplier, part.number)
                for sure, classes in (
                    (True, self.catalogue.candidates(need, engine)),
                    (False, self.catalogue.unsure(need, engine)),
                )
                for offered in classes
                for part in offered.parts
            )
            self._offers[key] = self._offered.setdefault((need, parts), len(self._offered))
        return self._offers[key]


class _Sight:
    """What groups see of one request."""

    def __init__(self, request: Request, values: Values, solver: ManySolver) -> None:
        plan = request.plan
        self.request = request
        self.values = values
        self.solver = solver
        self.preferences = ordered_preferences(request)
        self.known = {root: solver.members(view) for root, view in request.fixed.items()}
        self.missing = frozenset(
            (root, member)
            for root, member in solver.facts(request.package, values)
            if member not in self.known.get(root, ())
        )
        self.outcomes: dict[str, Hashable] = {}
        self.stock = solver.stock(request)
        days = None if plan.need_by is None else working_days(request.today, plan.need_by)
        signed = repr(sorted(request.fixed["job"].get("signed", {})))
        self.common = (repr(plan.declined), plan.refused_parts, repr(plan.own_parts), days, signed)

    def of_need(self, part: Part) -> Hashable:
        """What a need can tell of the request, before its neighbours and its wishes are asked."""
        need = part.need.id
        there = None if part.there is None else self._outcome(part.there)
        if there is False:
            return (need, there)
        if need not in self.stock:
            offered = self.solver.offer(need, self.request.fixed["engine"])
            self.stock[need] = (offered, repr(self.request.found.get(need)))
        return (need, there, part.renew, self.stock[need], *self.of_reading(part.reading))

    def of_reading(self, reading: Reading) -> Iterator[Hashable]:
        """What some expressions can tell of the request."""
        for test in reading.tests:
            yield self._outcome(test)
        for name in reading.named:
            yield self._named(name)
        for root, member in reading.facts:
            yield self.known.get(root, {}).get(member)
        yield reading.all & self.missing

    def _outcome(self, expression: Expression) -> Hashable:
        if expression.text not in self.outcomes:
            try:
                value = self.values.evaluate(expression, {})
            except Unknown as unknown:
                value = repr(unknown)
            self.outcomes[expression.text] = value if isinstance(value, str | float | bool) else repr(value)
        return self.outcomes[expression.text]

    def _named(self, name: str) -> Hashable:
        if name not in self.outcomes:
            try:
                self.outcomes[name] = repr(self.values.named(name, {}))
            except Unknown as unknown:
                self.outcomes[name] = repr(unknown)
        return self.outcomes[name]


def _keys(sight: _Sight, group: Group) -> list[Hashable]:
    """What each need and each rule of a group can tell of a request."""
    keys = [sight.of_need(part) for part in group.needs]
    keys += [(tie.rule.id, *sight.of_reading(tie.reading)) for tie in group.ties]
    return keys
