"""Every way in which the engine of a job may be, with the kit of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from tappetry.assembly.roots import facts_by_name
from tappetry.assembly.values import Values
from tappetry.identification.choices import Limits
from tappetry.identification.evidence import FAMILY, World
from tappetry.identification.possibilities import Possibilities, Possibility, possibilities
from tappetry.identification.resolve import Identification, weigh
from tappetry.identification.verdict import Case as Identified
from tappetry.kitting import gates
from tappetry.kitting.asking.case import Case, Outcome
from tappetry.kitting.asking.in_play import in_play
from tappetry.kitting.asking.measure import doubts, parts_of
from tappetry.kitting.asking.trials import Price, Trials
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import resolve
from tappetry.kitting.solution import Solution
from tappetry.knowledge.audit_subject import conditions_of, expressions_in
from tappetry.knowledge.comparisons import FACTS, Compared, comparisons
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Operation
from tappetry.pricing.policy import read_policy
from tappetry.pricing.totals import price
from tappetry.records.engine import EngineAsFound
from tappetry.records.evidence import Grade
from tappetry.records.job import Job
from tappetry.records.kit import Kit, Line, OperationLine, Unknown
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tappetry.services.budget import within_budget
from tappetry.services.kits import request_of
from tappetry.services.shop import Shop

#: How many kits are solved, and how many ways are looked at, before it is said that there are more.
MOST_KITS = 200
MOST_WAYS = 300


@dataclass(frozen=True, slots=True)
class Cases:
    """All cases of a job, how they came about, and how well each fact is known now.

    ``told`` are the facts that conditions wait for, by attribute, with what hangs on each.
    """

    cases: tuple[Case, ...]
    ways: Possibilities
    told: Mapping[str, Unknown]
    solved: int

    @property
    def exhausted(self) -> bool:
        """Whether every way has been looked at and solved."""
        return not self.ways.left_out and all(case.outcome is not None for case in self.cases)


class Trying:
    """The ways of one job: finds out what is unknown and matters, and solves every way."""

    def __init__(
        self,
        shop: Shop,
        job: Job,
        identification: Identification,
        most_kits: int = MOST_KITS,
        most_ways: int = MOST_WAYS,
    ) -> None:
        knowledge = shop.knowledge
        self.shop = shop
        self.job = job
        self.identification = identification
        self.knowledge = knowledge
        self.most_ways = most_ways
        self.world = World(knowledge.families, knowledge.attributes)
        self.trials = Trials(knowledge, shop.catalogue, _price(shop, job), most_kits)
        self.attribute_of = {each.name_in_conditions: each.id for each in knowledge.attributes.values()}
        self.now = weigh(job.facts, self.world).found
        self.base = self.request(identification.engine_as_found)
        self.family = knowledge.families[identification.engine_as_found.family]
        self.weak: frozenset[str] = frozenset()
        self._grades: dict[frozenset[tuple[str, Grade]], Mapping[str, Grade]] = {}
        self._rest_on_what_is_firm()

    def _rest_on_what_is_firm(self) -> None:
        """Take the weak facts away, and look at what has a say then; of the family no other is tried."""
        self.firm = tuple(fact for fact in self.job.facts if fact.attribute not in self.weak)
        if FAMILY not in weigh(self.firm, self.world).found:
            self.firm = (*self.firm, self.now[FAMILY])
        known = self.request(_engine(weigh(self.firm, self.world)))
        self.here = in_play(self.knowledge, known.package, known.fixed)
        said = [condition.expression for condition in conditions_of(self.here)]
        self.compared = comparisons(said)
        reads = {read.member for each in said for read in each.reads if read.root in FACTS}
        self.read = {self.attribute_of[member] for member in reads if member in self.attribute_of}

    def request(self, engine: EngineAsFound) -> Request:
        """The question to the kit solver for an engine as it may be."""
        return request_of(self.shop, self.job, replace(self.identification, engine_as_found=engine))

    # ---- all cases -----------------------------------------------------------------------------------

    def run(self) -> Cases:
        """Take what is unknown in turn, and what turns out to be unknown or weak then, as long as it does."""
        told = self._told(self.base)
        asked = list(told)
        while True:
            wanted = [[*asked, *sorted(self.weak)], list(self._asked_for())]
            ways = possibilities(self.firm, wanted, self.world, self._limits(), self.most_ways)
            cases = tuple(self._case(way) for way in ways.ways)
            more = self._further(ways, cases)
            weak = self._weak(cases) - self.weak
            if not more and not weak:
                return Cases(cases, ways, told, self.trials.solved)
            told = {**more, **told}
            asked += [name for name in more if name not in asked]
            if weak:
                self.weak |= weak
                self._rest_on_what_is_firm()

    def _case(self, way: Possibility) -> Case:
        facts = way.engine.facts
        grades = {name: fact.grade for name, fact in facts.items()}
        return Case(
            way.share,
            {name: fact.value for name, fact in facts.items()},
            self.trials.outcome(self.request(way.engine)),
            self._grades.setdefault(frozenset(grades.items()), grades),  # one object for all that are alike
        )

    # ---- what is unknown -----------------------------------------------------------------------------

    def _told(self, request: Request) -> dict[str, Unknown]:
        """What the kit of a request says it waits for; nothing where there is no kit."""
        names = facts_by_name(self.knowledge.attributes, request.engine)
        values = Values(self.knowledge, request.fixed, request.memory)
        signatures = self.job.signatures
        before = list(gates.gate_findings(values, {}, signatures, before=True))
        waiting = list(gates.gate_unknowns(values, before))
        try:
            found = resolve(request, names, why=False)
        except Refusal:
            return {each.attribute: each for each in waiting}
        after = gates.gate_findings(values, found.views, signatures, before=False)
        told: dict[str, Unknown] = {}
        for each in (*found.kit.unknowns, *waiting, *gates.gate_unknowns(values, after)):
            also = told[each.attribute].hangs_on_it if each.attribute in told else ()
            hanging = tuple(dict.fromkeys((*also, *each.hangs_on_it)))
            told[each.attribute] = replace(each, hangs_on_it=hanging)
        return told

    def _further(self, ways: Possibilities, cases: Sequence[Case]) -> dict[str, Unknown]:
        """What cases wait for that is neither taken in turn nor given up already."""
        found: dict[str, Unknown] = {}
        done = {*ways.tried, *ways.listless, *ways.at_odds, *ways.left_out}
        looked: set[tuple[frozenset[str], frozenset[str]]] = set()
        for way, case in zip(ways.ways, cases, strict=True):
            waiting = _waiting(case.outcome) if case.outcome is not None else frozenset()
            missing = frozenset(self._missing(way.engine, waiting)) - done
            if missing and (waiting, missing) not in looked:
                looked.add((waiting, missing))
                found = {**self._told(self.request(way.engine)), **found}
        return {name: each for name, each in found.items() if name not in done}

    def _missing(self, engine: EngineAsFound, waiting: Iterable[str]) -> Iterator[str]:
        """The attributes that something open reads and that are not known."""
        values = Values(self.knowledge, self.base.fixed, self.base.memory)
        family = self.knowledge.families[engine.family]
        found_as = {f"found_{need.root}": need.id for need in self.knowledge.needs.values()}
        for said in (said for name in waiting for said in self._said(name)):
            for root, member in values.reading(said).fixed:
                if root in found_as and found_as[root] in family.fitted:
                    keys = [key for table in family.fitted[found_as[root]].tables for key in table.by]
                else:
                    keys = [self.attribute_of.get(member, "")] if root in FACTS else []
                yield from (key for key in keys if key and key not in engine.facts)

    def _said(self, name: str) -> Iterator[Expression]:
        """What is said of a need, an operation, a proof or a gate, by its id."""
        knowledge = self.knowledge
        pieces = [each.get(name) for each in (knowledge.needs, knowledge.operations, knowledge.proofs)]
        for piece in (*pieces, *(gate for gate in knowledge.gates if gate.id == name)):
            yield from expressions_in(piece)
        if name in self.base.package.renew:
            yield self.base.package.renew[name]

    def _asked_for(self) -> Iterator[str]:
        """Facts that are missing and that a condition asks for before it reads them, or a preference reads.

        Of these the kit does not say that it waits for them: it is made as if they were not so.
        """
        values = Values(self.knowledge, self.base.fixed, self.base.memory)
        names = [name for name, what in self.compared.items() if what.asked]
        wanted = [p for need in self.here.needs.values() for p in need.prefer]
        wanted += [p for package in self.here.book.packages.values() for _, p in package.prefer]
        for said in (said for each in wanted for said in expressions_in(each)):
            names += [member for root, member in values.reading(said).fixed if root in FACTS]
        for name in dict.fromkeys(names):
            schema = self.knowledge.attributes.get(self.attribute_of.get(name, ""))
            if schema is not None and schema.id not in self.now and schema.about != "finding":
                yield schema.id

    def _weak(self, cases: Sequence[Case]) -> frozenset[str]:
        """Stated facts that are known less well than they should be, and on which a line rests that waits."""
        below = [name for name in {fact.attribute for fact in self.job.facts} if self.is_below(name)]
        grades = {name: fact.grade for name, fact in self.now.items()}
        kits = [case for case in cases if case.outcome is not None and not case.outcome.refused]
        held = {name for part in parts_of(kits) for name in doubts(kits, part, grades)} if below else set()
        return frozenset(name for name in below if not kits or held & ({name} | self._follows(name)))

    def is_below(self, name: str) -> bool:
        """Whether a fact is known, but less well than a purchase may demand."""
        schema, fact = self.knowledge.attributes[name], self.now.get(name)
        wanted = bool(schema.grade) and schema.about != "finding" and name != FAMILY
        return wanted and fact is not None and fact.grade < Grade[schema.grade]

    def _follows(self, name: str) -> set[str]:
        """What is not known, or less well, without the facts about an attribute."""
        without = weigh([fact for fact in self.job.facts if fact.attribute != name], self.world).found
        return {
            other
            for other, fact in self.now.items()
            if other not in without or without[other].value != fact.value or without[other].grade < fact.grade
        }

    def _limits(self) -> dict[str, Limits]:
        """The limits of numbers that conditions only compare."""
        known = {
            f"{root}.{name}": value
            for root in ("limits", "engine")
            for name, value in self.base.fixed[root].items()
        }
        found: dict[str, Limits] = {}
        for schema in self.knowledge.attributes.values():
            what: Compared | None = self.compared.get(schema.name_in_conditions)
            numbers = what.numbers(known) if what is not None else None
            if numbers is not None and numbers[0]:
                found[schema.id] = numbers
        return found


def _price(shop: Shop, job: Job) -> Price:
    """What the customer of a job pays; over the budget it is refused."""
    policy = read_policy(shop.knowledge.book.money)

    def total(solution: Solution, operations: tuple[Operation, ...]) -> Decimal | None:
        lines = []
        for identity, units in solution.units.items():
            part = solution.parts[identity]
            lines.append(
                Line(
                    part=part.number,
                    supplier=part.supplier,
                    description=part.description,
                    quantity=units,
                    unit=part.unit,
                    unit_price=part.price,
                    line_total=part.price * units,
                    unit_cost=part.cost,
                    tax_class=part.tax_class,
                    importance="",
                    needs=(),
                    why=(),
                    returnable=part.returnable,
                    core_charge=part.core_charge,
                )
            )
        work = tuple(OperationLine(each.code, each.what, each.hours) for each in operations)
        kit = price(Kit(job.id, lines=tuple(lines), operations=work), policy)
        within_budget(kit, job)
        return None if kit.totals is None else kit.totals.total

    return total


def _engine(case: Identified) -> EngineAsFound:
    family = case.family
    return EngineAsFound("" if family is None else family.id, case.engine, case.found)


def _waiting(outcome: Outcome) -> frozenset[str]:
    """The needs, operations, proofs and gates that a case leaves open."""
    unknown = {name for name, verdict in outcome.checks.items() if verdict == Verdict.UNKNOWN.value}
    return outcome.open | unknown
