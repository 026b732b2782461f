"""The cheapest purchase as a mixed integer programme, solved by HiGHS: a second opinion on landed cost.

The programme is written from plain data: the kinds of part that each slot may take, the pairs that do
not go together, pieces, packs, boxes and the suppliers' terms.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import highspy

from tappetry.records.part import Part, Supplier

Identity = tuple[str, str]
Literal = tuple[str, int]
#: What it costs to make some choices together.
Costs = Mapping[tuple[Literal, ...], float]


@dataclass(frozen=True)
class Kind:
    """One way to fill a slot: the parts of one kind, or nothing bought."""

    need: str
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True)
class Beside:
    """A box, and a choice that is not bought beside it unless one of the reasons holds."""

    box: Part
    choice: Literal
    reasons: tuple[tuple[Literal, ...], ...] = ()


@dataclass
class Purchase:
    """What may be bought: the kinds of each slot by root, pieces, and combinations that are ruled out."""

    slots: Mapping[str, Sequence[Kind]]
    pieces: Mapping[str, Mapping[int, int]]
    ruled_out: Iterable[Sequence[Literal]] = ()
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    not_beside: Iterable[Beside] = ()


class Infeasible(Exception):
    """Nothing can be bought."""


def cheapest_cents(purchase: Purchase, costs: Sequence[Costs] = ()) -> int:
    """Landed cost of the cheapest purchase; ``costs`` of choices are made small first, one by one."""
    return _Programme(purchase).solve(costs)


class _Programme:
    def __init__(self, purchase: Purchase) -> None:
        self.purchase = purchase
        self.highs = highspy.Highs()
        self.highs.setOptionValue("output_flag", False)
        self.highs.setOptionValue("mip_rel_gap", 0.0)
        self.highs.setOptionValue("mip_abs_gap", 0.4)
        self.chosen = {
            (root, index): self.highs.addBinary()
            for root, kinds in purchase.slots.items()
            for index in range(len(kinds))
        }
        self.parts: dict[Identity, Part] = {}
        self.takes: dict[tuple[str, frozenset[Identity]], list[tuple[Literal, int]]] = {}
        self._places()
        self.units = {
            identity: self.highs.addIntegral(lb=0, ub=self._most(identity)) for identity in self.parts
        }
        self.bought = {identity: self.highs.addBinary() for identity in self.parts}
        self._one_of_each_slot()
        self._enough_and_no_more()

    def sum(self, terms: Iterable[object]) -> object:
        """A linear expression, also of no terms at all."""
        return self.highs.qsum(terms)

    def _places(self) -> None:
        for root, kinds in self.purchase.slots.items():
            for index, kind in enumerate(kinds):
                identities = frozenset((part.supplier, part.number) for part in kind.parts)
                if identities:
                    wanted = self.purchase.pieces[root][index]
                    self.takes.setdefault((kind.need, identities), []).append(((root, index), wanted))
                self.parts.update({(part.supplier, part.number): part for part in kind.parts})

    def _uses(self, identity: Identity) -> list[tuple[str, frozenset[Identity]]]:
        return [place for place in self.takes if identity in place[1]]

    def _wanted(self, place: tuple[str, frozenset[Identity]]) -> int:
        return sum(pieces for _, pieces in self.takes[place])

    def _most(self, identity: Identity) -> int:
        part = self.parts[identity]
        return max(-(-self._wanted(place) // part.pieces_for(place[0])) for place in self._uses(identity))

    def _one_of_each_slot(self) -> None:
        for root, kinds in self.purchase.slots.items():
            if not kinds:
                raise Infeasible
            self.highs.addConstr(self.sum(self.chosen[root, index] for index in range(len(kinds))) == 1)
        for combination in self.purchase.ruled_out:
            self.highs.addConstr(
                self.sum(self.chosen[literal] for literal in combination) <= len(combination) - 1
            )
        for beside in self.purchase.not_beside:
            identity = (beside.box.supplier, beside.box.number)
            if identity in self.bought:
                excuse = self.sum(self._all(reason) for reason in beside.reasons)
                self.highs.addConstr(self.bought[identity] + self.chosen[beside.choice] - excuse <= 1)

    def _all(self, literals: Sequence[Literal]) -> object:
        """One only if all of the choices are made."""
        together = self.highs.addBinary()
        for literal in literals:
            self.highs.addConstr(together - self.chosen[literal] <= 0)
        return together

    def _enough_and_no_more(self) -> None:
        """Pieces are enough; a part whose last unit no place needs is not bought."""
        given = {
            place: self.sum(self.units[i] * self.parts[i].pieces_for(place[0]) for i in sorted(place[1]))
            for place in self.takes
        }
        wanted = {
            place: self.sum(self.chosen[literal] * pieces for literal, pieces in terms)
            for place, terms in self.takes.items()
        }
        for place in self.takes:
            self.highs.addConstr(given[place] - wanted[place] >= 0)
        for identity, part in self.parts.items():
            most = self._most(identity)
            self.highs.addConstr(self.units[identity] - most * self.bought[identity] <= 0)
            self.highs.addConstr(self.units[identity] - self.bought[identity] >= 0)
            needed = []
            for place in self._uses(identity):
                here = self.highs.addBinary()
                needed.append(here)
                room = sum(self._most(other) * self.parts[other].pieces_for(place[0]) for other in place[1])
                spare = given[place] - wanted[place] + room * here
                self.highs.addConstr(spare <= part.pieces_for(place[0]) - 1 + room)
            self.highs.addConstr(self.sum(needed) - self.bought[identity] >= 0)

    def _landed(self) -> object:
        """Net cost, freight and surcharges, in cents."""
        cost = self.sum(round(self.parts[i].cost * 100) * unit for i, unit in self.units.items())
        for code in sorted({supplier for supplier, _ in self.parts}):
            supplier = self.purchase.suppliers.get(code)
            if supplier is None:
                continue
            mine = [identity for identity in self.parts if identity[0] == code]
            net = self.sum(round(self.parts[i].cost * 100) * self.units[i] for i in mine)
            order = self.highs.addBinary()
            for identity in mine:
                self.highs.addConstr(self.bought[identity] - order <= 0)
            freight, small = round(supplier.freight * 100), round(supplier.under_minimum * 100)
            if freight and supplier.free_over is None:
                cost += freight * order
            elif freight:
                cost += freight * self._charged(order, net, round(supplier.free_over * 100))
            if small:
                cost += small * self._charged(order, net, round(supplier.minimum * 100))
        return cost

    def _charged(self, order: object, net: object, limit: int) -> object:
        """One where an order stays below a limit."""
        charged = self.highs.addBinary()
        self.highs.addConstr(net + limit * charged - limit * order >= 0)
        return charged

    def solve(self, costs: Sequence[Costs]) -> int:
        landed = self._landed()
        for by_choice in costs:
            self._hold(self.sum(cost * self._together(chosen) for chosen, cost in by_choice.items() if cost))
        return round(self._least(landed))

    def _together(self, literals: Sequence[Literal]) -> object:
        """At least one where all of the choices are made."""
        if len(literals) == 1:
            return self.chosen[literals[0]]
        together = self.highs.addBinary()
        chosen = self.sum(self.chosen[literal] for literal in literals)
        self.highs.addConstr(together - chosen >= 1 - len(literals))
        return together

    def _hold(self, expression: object) -> None:
        value = self._least(expression)
        self.highs.addConstr(expression <= value + 1e-6)

    def _least(self, expression: object) -> float:
        self.highs.minimize(expression)
        status = self.highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            raise Infeasible
        assert status == highspy.HighsModelStatus.kOptimal, f"HiGHS stopped with {status}"
        return self.highs.getObjectiveValue()
