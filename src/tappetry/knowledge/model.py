"""The knowledge as data: needs with their rules, named quantities, proofs, labour and the house book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from tappetry.knowledge.fasteners import TorqueTable
from tappetry.knowledge.language import Expression
from tappetry.knowledge.procedures import Step
from tappetry.knowledge.sentences import Sentence
from tappetry.knowledge.spreads import Spreads
from tappetry.records.evidence import Grade
from tappetry.records.family import AttributeSchema, Family, Tables
from tappetry.records.plan import Work


@dataclass(frozen=True, slots=True)
class Rule:
    """One condition that must hold, with its reason and source; ``when`` says for whom.

    ``says`` tells with figures why it does not hold; what falls to it is told beside the line that is bought.
    """

    id: str
    that: Expression
    why: str
    source: str
    when: Expression | None = None
    severity: str = "STOP"
    says: Sentence | None = None


@dataclass(frozen=True, slots=True)
class Preference:
    """One choice of the house among parts that all pass.

    Either ``that`` should be true, or ``least`` should be as small as can be. ``decline`` is the
    honest reason not to follow it; a preference with ``offer`` prints as a 'should', one that comes
    ``first`` is decided before the package's own.
    """

    id: str
    why: str
    source: str
    that: Expression | None = None
    least: Expression | None = None
    when: Expression | None = None
    offer: str = ""
    decline: str = ""
    first: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """Which piece of a box with several is the one to use; ``says`` tells it with figures."""

    item: Expression
    why: str
    says: Sentence | None = None


@dataclass(frozen=True, slots=True)
class Slot:
    """One place of a need that one kind of part fills: most needs have one, some have two."""

    id: str
    need: str
    root: str
    pieces: Expression
    when: Expression | None
    match: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class MadeTo:
    """The measure to which a part is made: a value, when it applies, and its unit."""

    value: Expression
    when: Expression
    unit: str


@dataclass(frozen=True, slots=True)
class OneOfEach:
    """A need that takes one of each value of an attribute that the catalogue carries."""

    attribute: str
    only_least: Expression | None = None


@dataclass(frozen=True, slots=True)
class Need:
    """A role in the engine: how many, when, whether the old one may stay, why, and what must match."""

    id: str
    title: str
    group: str
    root: str
    slots: tuple[Slot, ...]
    when: Expression
    renew: Expression
    why: str
    otherwise: str
    otherwise_why: str
    written: str
    house: bool
    no_part: str
    importance: str
    grade: Grade
    source: str
    rules: tuple[Rule, ...] = ()
    prefer: tuple[Preference, ...] = ()
    proofs: tuple[str, ...] = ()
    box: Box | None = None
    one_of_each: OneOfEach | None = None
    made_to: MadeTo | None = None
    order_first: bool = False
    inspect: str = ""
    allowance: str = ""
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class NamedInput:
    """One input of a named quantity: an expression and the unit it is spoken in."""

    name: str
    expression: Expression
    unit: str


@dataclass(frozen=True, slots=True)
class Sweep:
    """An input that runs from nothing to an end; the named value is the least over the whole range."""

    input: str
    to: Expression
    unit: str


@dataclass(frozen=True, slots=True)
class Named:
    """A named value of this engine with these parts: an expression, or a registered calculation."""

    id: str
    title: str
    unit: str
    expression: Expression | None = None
    calculation: str = ""
    output: str = ""
    inputs: tuple[NamedInput, ...] = ()
    sweep: Sweep | None = None
    where: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """One value that a remedy changes: a member of the engine or of what fills a need, and its new value."""

    root: str
    member: str
    value: Expression


@dataclass(frozen=True, slots=True)
class RemedyRule:
    """What would mend a proof that fails, as the values that it changes; every proof is tried with them."""

    id: str
    text: str
    changes: tuple[Change, ...]
    when: Expression | None = None


@dataclass(frozen=True, slots=True)
class ProofRule:
    """What must be proved: a value against a limit, with severity, source and advice.

    ``says`` adds figures that the proof does not rest on. ``stage`` says when it is made; one that is made
    after the order speaks as soon as one of the ``measured`` facts has been stated.
    """

    id: str
    title: str
    value: Expression
    unit: str
    severity: str
    source: str
    why: str
    at_least: Expression | None = None
    at_most: Expression | None = None
    when: Expression | None = None
    limit_source: str = ""
    advice: str = ""
    formula: str = ""
    says: Sentence | None = None
    remedies: tuple[RemedyRule, ...] = ()
    stage: str = "order"
    measured: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Operation:
    """One labour operation: hours, when it is charged, and the needs it serves."""

    code: str
    what: str
    hours: Decimal
    when: Expression
    needs: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()
    requires: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Package:
    """A package of the house: which renewals and preferences differ from the needs' own."""

    id: str
    title: str
    renew: Mapping[str, Expression] = field(default_factory=dict)
    prefer: tuple[tuple[str, Preference], ...] = ()


@dataclass(frozen=True, slots=True)
class Gate:
    """A gate before the quote: what must hold, the verdict when it does not, and the advice.

    ``says`` adds the figures; ``offer`` is what the customer takes, or signs that he declines.
    """

    id: str
    that: Expression
    severity: str
    why: str
    source: str
    when: Expression | None = None
    advice: str = ""
    says: Sentence | None = None
    offer: str = ""


@dataclass(frozen=True, slots=True)
class NoteRule:
    """What a third person must be told in writing: to whom, when, in which words, and with which need."""

    id: str
    to: str
    says: Sentence
    why: str
    source: str
    need: str
    when: Expression | None = None


@dataclass(frozen=True, slots=True)
class ShopBook:
    """The house book: money, packages, limits, evidence for purchase, work where the camshaft stays."""

    shop: Mapping[str, Any]
    money: Mapping[str, Any]
    default_package: str
    packages: Mapping[str, Package]
    limits: Mapping[str, float]
    evidence: Mapping[str, Grade]
    advice: Mapping[str, str]
    work: Mapping[str, Work] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Knowledge:
    """All that a shop knows, as one immutable whole with a version."""

    book: ShopBook
    attributes: Mapping[str, AttributeSchema]
    part_attributes: Mapping[str, Any]
    families: Mapping[str, Family]
    needs: Mapping[str, Need]
    named: Mapping[str, Named]
    proofs: Mapping[str, ProofRule]
    rules: tuple[Rule, ...]
    gates: tuple[Gate, ...]
    operations: Mapping[str, Operation]
    tables: Tables
    legal: tuple[Any, ...]
    cautions: tuple[Any, ...]
    version: str
    notes: tuple[NoteRule, ...] = ()
    procedures: tuple[Step, ...] = ()
    fasteners: Mapping[str, TorqueTable] = field(default_factory=dict)
    spreads: Spreads = field(default_factory=Spreads)

    def slots(self) -> dict[str, Slot]:
        """Every slot by its root name."""
        return {slot.root: slot for need in self.needs.values() for slot in need.slots}

    def all_rules(self) -> dict[str, Rule]:
        """Every rule by its id: those for new parts, those of needs, those of no single need."""
        matches = (rule for slot in self.slots().values() for rule in slot.match)
        of_needs = (rule for need in self.needs.values() for rule in need.rules)
        return {rule.id: rule for rule in (*matches, *of_needs, *self.rules)}

    def titles(self) -> dict[str, str]:
        """What a person reads for all that a fact may decide: operations, proofs and needs, by id."""
        return {
            **{operation.code: operation.what for operation in self.operations.values()},
            **{proof.id: proof.title for proof in self.proofs.values()},
            **{need.id: need.title for need in self.needs.values()},
        }
