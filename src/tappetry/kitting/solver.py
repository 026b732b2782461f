"""The exact choice: hard constraints, then each ranking in turn, with CP-SAT; it says proved or not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from ortools.sat.python import cp_model

from tappetry.assembly.values import Values
from tappetry.kitting.options import Option
from tappetry.kitting.prefer import Ranked, reads_of, regret
from tappetry.kitting.problem import RULES, Problem, projection
from tappetry.kitting.solution import Infeasible, Solution, Stage, cents
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.model import Preference
from tappetry.records.kit import BY_LANDED_COST
from tappetry.records.part import Part, Supplier

#: Objectives are merged into one while their product of ranges stays below this.
MERGE_LIMIT = 1 << 40
TIME_LIMIT_SECONDS = 20.0


@dataclass(slots=True)
class Objective:
    """A linear expression to minimise, with its bounds."""

    name: str
    terms: list[tuple[Any, int]] = field(default_factory=list)
    most: int = 0


def solve(problem: Problem, preferences: Iterable[Ranked], suppliers: Mapping[str, Supplier]) -> Solution:
    """Choose one option for each slot and the units to buy.

    The rankings are decided one after the other: the house's preferences in their order, landed
    cost with freight, number of suppliers, latest arrival, left-over pieces, then supplier code and
    part number, so that no tie is left.

    Raises
    ------
    Infeasible
        The options that are left cannot be combined.
    """
    return _Model(problem, suppliers).solve(list(preferences))


class _Model:
    """The CP-SAT model of one problem."""

    def __init__(self, problem: Problem, suppliers: Mapping[str, Supplier]) -> None:
        self.problem = problem
        self.values: Values = problem.values
        self.suppliers = suppliers
        self.model = cp_model.CpModel()
        self.true = self.model.new_constant(1)
        self.choose: dict[tuple[str, str], Any] = {}
        self.units: dict[tuple[str, str], Any] = {}
        self.parts: dict[tuple[str, str], Part] = {}
        self.demand: dict[tuple[str, str], list[tuple[Any, int]]] = {}
        self._groups: dict[tuple[str, frozenset[str], tuple[Any, ...]], Any] = {}
        self.hints: dict[Any, int] = {}
        self._option_parts = {
            (state.need.id, option.key): option.parts
            for state in problem.slots.values()
            for option in state.options
            if option.state == "new"
        }

    # ---- the model ---------------------------------------------------------------------------------

    def solve(self, preferences: list[Ranked]) -> Solution:
        """Build, then minimise each ranking in turn."""
        self._choices()
        self._constraints()
        self._purchases()
        stages: list[Stage] = []
        solver: cp_model.CpSolver | None = None
        unique = False
        rankings = self._rankings()
        for objective in [*self._preferences(preferences), *rankings]:
            if not objective.terms:
                continue
            if unique and solver is not None:
                stages.append(Stage(objective.name, self._value(solver, objective), True))
                continue
            solver, stage = self._minimise(objective)
            stages.append(stage)
            unique = objective in rankings and self._is_unique(solver)
        if not unique:
            solver = self._break_ties(solver)
        assert solver is not None
        return self._solution(solver, stages)

    @staticmethod
    def _value(solver: cp_model.CpSolver, objective: Objective) -> int:
        return sum(solver.value(variable) * weight for variable, weight in objective.terms)

    def _choices(self) -> None:
        """Exactly one option for each slot."""
        for root, state in self.problem.slots.items():
            if len(state.options) == 1:
                self.choose[root, state.options[0].key] = self.true
                continue
            literals = []
            for option in state.options:
                literal = self.model.new_bool_var(f"{root}:{option.key}")
                self.choose[root, option.key] = literal
                literals.append(literal)
            self.model.add_exactly_one(literals)

    def _group(self, root: str, members: frozenset[str], group: list[Option]) -> Any:
        """A literal that is true when the slot takes one of these options."""
        if len(group) == len(self.problem.slots[root].options):
            return self.true
        if len(group) == 1:
            return self.choose[root, group[0].key]
        key = (root, members, projection(group[0], members))
        if key not in self._groups:
            literal = self.model.new_bool_var(f"group {root}")
            self.model.add(sum(self.choose[root, option.key] for option in group) == literal)
            self._groups[key] = literal
        return self._groups[key]

    def _constraints(self) -> None:
        """Forbid every combination that a constraint rules out."""
        for constraint in self.problem.constraints:
            roots = [root for root in constraint.reads if root in self.problem.slots]
            if len(self.problem.live(roots)) < 2:
                continue
            for combination, _, verdict in self.problem.verdicts(constraint):
                if verdict is False:
                    self._forbid(
                        self._group(root, constraint.reads[root], group)
                        for root, group in zip(roots, combination, strict=True)
                    )

    def _forbid(self, literals: Iterable[Any]) -> None:
        clause = [literal.negated() for literal in literals if literal is not self.true]
        if not clause:
            raise Infeasible
        self.model.add_bool_or(clause)

    # ---- what is bought ------------------------------------------------------------------------------

    def _purchases(self) -> None:
        """Units of each part cover the pieces of every need that takes them, and never one unit more."""
        for root, state in self.problem.slots.items():
            for option in state.options:
                if option.state == "new":
                    self._demand(root, option)
        users: dict[tuple[str, str], list[tuple[str, str, Part]]] = {}
        most: dict[tuple[str, str], int] = {}
        for (need, key), terms in self.demand.items():
            pieces = sum(count for _, count in terms)
            for part in self._option_parts[need, key]:
                identity = (part.supplier, part.number)
                users.setdefault(identity, []).append((need, key, part))
                most[identity] = max(most.get(identity, 0), -(-pieces // part.pieces_for(need)))
                self.parts[identity] = part
        for identity, units in most.items():
            self.units[identity] = self.model.new_int_var(0, units, identity[1])
        for (need, key), terms in self.demand.items():
            bought = [
                (self.units[part.supplier, part.number], part.pieces_for(need))
                for part in self._option_parts[need, key]
            ]
            wanted = sum(literal * pieces for literal, pieces in terms)
            self.model.add(sum(unit * pieces for unit, pieces in bought) >= wanted)
        for identity, uses in users.items():
            self._only_when_used(identity, uses)
        for number in self.problem.request.plan.pins:
            pinned = [unit for (_, part), unit in self.units.items() if part == number]
            if not pinned:
                raise Infeasible
            self.model.add(sum(pinned) >= 1)

    def _demand(self, root: str, option: Option) -> None:
        """Pieces that a slot wants of an option, over whatever other slots the number depends on."""
        slot = self.problem.slots[root]
        others = {r: m for r, m in self.values.reads([slot.slot.pieces]).items() if r != root}
        choice = self.choose[root, option.key]
        terms = self.demand.setdefault((slot.need.id, option.key), [])
        counts: dict[int, list[list[Any]]] = {}
        for combination, views in self.problem.combinations(others):
            try:
                pieces = self.problem.pieces(root, {**views, root: option.view})
            except Unknown:
                continue  # the slot is open beside these, and nothing new stands in it
            roots = [r for r in others if r in self.problem.slots]
            literals = [self._group(r, others[r], g) for r, g in zip(roots, combination, strict=True)]
            counts.setdefault(pieces, []).append(literals)
        if len(counts) == 1:
            terms.append((choice, next(iter(counts))))
            return
        for pieces, cases in counts.items():
            for literals in cases:
                both = self.model.new_bool_var(f"{root} {pieces}")
                wanted = [choice, *(literal for literal in literals if literal is not self.true)]
                self.model.add_bool_and(wanted).only_enforce_if(both)
                self.model.add_bool_or([both, *(literal.negated() for literal in wanted)])
                terms.append((both, pieces))

    def _only_when_used(self, identity: tuple[str, str], uses: list[tuple[str, str, Part]]) -> None:
        """A part is bought only for a need that takes it; what a box fills is not bought again."""
        unit = self.units[identity]
        part = self.parts[identity]
        takers = [literal for need, key, _ in uses for literal, _ in self.demand[need, key]]
        bought = self.model.new_bool_var(f"bought {identity[1]}")
        self.model.add(unit >= 1).only_enforce_if(bought)
        self.model.add(unit == 0).only_enforce_if(bought.negated())
        self.model.add_bool_or([bought.negated(), *takers])
        if len(part.fills) > 1:
            self._box(bought, part)
        spare = []
        for need, key, _ in uses:
            others = self._option_parts[need, key]
            pieces = part.pieces_for(need)
            wanted = sum(literal * count for literal, count in self.demand[need, key])
            given = sum(self.units[p.supplier, p.number] * p.pieces_for(need) for p in others)
            if len(uses) == 1:
                self.model.add(given - pieces + 1 <= wanted).only_enforce_if(bought)
            else:
                tight = self.model.new_bool_var("needed here")
                self.model.add(given - pieces + 1 <= wanted).only_enforce_if(tight)
                spare.append(tight)
        if spare:
            self.model.add_bool_or([bought.negated(), *spare])

    def _box(self, bought: Any, part: Part) -> None:
        """When a box is bought, every need whose piece in it would do takes its pieces from it."""
        for root, state in self.problem.slots.items():
            inside = self.problem.from_box(root, part)
            beside = [o for o in state.options if o.state == "new" and inside and o.key != inside.key]
            if inside is None or not beside:
                continue
            reasons = list(self._broken_by(root, inside))
            for option in beside:
                chosen = self.choose[root, option.key]
                self.model.add_bool_or([bought.negated(), chosen.negated(), *reasons])

    def _broken_by(self, root: str, option: Option) -> Iterator[Any]:
        """Literals that are true only if the other choices break a rule with an option."""
        for constraint in self.problem.constraints:
            if constraint.kind not in RULES or root not in constraint.reads:
                continue
            others = {name: members for name, members in constraint.reads.items() if name != root}
            roots = [name for name in others if name in self.problem.slots]
            for combination, _ in self.problem.combinations(others):
                beside = {name: group[0] for name, group in zip(roots, combination, strict=True)}
                if self.problem.says(constraint, {**beside, root: option}) is False:
                    broken = self.model.new_bool_var(f"{root} broken by {constraint.id}")
                    for name, group in zip(roots, combination, strict=True):
                        self.model.add_implication(broken, self._group(name, others[name], group))
                    yield broken

    # ---- rankings ------------------------------------------------------------------------------------

    def _preferences(self, preferences: list[Ranked]) -> list[Objective]:
        """Each preference as the cost of not following it; neighbours are merged while exact."""
        objectives = [self._preference(root, preference) for root, preference in preferences]
        return merge([objective for objective in objectives if objective.terms])

    def _preference(self, root: str, preference: Preference) -> Objective:
        reads = reads_of(self.problem, root, preference)
        roots = [root for root in reads if root in self.problem.slots]
        objective = Objective(preference.id)
        if not self.problem.live(roots):
            return objective
        costs = [
            (combination, regret(self.problem, root, preference, views))
            for combination, views in self.problem.combinations(reads)
        ]
        ranks = {cost: rank for rank, cost in enumerate(sorted({cost for _, cost in costs}))}
        if len(ranks) < 2:
            return objective
        for combination, cost in costs:
            rank = ranks[cost]
            literals = [
                literal
                for name, group in zip(roots, combination, strict=True)
                if (literal := self._group(name, reads[name], group)) is not self.true
            ]
            if rank and len(literals) == 1:
                objective.terms.append((literals[0], rank))
            elif rank:
                both = self.model.new_bool_var("together")
                self.model.add_bool_or([both, *(literal.negated() for literal in literals)])
                for literal in literals:
                    self.model.add_implication(both, literal)
                objective.terms.append((both, rank))
        objective.most = len(ranks) - 1
        return objective

    def _rankings(self) -> list[Objective]:
        """Landed cost, suppliers, arrival, left-over pieces."""
        cost, count = self._landed_cost()
        arrival = self._arrival()
        leftover = Objective("left-over pieces")
        for identity, unit in self.units.items():
            leftover.terms.append((unit, sum(fill.pieces for fill in self.parts[identity].fills)))
        for terms in self.demand.values():
            leftover.terms += [(literal, -pieces) for literal, pieces in terms]
        leftover.most = 1 << 20
        return [cost, count, arrival, leftover]

    def _landed_cost(self) -> tuple[Objective, Objective]:
        cost = Objective(BY_LANDED_COST, most=1 << 30)
        count = Objective("suppliers", most=len(self.suppliers) + 1)
        by_supplier: dict[str, list[tuple[Any, int]]] = {}
        for identity, unit in self.units.items():
            term = (unit, cents(self.parts[identity].cost))
            cost.terms.append(term)
            by_supplier.setdefault(identity[0], []).append(term)
        for code, terms in by_supplier.items():
            used = self.model.new_bool_var(f"order from {code}")
            net = sum(unit * price for unit, price in terms)
            for unit, _ in terms:
                self.model.add(unit == 0).only_enforce_if(used.negated())
            self.model.add(sum(unit for unit, _ in terms) >= 1).only_enforce_if(used)
            count.terms.append((used, 1))
            supplier = self.suppliers.get(code)
            if supplier is not None:
                self._freight(cost, supplier, used, net)
        return cost, count

    def _freight(self, cost: Objective, supplier: Supplier, used: Any, net: Any) -> None:
        freight = cents(supplier.freight)
        if freight and supplier.free_over is None:
            cost.terms.append((used, freight))
        elif freight and supplier.free_over is not None and supplier.free_over > 0:
            paid = self.model.new_bool_var(f"freight {supplier.code}")
            self.model.add(net >= cents(supplier.free_over)).only_enforce_if([used, paid.negated()])
            self.model.add_implication(paid, used)
            cost.terms.append((paid, freight))
        if supplier.minimum > 0 and supplier.under_minimum > 0:
            small = self.model.new_bool_var(f"small order {supplier.code}")
            self.model.add(net >= cents(supplier.minimum)).only_enforce_if([used, small.negated()])
            self.model.add_implication(small, used)
            cost.terms.append((small, cents(supplier.under_minimum)))

    def _arrival(self) -> Objective:
        latest = self.model.new_int_var(
            0, max((p.lead_days for p in self.parts.values()), default=0), "latest"
        )
        for identity, unit in self.units.items():
            days = self.parts[identity].lead_days
            if days:
                bought = self.model.new_bool_var("")
                self.model.add(unit == 0).only_enforce_if(bought.negated())
                self.model.add(latest >= days).only_enforce_if(bought)
        return Objective(
            "latest arrival", [(latest, 1)], max((p.lead_days for p in self.parts.values()), default=0)
        )

    # ---- solving -------------------------------------------------------------------------------------

    def _solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.linearization_level = 2
        solver.parameters.max_time_in_seconds = TIME_LIMIT_SECONDS
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        return solver

    def _minimise(self, objective: Objective) -> tuple[cp_model.CpSolver, Stage]:
        """Minimise one ranking and hold it from then on."""
        expression = sum(variable * weight for variable, weight in objective.terms)
        self.model.minimize(expression)
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for variable, value in self.hints.items():
            self.model.add_hint(variable, value)
        solver = self._solver()
        status = solver.solve(self.model)
        if status == cp_model.INFEASIBLE:
            raise Infeasible
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            raise TimeoutError(f"no kit was found within {TIME_LIMIT_SECONDS:g} s")
        value = round(solver.objective_value)
        self.model.add(expression <= value)
        self.model.clear_objective()  # type: ignore[no-untyped-call]
        self._remember(solver)
        return solver, Stage(objective.name, value, status == cp_model.OPTIMAL)

    def _remember(self, solver: cp_model.CpSolver) -> None:
        self.hints = {
            variable: solver.value(variable)
            for variable in [*self.choose.values(), *self.units.values()]
            if variable is not self.true
        }

    def _break_ties(self, solver: cp_model.CpSolver | None) -> cp_model.CpSolver:
        """Among equals the first supplier code and part number, so that the same input gives the same kit."""
        if solver is None:
            solver, _ = self._minimise(Objective("any", [(self.true, 0)]))
        while (earlier := self._earlier(solver)) is not None:
            solver = earlier
        return solver

    def _is_unique(self, solver: cp_model.CpSolver) -> bool:
        """Whether any other purchase ranks equal."""
        different: list[Any] = []
        for unit in self.units.values():
            value = solver.value(unit)
            less, more = self.model.new_bool_var(""), self.model.new_bool_var("")
            self.model.add(unit <= value - 1).only_enforce_if(less)
            self.model.add(unit >= value + 1).only_enforce_if(more)
            different += [less, more]
        return self._with(different) is None

    def _earlier(self, found: cp_model.CpSolver) -> cp_model.CpSolver | None:
        """An equal purchase with more of the first part in which it differs; None where there is none.

        Of these, one that differs as early as can be.
        """
        same: Any = self.true
        more: list[Any] = []
        for identity in sorted(self.units):
            unit = self.units[identity]
            value = found.value(unit)
            exceeds, equals = self.model.new_bool_var(""), self.model.new_bool_var("")
            self.model.add(unit >= value + 1).only_enforce_if(exceeds)
            self.model.add(unit == value).only_enforce_if(equals)
            self.model.add_implication(exceeds, same)
            self.model.add_implication(equals, same)
            more.append(exceeds)
            same = equals
        self.model.minimize(sum(exceeds * place for place, exceeds in enumerate(more)))
        earlier = self._with(more)
        self.model.clear_objective()  # type: ignore[no-untyped-call]
        return earlier

    def _with(self, literals: list[Any]) -> cp_model.CpSolver | None:
        """A solver with an answer in which one of these holds, this once; None where there is none."""
        ask = self.model.new_bool_var("ask")
        self.model.add_bool_or(literals or [self.true.negated()]).only_enforce_if(ask)
        self.model.clear_assumptions()
        self.model.add_assumptions([ask])
        solver = self._solver()
        answer = solver.solve(self.model)
        self.model.clear_assumptions()
        return solver if answer in {cp_model.OPTIMAL, cp_model.FEASIBLE} else None

    # ---- the answer ----------------------------------------------------------------------------------

    def _solution(self, solver: cp_model.CpSolver, stages: list[Stage]) -> Solution:
        chosen = {
            root: next(option for option in state.options if solver.value(self.choose[root, option.key]))
            for root, state in self.problem.slots.items()
        }
        units = {identity: solver.value(unit) for identity, unit in self.units.items() if solver.value(unit)}
        views = self.problem.views(chosen)
        required = {
            root: self.problem.pieces(root, views)
            for root, option in chosen.items()
            if self._counts(root, option)
        }
        landed = next((stage.value for stage in stages if stage.name == BY_LANDED_COST), 0)
        return Solution(
            chosen=chosen,
            units=units,
            parts={identity: self.parts[identity] for identity in units},
            required=required,
            stages=tuple(stages),
            landed_cost=Decimal(landed) / 100,
            proved=all(stage.proved for stage in stages),
        )

    def _counts(self, root: str, option: Option) -> bool:
        return option.state not in {"none", "open"}


def merge(objectives: list[Objective]) -> list[Objective]:
    """Merge neighbouring rankings into one weighted ranking where whole numbers keep it exact."""
    merged: list[Objective] = []
    for objective in objectives:
        if merged and (merged[-1].most + 1) * (objective.most + 1) < MERGE_LIMIT:
            last = merged[-1]
            factor = objective.most + 1
            last.terms = [(variable, weight * factor) for variable, weight in last.terms] + objective.terms
            last.most = last.most * factor + objective.most
            last.name = f"{last.name}, {objective.name}"
        else:
            merged.append(Objective(objective.name, list(objective.terms), objective.most))
    return merged
