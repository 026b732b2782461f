"""A request as slots with options and constraints between them, thinned out before solving."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from functools import partial
from itertools import product
from math import prod
from typing import Any

from tappetry.assembly.values import Values
from tappetry.kitting.options import Key, Option, Rejected, SlotState
from tappetry.kitting.request import Request
from tappetry.kitting.standing import Standing, obeyed
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Need, Rule
from tappetry.records.part import Part

Views = Mapping[str, Mapping[str, Any]]
#: A slot, what is read of some of its options, and these options.
Group = tuple[str, Key, list[Option]]
Combination = tuple[Group, ...]
Verdicts = dict[Key, bool | None]
#: More combinations than this in one constraint mean that a rule reads more than it needs.
MAX_COMBINATIONS = 2_000_000
#: Of open slots with more answers than this together, a rule is not asked whether one would do.
MOST_ANSWERS = 2000
#: The kinds of constraint that speak of what fits, not of what is wanted.
RULES = frozenset({"match", "rule", "proof"})
#: The kind of constraint that says in which state a need's conditions want its slot.
STATE = "state"


@dataclass(frozen=True, slots=True)
class Constraint:
    """A condition between slots: true, false, or None for unknown (which does not rule out).

    ``may_hold`` is what it says of a slot that is not settled yet, where that is less; ``read`` are the
    expressions that it is made of; ``arithmetic`` reckons how far a proof falls short, and ``reason`` is
    the why that fits what stands there.
    """

    id: str
    why: str
    source: str
    kind: str
    need: str
    reads: Mapping[str, frozenset[str]]
    holds: Callable[[Views], bool | None]
    read: tuple[Expression, ...] = ()
    arithmetic: Callable[[Views], str] | None = None
    root: str = ""
    may_hold: Callable[[Views], bool | None] | None = None
    reason: Callable[[Views], str] | None = None


@dataclass(slots=True)
class Conflict:
    """Where the request broke: the slot without an option left, and the constraints that emptied it."""

    root: str
    need: Need
    constraint: Constraint | None
    rejected: list[Rejected]


@dataclass(slots=True)
class Problem:
    """Slots, constraints and the values they read.

    ``standings`` say how each slot may stand; ``offered`` are the options of each slot before any was
    ruled out.
    """

    request: Request
    values: Values
    slots: dict[str, SlotState]
    constraints: list[Constraint] = field(default_factory=list)
    standings: dict[str, Standing] = field(default_factory=dict)
    questions_open: bool = False
    offered: dict[str, list[Option]] = field(default_factory=dict)
    _boxes: dict[tuple[str, str, str], Option] = field(default_factory=dict)
    #: By constraint: what it says, and the constraint itself, so that no other one ever takes its id.
    _verdicts: dict[int, tuple[Constraint, Verdicts]] = field(default_factory=dict)
    #: By slot and what is read of it: the options that were grouped, how many they were, and the groups.
    _grouped: dict[tuple[str, frozenset[str]], tuple[list[Option], int, list[Group]]] = field(
        default_factory=dict
    )

    def forget(self, kinds: Set[str]) -> None:
        """Forget what the constraints of some kinds said: their meaning has changed."""
        for constraint in self.constraints:
            if constraint.kind in kinds:
                self._verdicts.pop(id(constraint), None)

    def know(self, constraint: Constraint, verdicts: Verdicts) -> None:
        """Take what a constraint says from elsewhere; what is found out further is added there."""
        self._verdicts[id(constraint)] = (constraint, verdicts)

    def known(self, constraint: Constraint) -> Verdicts:
        """What a constraint was found to say so far, by what is read of the combination."""
        return self._verdicts.setdefault(id(constraint), (constraint, {}))[1]

    def verdict(self, constraint: Constraint, combination: Combination) -> bool | None:
        """What a constraint says of one combination; each is tried once."""
        known = self.known(constraint)
        key = tuple([projected for _, projected, _ in combination])
        if key not in known:
            known[key] = self.says(constraint, {root: group[0] for root, _, group in combination})
        return known[key]

    def says(self, constraint: Constraint, chosen: Mapping[str, Option]) -> bool | None:
        """What a constraint says of the options of the slots that it reads.

        A rule that leaves the open slots among them no answer is broken: no question is a way around it.
        """
        views = {root: chosen[root].view for root in constraint.reads if root in chosen}
        said = constraint.holds(views)
        if said is not None or constraint.kind not in RULES:
            return said
        open_slots = [root for root in constraint.reads if root in chosen and chosen[root].state == "open"]
        answers = [[answer.view for answer in chosen[root].answers] for root in open_slots]
        if not answers or prod(map(len, answers)) > MOST_ANSWERS:
            return None
        holds = constraint.may_hold or constraint.holds
        settled = (dict(zip(open_slots, given, strict=True)) for given in product(*answers))
        return None if any(holds({**views, **given}) is not False for given in settled) else False

    def verdicts(
        self, constraint: Constraint
    ) -> Iterator[tuple[tuple[list[Option], ...], dict[str, Mapping[str, Any]], bool | None]]:
        """Every combination that a constraint tells apart, and what it says of it."""
        for combination in product(*self.grouped(constraint.reads)):
            groups = tuple([group for _, _, group in combination])
            yield groups, views_of(combination), self.verdict(constraint, combination)

    def views(self, chosen: Mapping[str, Option]) -> dict[str, Mapping[str, Any]]:
        """What conditions see of a choice of options."""
        return {root: option.view for root, option in chosen.items()}

    def pieces(self, root: str, views: Views) -> int:
        """How many pieces a slot wants of what stands in it."""
        return max(0, round(self.values.number(self.slots[root].slot.pieces, views)))

    def from_box(self, root: str, box: Part) -> Option | None:
        """The option of a slot that a box holds a piece of."""
        if not self._boxes:
            self._boxes = {
                (name, part.supplier, part.number): option
                for name, options in self.offered.items()
                for option in reversed(options)
                for part in option.parts
                if len(part.fills) > 1
            }
        return self._boxes.get((root, box.supplier, box.number))

    def would_stand(self, chosen: Mapping[str, Option], root: str, option: Option) -> bool:
        """Whether another option could stand in a slot beside the others without breaking a rule or proof."""
        beside = {**chosen, root: option}
        return all(
            self.says(constraint, beside) is not False
            for constraint in self.constraints
            if constraint.kind in RULES and root in constraint.reads
        )

    def table(self, constraint: Constraint) -> Table:
        """A constraint as a table, for trying choices one by one."""
        roots = tuple(root for root in constraint.reads if root in self.slots)
        members = tuple(constraint.reads[root] for root in roots)
        forbidden = set()
        for combination, _, verdict in self.verdicts(constraint):
            if verdict is False:
                forbidden.add(tuple(g[0].projection(m) for g, m in zip(combination, members, strict=True)))
        return Table(roots, members, frozenset(forbidden))

    def live(self, roots: Sequence[str]) -> list[str]:
        """Those of the roots that still have more than one option."""
        return [root for root in roots if root in self.slots and len(self.slots[root].options) > 1]

    def groups(self, root: str, members: frozenset[str]) -> list[Group]:
        """Options of a slot, in groups that are equal in the members that are read."""
        options = self.slots[root].options
        known = self._grouped.get((root, members))
        # A list of options is replaced where some are ruled out; an open one is added at its end.
        if known is None or known[0] is not options or known[1] != len(options):
            groups: dict[Key, list[Option]] = {}
            for option in options:
                groups.setdefault(option.projection(members), []).append(option)
            found = [(root, projected, group) for projected, group in groups.items()]
            known = self._grouped[root, members] = (options, len(options), found)
        return known[2]

    def combinations(
        self, reads: Mapping[str, frozenset[str]]
    ) -> Iterator[tuple[tuple[list[Option], ...], dict[str, Mapping[str, Any]]]]:
        """Every combination of groups over the slots that are read, with the views of one representative."""
        for combination in product(*self.grouped(reads)):
            yield tuple([group for _, _, group in combination]), views_of(combination)

    def grouped(self, reads: Mapping[str, frozenset[str]]) -> list[list[Group]]:
        """The options of every slot that is read, in groups that are equal in what is read of them."""
        grouped = [self.groups(root, members) for root, members in reads.items() if root in self.slots]
        count = prod(map(len, grouped))
        if count > MAX_COMBINATIONS:
            raise OverflowError(f"{count} combinations over {', '.join(reads)}")
        return grouped


def views_of(combination: Combination) -> dict[str, Mapping[str, Any]]:
    """What conditions see of a combination, with one representative of each group."""
    return {root: group[0].view for root, _, group in combination}


@dataclass(frozen=True, slots=True)
class Table:
    """What a constraint allows, as a table over the slots that still have a choice."""

    roots: tuple[str, ...]
    members: tuple[frozenset[str], ...]
    forbidden: frozenset[tuple[Any, ...]]

    def allows(self, chosen: Mapping[str, Option]) -> bool:
        """Whether a choice of options passes."""
        key = tuple([chosen[root].projection(m) for root, m in zip(self.roots, self.members, strict=True)])
        return key not in self.forbidden


def projection(option: Option, members: frozenset[str]) -> Key:
    """What distinguishes an option for a condition that reads only these members."""
    return option.projection(members)


def implication(
    values: Values, rule: Rule
) -> tuple[Mapping[str, frozenset[str]], Callable[[Views], bool | None]]:
    """A rule as what it reads and a test: unknown conditions do not rule out."""
    return values.reads([rule.when, rule.that]), lambda views: obeyed(values, rule, views)


def thin_out(problem: Problem, start: list[Constraint] | None = None) -> Conflict | None:
    """Drop options that no combination supports, until nothing changes; tell where a slot runs empty.

    With ``start`` only those constraints are looked at first, and then whatever they change.
    """
    pending = sorted(start or problem.constraints, key=lambda constraint: len(constraint.reads))
    by_root: dict[str, list[Constraint]] = {}
    for constraint in problem.constraints:
        for root in constraint.reads:
            by_root.setdefault(root, []).append(constraint)
    queue = list(pending)
    queued = {id(constraint) for constraint in queue}
    while queue:
        constraint = queue.pop(0)
        queued.discard(id(constraint))
        changed, conflict = _revise(problem, constraint)
        if conflict is not None:
            return conflict
        for root in changed:
            for other in by_root.get(root, ()):
                if other is not constraint and id(other) not in queued:
                    queue.append(other)
                    queued.add(id(other))
    return None


def _revise(problem: Problem, constraint: Constraint) -> tuple[list[str], Conflict | None]:
    """Keep only the options that some combination of the others supports."""
    grouped = problem.grouped(constraint.reads)
    supported: set[tuple[str, Key]] = set()
    unsupported: dict[tuple[str, int], Views] = {}
    roots = []
    for place, groups in enumerate(grouped):
        for root, projected, group in groups:
            if (root, projected) in supported:
                continue
            others = [*grouped[:place], [(root, projected, group)], *grouped[place + 1 :]]
            support = _support(problem, constraint, others)
            if support is not None:
                supported.update((name, key) for name, key, _ in support)
                continue
            first = next(product(*others), ())
            unsupported.update(((root, id(option)), views_of(first)) for option in group)
            if root not in roots:
                roots.append(root)
    for root in roots:
        state = problem.slots[root]
        for option in state.options:
            if (root, id(option)) in unsupported:
                views = unsupported[root, id(option)]
                state.rejected.extend(_rejections(problem, constraint, option, views))
        state.options = [option for option in state.options if (root, id(option)) not in unsupported]
        if not state.options:
            return roots, Conflict(root, state.need, constraint, list(state.rejected))
    return roots, None


def _support(problem: Problem, constraint: Constraint, grouped: list[list[Group]]) -> Combination | None:
    """The first combination that a constraint does not rule out."""
    for combination in product(*grouped):
        if problem.verdict(constraint, combination) is not False:
            return combination
    return None


def _rejections(problem: Problem, constraint: Constraint, option: Option, views: Views) -> Iterator[Rejected]:
    values = tuple(
        (f"{root}.{member}" if member else root, views.get(root, {}).get(member))
        for root, members in constraint.reads.items()
        for member in sorted(members)
        if views.get(root, {}).get(member) is not None
    )
    arithmetic = partial(constraint.arithmetic, views) if constraint.arithmetic else None
    why = constraint.reason(views) if constraint.reason else constraint.why
    for name in option.names:
        yield Rejected(name, constraint.id, why, values, constraint.read, arithmetic)
