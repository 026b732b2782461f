"""Breaks a large group of needs apart for one request: what is settled no longer ties its neighbours.

Most of what ties the needs around a camshaft together is the camshaft itself, and which one that is the plan
says. So each need is expanded by itself; what leaves only one option is settled, and what follows from it is
settled too. Only needs that read each other's open choice stay together. A settled need is thinned out like
the others, beside what it hangs on: where it does not stand there as it was settled, because a fact is
missing, the group has to be broken apart without it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tappetry.kitting.many.groups import Ties
from tappetry.kitting.options import Option, SlotState
from tappetry.kitting.problem import Constraint, Problem, Verdicts
from tappetry.knowledge.model import Need

#: What is always told of a settled slot, beside what is read of it.
STANCE = frozenset({"state", "standing"})


@dataclass(frozen=True, slots=True)
class Piece:
    """One need expanded by itself, with what is read of other slots for it; or a rule, which is no need."""

    number: int
    problem: Problem
    need: Need | None = None
    beside: Mapping[str, frozenset[str]] | None = None


@dataclass(frozen=True, slots=True)
class Component:
    """Needs that read each other's open choice, and what they have to meet.

    ``foreign`` are the constraints of settled needs and of rules that end here, ``elsewhere`` those of these
    needs that end in another component, by id and slot. ``around`` are the settled slots that are read,
    ``settled`` the options of the settled slots among its own; ``said`` is what the constraints were found
    to say already, by id and slot.
    """

    needs: tuple[Need, ...]
    foreign: tuple[Constraint, ...]
    elsewhere: frozenset[tuple[str, str]]
    around: Mapping[str, SlotState]
    settled: Mapping[str, str]
    said: Mapping[tuple[str, str], Verdicts]
    key: Hashable


class Split:
    """A group of needs in pieces, with what follows from those that leave no choice."""

    def __init__(self, pieces: Sequence[Piece], unsettled: frozenset[str] = frozenset()) -> None:
        self.pieces = pieces
        self.piece_of = {root: piece for piece in pieces for root in piece.problem.slots}
        self.options = {
            root: state.options for piece in pieces for root, state in piece.problem.slots.items()
        }
        self._may_settle = {
            root
            for root, piece in self.piece_of.items()
            if piece.problem.slots[root].need.id not in unsettled and _is_steady(piece)
        }
        self.is_possible = all(self.options.values()) and self._settle()
        self._settled = {
            piece.number for piece in pieces if piece.need and all(map(self._is_settled, piece.problem.slots))
        }

    def _is_settled(self, root: str) -> bool:
        """Whether one option is left in a slot, whatever stands in the others."""
        return root in self._may_settle and len(self.options[root]) == 1

    # ---- what follows ----------------------------------------------------------------------------------

    def _settle(self) -> bool:
        """Draw the conclusions from what is settled; whether every slot is left an option."""
        queue = deque(
            (piece, constraint) for piece in self.pieces for constraint in piece.problem.constraints
        )
        reading: dict[str, list[tuple[Piece, Constraint]]] = {}
        for each in queue:
            for root in each[1].reads:
                reading.setdefault(root, []).append(each)
        while queue:
            piece, constraint = queue.popleft()
            roots = [root for root in constraint.reads if root in self.options]
            last, *more = [root for root in roots if not self._is_settled(root)] or roots[-1:] or [""]
            if more or not last:
                continue
            kept = [option for option in self.options[last] if self._allows(piece, constraint, last, option)]
            if not kept:
                return False
            if len(kept) < len(self.options[last]):
                self.options[last] = kept
                if self._is_settled(last):
                    queue.extend(reading[last])
        return True

    def _allows(self, piece: Piece, constraint: Constraint, last: str, option: Option) -> bool:
        """Whether a constraint allows an option of a slot beside what is settled."""
        combination = []
        for root, members in constraint.reads.items():
            if root in self.options:
                here = option if root == last else self.options[root][0]
                combination.append((root, here.projection(members), [here]))
        return piece.problem.verdict(constraint, tuple(combination)) is not False

    # ---- components ------------------------------------------------------------------------------------

    def components(self) -> Iterator[Component]:
        """The needs in components: each constraint ends in the one of them that reads an open choice."""
        ties: Ties[int] = Ties()
        needs = [piece for piece in self.pieces if piece.need is not None]
        reached = {piece.number: self._reached(piece) for piece in needs}
        for number, found in reached.items():
            open_or_mutual = (
                other for other in found if other not in self._settled or number in reached[other]
            )
            ties.join([number], open_or_mutual)
        duties = [
            (piece, constraint, self._ends_in(piece, constraint))
            for piece in self.pieces
            for constraint in piece.problem.constraints
        ]
        for _, _, ends in duties:
            ties.join(ends)
        members: dict[int, list[Piece]] = {}
        for piece in needs:
            members.setdefault(ties.first(piece.number), []).append(piece)
        ending: dict[int, list[tuple[Piece, Constraint]]] = {}
        for piece, constraint, ends in duties:
            ending.setdefault(ties.first(ends[0]), []).append((piece, constraint))
        for first, pieces in members.items():
            yield self._component(pieces, ending.get(first, []))

    def _ends_in(self, piece: Piece, constraint: Constraint) -> list[int]:
        """The needs of which a constraint reads the open choice; of settled ones its own, or the first."""
        read = dict.fromkeys(self.piece_of[root].number for root in constraint.reads if root in self.piece_of)
        opened = [number for number in read if number not in self._settled]
        return opened or ([piece.number] if piece.need is not None else list(read)[:1])

    def _reached(self, piece: Piece) -> set[int]:
        """The needs that a need reads by itself; through settled ones, those that they read."""
        found: dict[int, Piece] = {}
        todo = self._beside(piece)
        while todo:
            here = todo.pop()
            if here.number not in found:
                found[here.number] = here
                if here.number in self._settled and piece.number in self._settled:
                    todo.extend(self._beside(here))
        return {*found} - {piece.number}

    def _beside(self, piece: Piece) -> list[Piece]:
        return [self.piece_of[root] for root in piece.beside or () if root in self.piece_of]

    def _component(self, pieces: list[Piece], ending: list[tuple[Piece, Constraint]]) -> Component:
        own = {piece.number for piece in pieces}
        foreign = [(piece.number, constraint) for piece, constraint in ending if piece.number not in own]
        here = {(c.id, c.root) for piece, c in ending if piece.number in own}
        elsewhere = {(c.id, c.root) for piece in pieces for c in piece.problem.constraints} - here
        reads: dict[str, frozenset[str]] = {}
        for found in (
            *(piece.beside or {} for piece in pieces),
            *(constraint.reads for _, constraint in ending),
        ):
            for root, members in found.items():
                if root in self.piece_of and self.piece_of[root].number not in own:
                    reads[root] = reads.get(root, STANCE) | members
        around = {
            root: replace(self.piece_of[root].problem.slots[root], options=self.options[root])
            for root in reads
        }
        settled = {
            root: self.options[root][0].key
            for piece in pieces
            if piece.number in self._settled
            for root in piece.problem.slots
        }
        key = (
            tuple(sorted(own)),
            tuple((number, constraint.id) for number, constraint in foreign),
            frozenset(elsewhere),
            tuple(settled.items()),
            tuple((root, self._told(root, members)) for root, members in reads.items()),
        )
        return Component(
            needs=tuple(piece.need for piece in pieces if piece.need is not None),
            foreign=tuple(constraint for _, constraint in foreign),
            elsewhere=frozenset(elsewhere),
            around=around,
            settled=settled,
            said={(c.id, c.root): piece.problem.known(c) for piece, c in ending},
            key=key,
        )

    def _told(self, root: str, members: frozenset[str]) -> Hashable:
        """What is read of a settled slot; of an open one, all that it is open between."""
        option = self.options[root][0]
        if option.state == "open":
            return (self.piece_of[root].number, option.key)
        return option.projection(members)


def _is_steady(piece: Piece) -> bool:
    """Whether no missing fact decides which parts may stand in the slots of a need."""
    return not any(standing.unsure for standing in piece.problem.standings.values())
