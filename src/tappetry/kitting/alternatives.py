"""Breaks what is left to choose into groups of slots that are filled apart, with every way to fill each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

from tappetry.kitting.options import Option
from tappetry.kitting.packs import Demand, Identity, TooMany, ways
from tappetry.kitting.problem import RULES, Problem, Table
from tappetry.records.part import Part

#: More choices than this for the slots that others hang on, or in one group, are left to the general solver.
MAX_SETTLED = 200
MAX_ALTERNATIVES = 500

Chosen = dict[str, Option]


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to fill a group: the options it takes, and units of each kind of parts.

    The parts of one kind give the same pieces to the same slots, so that any of them will do.
    """

    chosen: Mapping[str, Option]
    wanted: int
    kinds: tuple[tuple[tuple[Part, ...], int], ...]


Group = list[Pattern]


def groups_apart(problem: Problem) -> Iterator[list[Group]]:
    """Each choice for the slots that others hang on, with the groups of all slots under it.

    Raises
    ------
    TooMany
        Too many choices, or too many in one group.
    """
    links = _Links(problem)
    for settled in links.settlements():
        groups = links.groups(settled)
        if all(groups):
            yield groups


class _Links:
    """What ties slots together: rules with a say, pieces, parts that fill several, and boxes."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.live = problem.live(list(problem.slots))
        tied = [c for c in problem.constraints if len(problem.live(list(c.reads))) > 1]
        self.tables = [table for table in map(problem.table, tied) if table.forbidden]
        self.fixed = {root: s.options[0] for root, s in problem.slots.items() if len(s.options) == 1}
        self.any_choice = {root: state.options[0] for root, state in problem.slots.items()}
        self.boxes = self._boxes()
        self.settled = self._settled()
        self.members = self._share_parts()
        grouped = {root for members in self.members for root in members}
        self.members += [[root] for root in self.live if root not in grouped]
        self.heeded = [self._heeds(roots) for roots in self.members]
        self._known: dict[tuple[int, ...], Group] = {}

    def _boxes(self) -> dict[Identity, list[str]]:
        """Each part that fills several needs, with the slots of these needs."""
        boxes = [
            part
            for state in self.problem.slots.values()
            for option in state.options
            for part in option.parts
            if len(part.fills) > 1
        ]
        slots_of: dict[str, list[str]] = {}
        for root, state in self.problem.slots.items():
            slots_of.setdefault(state.need.id, []).append(root)
        return {
            (box.supplier, box.number): [root for fill in box.fills for root in slots_of.get(fill.need, ())]
            for box in boxes
        }

    def _settled(self) -> list[str]:
        """The slots that are settled first, so that no rule ties two of the others."""
        settled = {
            other
            for root in self.problem.slots
            for other in self.problem.values.reads([self.problem.slots[root].slot.pieces])
            if other in self.live and other != root
        }
        held = {root for roots in self.boxes.values() for root in roots}
        settled.update(
            root
            for root in held.intersection(self.live)
            if len({option.state for option in self.problem.slots[root].options}) > 1
        )
        settled |= self._decide_about_boxes()
        while True:
            ties = [[r for r in t.roots if r in self.live and r not in settled] for t in self.tables]
            ties = [roots for roots in ties if len(roots) > 1]
            if not ties:
                return sorted(settled)
            open_roots = sorted({root for roots in ties for root in roots})
            settled.add(max(open_roots, key=lambda root: sum(root in roots for roots in ties)))

    def _decide_about_boxes(self) -> set[str]:
        """The slots on which it hangs whether a piece out of a box would do where another one is bought."""
        found: set[str] = set()
        looked: set[tuple[str, str]] = set()
        for state in self.problem.slots.values():
            for box in (part for option in state.options for part in option.parts):
                for root in self.boxes.get((box.supplier, box.number), ()):
                    inside = self.problem.from_box(root, box)
                    if inside is not None and (root, inside.key) not in looked:
                        looked.add((root, inside.key))
                        found |= self._decide_about(root, inside)
        return found

    def _decide_about(self, root: str, inside: Option) -> set[str]:
        """The slots on which it hangs whether an option that a box holds would do in a slot."""
        if all(o.state != "new" or o.key == inside.key for o in self.problem.slots[root].options):
            return set()
        found: set[str] = set()
        for constraint in self.problem.constraints:
            if constraint.kind in RULES and root in constraint.reads:
                beside = self.problem.grouped({n: m for n, m in constraint.reads.items() if n != root})
                several = {groups[0][0] for groups in beside if len(groups) > 1}
                breaks = {False, True}
                if prod(map(len, beside)) <= MAX_SETTLED:
                    breaks = {
                        self.problem.says(constraint, {**{n: o for n, _, (o, *_) in others}, root: inside})
                        is False
                        for others in product(*beside)
                    }
                if breaks == {True}:
                    return set()  # it never would
                if len(breaks) > 1:
                    found |= several
        return found

    def _share_parts(self) -> list[list[str]]:
        """Slots that share a part are filled together."""
        group_of: dict[Identity, list[str]] = {}
        for root, state in self.problem.slots.items():
            identities = [(p.supplier, p.number) for option in state.options for p in option.parts]
            joined = [root]
            for others in {id(g): g for i in identities if (g := group_of.get(i)) is not None}.values():
                joined = others + joined
            for member in joined:
                for option in self.problem.slots[member].options:
                    group_of.update({(p.supplier, p.number): joined for p in option.parts})
        return list({id(group): group for group in group_of.values()}.values())

    def settlements(self) -> Iterator[Chosen]:
        """Each choice for the slots that are settled first, where no rule forbids it."""
        choices = [self.problem.slots[root].options for root in self.settled]
        if prod(map(len, choices)) > MAX_SETTLED:
            raise TooMany
        for options in product(*choices):
            chosen = {**self.fixed, **dict(zip(self.settled, options, strict=True))}
            if self._allowed(chosen, self.tables):
                yield chosen

    @staticmethod
    def _allowed(chosen: Chosen, tables: Sequence[Table]) -> bool:
        return all(table.allows(chosen) for table in tables if all(root in chosen for root in table.roots))

    def groups(self, settled: Chosen) -> list[Group]:
        """Every group of slots with its ways; a group without a way makes the settlement void.

        A group for which nothing has changed since another settlement is the same list again.
        """
        groups = []
        for number, roots in enumerate(self.members):
            key = (number, *(id(settled[root]) for root in self.heeded[number]))
            if key not in self._known:
                self._known[key] = list(self._patterns(roots, settled))
            groups.append(self._known[key])
        return groups

    def _heeds(self, roots: list[str]) -> list[str]:
        """The settled slots that what may fill these slots hangs on."""
        slots = self.problem.slots
        boxes = {
            (part.supplier, part.number)
            for root in roots
            for option in slots[root].options
            for part in option.parts
        }
        beside = {root for box in boxes & self.boxes.keys() for root in self.boxes[box]}
        heeded = {*roots, *beside}
        heeded.update(self.problem.values.reads([slots[root].slot.pieces for root in roots]))
        heeded.update(name for table in self.tables if set(table.roots) & set(roots) for name in table.roots)
        for constraint in self.problem.constraints:
            if constraint.kind in RULES and beside & constraint.reads.keys():
                heeded.update(constraint.reads)
        return [root for root in self.settled if root in heeded]

    def _patterns(self, roots: list[str], settled: Chosen) -> Iterator[Pattern]:
        choices = [
            [settled[root]]
            if root in settled
            else [
                option
                for option in self.problem.slots[root].options
                if self._allowed({**settled, root: option}, [t for t in self.tables if root in t.roots])
            ]
            for root in roots
        ]
        if prod(map(len, choices)) > MAX_ALTERNATIVES:
            raise TooMany
        for options in product(*choices):
            yield from self._fillings(roots, {**settled, **dict(zip(roots, options, strict=True))})

    def _fillings(self, roots: list[str], chosen: Chosen) -> Iterator[Pattern]:
        """Every way to fill the slots of a group with these options."""
        problem = self.problem
        views = problem.views(chosen)
        here = {root: chosen[root] for root in roots}
        wanted: dict[Demand, int] = {}
        offered: dict[Demand, tuple[Part, ...]] = {}
        for root, option in here.items():
            pieces = problem.pieces(root, views) if option.state == "new" else 0
            if pieces:
                demand = (problem.slots[root].need.id, option.key)
                wanted[demand] = wanted.get(demand, 0) + pieces
                offered[demand] = tuple(part for part in option.parts if self._may_be_used(part, chosen))
        kinds = _kinds(offered)
        first = {(kind[0].supplier, kind[0].number): kind for kind in kinds}
        one_each = {
            demand: tuple(kind[0] for kind in kinds if kind[0] in parts) for demand, parts in offered.items()
        }
        for purchase in ways(wanted, one_each):
            yield Pattern(here, sum(wanted.values()), tuple((first[i], units) for i, units in purchase))

    def _may_be_used(self, part: Part, chosen: Chosen) -> bool:
        """Whether nothing is bought beside this box that it holds a piece for which would do."""
        roots = self.boxes.get((part.supplier, part.number), ())
        every = {**self.any_choice, **chosen} if roots else {}
        for root in roots:
            inside = self.problem.from_box(root, part)
            if inside is None or every[root].state != "new" or inside.key == every[root].key:
                continue
            if self.problem.would_stand(every, root, inside):
                return False
        return True


def _kinds(offered: Mapping[Demand, tuple[Part, ...]]) -> list[tuple[Part, ...]]:
    """Parts in kinds that give the same pieces to the same demands, the cheapest first."""
    uses: dict[Identity, list[tuple[Demand, int]]] = {}
    known: dict[Identity, Part] = {}
    for demand, parts in offered.items():
        for part in parts:
            identity = (part.supplier, part.number)
            known[identity] = part
            uses.setdefault(identity, []).append((demand, part.pieces_for(demand[0])))
    kinds: dict[tuple[tuple[Demand, int], ...], list[Part]] = {}
    for identity, use in uses.items():
        kinds.setdefault(tuple(use), []).append(known[identity])
    return [tuple(sorted(k, key=lambda p: (p.cost, p.supplier, p.number))) for k in kinds.values()]
