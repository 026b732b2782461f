"""Small random shops: needs, rules, parts and suppliers drawn as plain data, and put to the solver.

A condition is drawn once as a small tree. It is written out in the language of conditions for the
program, and worked out here in three-valued logic for whoever checks the program. One number draws
one shop, so that a shop that fails can be drawn again.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any

from tappetry.catalogue.catalogue import Catalogue
from tappetry.kitting.request import Request
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import Knowledge, Need, Package, Preference, Rule, ShopBook, Slot
from tappetry.quantities.calendar import add_working_days
from tappetry.records.engine import EngineAsFound
from tappetry.records.evidence import Grade
from tappetry.records.part import Fill, Part, Supplier
from tappetry.records.plan import Plan
from tappetry.records.problems import Where

Roots = Mapping[str, Mapping[str, Any]]
TODAY = date(2026, 3, 2)


# ---- conditions ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Value:
    """A member of a root, or a number or word."""

    root: str = ""
    member: str = ""
    plain: float | str = 0.0

    @property
    def text(self) -> str:
        if self.root:
            return f"{self.root}.{self.member}"
        return f"'{self.plain}'" if isinstance(self.plain, str) else f"{self.plain:g}"

    def of(self, roots: Roots) -> Any:
        """The value, None when it is not known."""
        return roots.get(self.root, {}).get(self.member) if self.root else self.plain

    def roots(self) -> set[str]:
        return {self.root} - {""}


@dataclass(frozen=True)
class Test:
    """A truth, or a comparison of two values."""

    __test__ = False
    left: Value
    sign: str = ""
    right: Value = field(default_factory=Value)

    @property
    def text(self) -> str:
        return f"{self.left.text} {self.sign} {self.right.text}" if self.sign else self.left.text

    def truth(self, roots: Roots) -> bool | None:
        left = self.left.of(roots)
        if not self.sign:
            return left
        right = self.right.of(roots)
        if left is None or right is None:
            return None
        return (
            {"==": left == right, "!=": left != right}[self.sign]
            if self.sign in {"==", "!="}
            else left <= right
        )

    def roots(self) -> set[str]:
        return self.left.roots() | (self.right.roots() if self.sign else set())


@dataclass(frozen=True)
class Both:
    """Two conditions, joined by and or or."""

    sign: str
    left: Test
    right: Test

    @property
    def text(self) -> str:
        return f"({self.left.text}) {self.sign} ({self.right.text})"

    def truth(self, roots: Roots) -> bool | None:
        sides = (self.left.truth(roots), self.right.truth(roots))
        decides = self.sign == "||"
        if decides in sides:
            return decides
        return None if None in sides else not decides

    def roots(self) -> set[str]:
        return self.left.roots() | self.right.roots()


@dataclass(frozen=True)
class Always:
    """A condition that is always true, or never."""

    is_true: bool = True

    @property
    def text(self) -> str:
        return "true" if self.is_true else "false"

    def truth(self, roots: Roots) -> bool | None:
        return self.is_true

    def roots(self) -> set[str]:
        return set()


Condition = Test | Both | Always


# ---- the shop as plain data ----------------------------------------------------------------------------


@dataclass(frozen=True)
class SmallRule:
    """What must hold, and when."""

    id: str
    that: Condition
    when: Condition | None = None

    def __str__(self) -> str:
        return f"{self.id}: {self.that.text}" + (f" when {self.when.text}" if self.when else "")


@dataclass(frozen=True)
class SmallPreference:
    """What should hold, or what should be small."""

    id: str
    root: str
    that: Condition | None = None
    least: Value | None = None
    when: Condition | None = None

    def __str__(self) -> str:
        aim = self.that.text if self.that else f"least {self.least.text}"
        return f"{self.id}: {aim}" + (f" when {self.when.text}" if self.when else "")


@dataclass(frozen=True)
class SmallSlot:
    """One place of a need: pieces, or other pieces when a condition holds."""

    root: str
    pieces: int
    match: tuple[SmallRule, ...] = ()
    other_pieces: int = 0
    other_when: Condition | None = None

    def text(self) -> str:
        return (
            f"{self.other_when.text} ? {self.other_pieces} : {self.pieces}"
            if self.other_when is not None
            else str(self.pieces)
        )


@dataclass(frozen=True)
class SmallNeed:
    """A need with one or two slots."""

    id: str
    slots: tuple[SmallSlot, ...]
    when: Condition = Always()
    renew: Condition = Always()
    otherwise: str = "reuse"
    no_part: str = ""
    written: str = "R"
    found: Mapping[str, Any] = field(default_factory=dict)
    rules: tuple[SmallRule, ...] = ()
    prefer: tuple[SmallPreference, ...] = ()


@dataclass(frozen=True, repr=False)
class SmallShop:
    """Everything that one question to the solver is made of."""

    needs: tuple[SmallNeed, ...]
    parts: tuple[Part, ...]
    suppliers: tuple[Supplier, ...]
    engine: Mapping[str, Any] = field(default_factory=dict)
    rules: tuple[SmallRule, ...] = ()
    pins: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    days: int | None = None

    def __repr__(self) -> str:
        """Short enough to be read when a property fails."""
        lines = [f"engine {dict(self.engine)} pins {self.pins} refused {self.refused} days {self.days}"]
        for need in self.needs:
            lines.append(f"{need.id}: when {need.when.text}; renew {need.renew.text}; else {need.otherwise}")
            lines[-1] += f"; no part {need.no_part or need.written}; found {dict(need.found)}"
            lines += [f"  {slot.root}: {slot.text()} pieces" for slot in need.slots]
            lines += [f"  match {rule}" for slot in need.slots for rule in slot.match]
            lines += [f"  rule {rule}" for rule in need.rules]
            lines += [f"  prefer {preference}" for preference in need.prefer]
        lines += [f"rule {rule}" for rule in self.rules]
        for part in self.parts:
            fills = ", ".join(f"{f.need}:{f.pieces} {dict(f.attributes) or ''}" for f in part.fills)
            lines.append(
                f"{part.supplier}/{part.number} {fills} {dict(part.attributes)} fits {dict(part.fits)} "
                f"cost {part.cost} lead {part.lead_days}"
            )
        lines += [
            f"{s.code}: freight {s.freight}, free over {s.free_over}, {s.under_minimum} under {s.minimum}"
            for s in self.suppliers
        ]
        return "\n".join(["", *lines, ""])

    def request(self) -> Request:
        """The question, as the program takes it."""
        return Request(
            knowledge=self.knowledge(),
            catalogue=Catalogue(self.parts, {supplier.code: supplier for supplier in self.suppliers}),
            engine=EngineAsFound("", ""),
            plan=Plan(
                pins=self.pins,
                refused_parts=self.refused,
                need_by=None if self.days is None else add_working_days(TODAY, self.days),
            ),
            package=Package("standard", "standard"),
            fixed={
                "engine": self.engine,
                "plan": {},
                "job": {"signed": {}},
                "limits": {},
                **{f"found_{need.slots[0].root}": need.found for need in self.needs},
            },
            found={need.id: need.found for need in self.needs},
            today=TODAY,
            job="small",
        )

    def knowledge(self) -> Knowledge:
        """Needs and rules, compiled."""
        package = Package("standard", "standard")
        return Knowledge(
            book=ShopBook({}, {}, "standard", {"standard": package}, {}, {}, {}),
            attributes={},
            part_attributes={},
            families={},
            needs={need.id: _need(need) for need in self.needs},
            named={},
            proofs={},
            rules=tuple(_rule(rule) for rule in self.rules),
            gates=(),
            operations={},
            tables={},
            legal=(),
            cautions=(),
            version="small",
        )


def _compiled(condition: Condition | Value | None, name: str) -> Expression | None:
    return None if condition is None else compile_expression(condition.text, Where(name))


def _rule(rule: SmallRule) -> Rule:
    return Rule(rule.id, _compiled(rule.that, rule.id), rule.id, "drawn", _compiled(rule.when, rule.id))


def _need(need: SmallNeed) -> Need:
    return Need(
        id=need.id,
        title=need.id,
        group="",
        root=need.slots[0].root,
        slots=tuple(
            Slot(
                id=slot.root,
                need=need.id,
                root=slot.root,
                pieces=compile_expression(slot.text(), Where(slot.root)),
                when=None,
                match=tuple(_rule(rule) for rule in slot.match),
            )
            for slot in need.slots
        ),
        when=_compiled(need.when, need.id),
        renew=_compiled(need.renew, need.id),
        why=f"{need.id} is renewed",
        otherwise=need.otherwise,
        otherwise_why=f"{need.id} stays",
        written=need.written,
        house=False,
        no_part=need.no_part,
        importance="must",
        grade=Grade.assumed,
        source="drawn",
        rules=tuple(_rule(rule) for rule in need.rules),
        prefer=tuple(
            Preference(
                p.id,
                p.id,
                "drawn",
                _compiled(p.that, p.id),
                _compiled(p.least, p.id),
                _compiled(p.when, p.id),
            )
            for p in need.prefer
        ),
    )


# ---- drawing -------------------------------------------------------------------------------------------

SIZES = (1.0, 2.0, 3.0)
KINDS = ("a", "b")
PACKS = (1, 1, 2, 3, 4, 6, 8, 12, 16)
PIECES = (1, 2, 4, 6, 8, 12, 16)
ENGINE = {"hot": True, "cold": False, "count": 2.0, "model": "X"}
FITS: tuple[Mapping[str, tuple[str, ...]], ...] = ({}, {}, {}, {"model": ("Y", "X")}, {"model": ("Y",)})
FOUND: tuple[Mapping[str, Any], ...] = (
    {},
    {"size": 1.0, "kind": "a"},
    {"size": 3.0, "kind": "b"},
    {"kind": "a"},
)


def small_shop(number: int, most_needs: int = 5, most_parts: int = 4) -> SmallShop:
    """The shop of a number: three to a few needs, two to a few parts for each, some boxes."""
    return _Drawing(random.Random(number), most_parts).shop(most_needs)


def middling_shop(number: int) -> SmallShop:
    """A shop of eight to twelve needs that are all renewed, without preferences: only money decides."""
    return _Drawing(random.Random(number), 5).plain_shop(8, 12)


def doubtful_shop(number: int) -> SmallShop:
    """A small shop in which much hangs on a fact that nobody states, numbers of pieces too."""
    return _Drawing(random.Random(number), 4, doubt=True).shop(5)


class _Drawing:
    """Draws one shop."""

    def __init__(self, chance: random.Random, most_parts: int, doubt: bool = False) -> None:
        self.chance = chance
        self.most_parts = most_parts
        self.doubt = doubt
        # With few prices many purchases cost the same, and the later rankings decide.
        self.prices = [self.money(50, 6000) for _ in range(chance.choice((2, 3, 100)))]

    def one_in(self, number: int) -> bool:
        return self.chance.randrange(number) == 0

    def money(self, low: int, high: int) -> Decimal:
        """Whole cents between two amounts in cents."""
        return Decimal(self.chance.randint(low, high)) / 100

    def shop(self, most_needs: int) -> SmallShop:
        suppliers = tuple(self.supplier(code) for code in ("SA", "SB", "SC")[: self.chance.randint(2, 3)])
        names = tuple(f"n{index}" for index in range(self.chance.randint(3, most_needs)))
        needs = [self.need(name, names[:index]) for index, name in enumerate(names)]
        self.vary(needs)
        parts = [part for name in names for part in self.parts(name, suppliers)]
        parts += [self.box(f"Q{index}", names, suppliers) for index in range(self.chance.randint(0, 2))]
        self.chance.shuffle(parts)
        return SmallShop(
            needs=tuple(needs),
            parts=tuple(parts),
            suppliers=suppliers,
            engine=ENGINE,
            rules=(SmallRule("rule", self.pair(names[0], names[1:]), self.condition(names)),)
            if self.one_in(2)
            else (),
            pins=(self.chance.choice(parts).number,) if self.one_in(6) else (),
            refused=(self.chance.choice(parts).number,) if self.one_in(6) else (),
        )

    def plain_shop(self, fewest_needs: int, most_needs: int) -> SmallShop:
        suppliers = tuple(self.supplier(code) for code in ("SA", "SB", "SC"))
        names = tuple(f"n{index:02d}" for index in range(self.chance.randint(fewest_needs, most_needs)))
        needs = []
        for index, name in enumerate(names):
            rules = []
            if index and self.one_in(2):
                rules = [SmallRule(f"{name}-match", self.pair(name, names[:index]))]
            needs.append(SmallNeed(name, (SmallSlot(name, self.chance.choice(PIECES), tuple(rules)),)))
        parts = [part for name in names for part in self.parts(name, suppliers)]
        parts += [self.box(f"Q{index}", names, suppliers) for index in range(self.chance.randint(1, 4))]
        return SmallShop(tuple(needs), tuple(parts), suppliers, ENGINE)

    # ---- suppliers and parts ---------------------------------------------------------------------------

    def supplier(self, code: str) -> Supplier:
        """A supplier with freight, free freight, and a surcharge on small orders, or without."""
        return Supplier(
            code,
            code,
            freight=self.chance.choice((Decimal(0), self.money(300, 2000))),
            free_over=self.chance.choice((None, Decimal(0), self.money(1000, 8000))),
            minimum=self.chance.choice((Decimal(0), self.money(500, 4000))),
            under_minimum=self.chance.choice((Decimal(0), self.money(100, 900))),
        )

    def parts(self, need: str, suppliers: Sequence[Supplier]) -> Iterator[Part]:
        for index in range(self.chance.randint(2, self.most_parts)):
            fill = Fill(need, self.chance.choice(PACKS))
            yield self.part(f"{need}-{index}", (fill,), self.looks(), suppliers, self.chance.choice(FITS))

    def box(self, number: str, needs: Sequence[str], suppliers: Sequence[Supplier]) -> Part:
        """A box that fills two or three needs."""
        filled = self.chance.sample(needs, self.chance.randint(2, 3))
        fills = tuple(Fill(need, self.chance.choice(PACKS), self.looks()) for need in filled)
        return self.part(number, fills, {}, suppliers, {})

    def part(
        self,
        number: str,
        fills: tuple[Fill, ...],
        looks: Mapping[str, Any],
        suppliers: Sequence[Supplier],
        fits: Mapping[str, tuple[str, ...]],
    ) -> Part:
        return Part(
            number=number,
            supplier=self.chance.choice(suppliers).code,
            description=f"part {number}",
            fills=fills,
            unit="each",
            pieces=1,
            cost=self.chance.choice(self.prices),
            price=Decimal("99.00"),
            lead_days=self.chance.choice((0, 0, 3, 10)),
            attributes=looks,
            fits=fits,
        )

    def looks(self) -> dict[str, Any]:
        return {"size": self.chance.choice(SIZES), "kind": self.chance.choice(KINDS)}

    # ---- needs -----------------------------------------------------------------------------------------

    def need(self, name: str, earlier: tuple[str, ...]) -> SmallNeed:
        """A need that may hang on earlier ones, with its rules and preferences."""
        roots = (name, f"{name}_b") if self.one_in(6) else (name,)
        return SmallNeed(
            id=name,
            slots=tuple(
                SmallSlot(root, self.chance.choice(PIECES), self.matches(root, earlier)) for root in roots
            ),
            when=self.condition(earlier) if self.one_in(3) else Always(),
            renew=self.condition(earlier) if self.one_in(3) else Always(),
            otherwise=self.chance.choice(("reuse", "none", "shop stock")),
            no_part=self.chance.choice(("", "", "shop stock", "reuse")),
            written=self.chance.choice(("R", "T", "I")),
            found=self.chance.choice(FOUND),
            prefer=tuple(
                self.preference(f"{name}-prefer-{n}", name, earlier) for n in range(self.chance.randint(0, 2))
            ),
        )

    def matches(self, root: str, earlier: tuple[str, ...]) -> tuple[SmallRule, ...]:
        rules = []
        if self.one_in(3):
            own = Test(Value(root, "size"), "<=", Value(plain=self.chance.choice(SIZES)))
            rules.append(SmallRule(f"{root}-own", own))
        if earlier and self.one_in(2):
            when = self.test(earlier) if self.one_in(3) else None
            rules.append(SmallRule(f"{root}-match", self.pair(root, earlier), when))
        return tuple(rules)

    def preference(self, id_: str, root: str, earlier: tuple[str, ...]) -> SmallPreference:
        when = self.condition((*earlier, root)) if self.one_in(2) else None
        if self.one_in(2):
            return SmallPreference(id_, root, least=Value(root, "size"), when=when)
        return SmallPreference(id_, root, that=self.condition((*earlier, root)), when=when)

    def vary(self, needs: list[SmallNeed]) -> None:
        """Now and then a rule of a need, and a number of pieces that hangs on another choice."""
        names = tuple(need.id for need in needs)
        if self.one_in(2):
            changed = self.chance.randrange(len(needs))
            others = names[:changed] + names[changed + 1 :]
            limit = self.condition(others) if self.one_in(2) else None
            needs[changed] = replace(
                needs[changed], rules=(SmallRule("need", self.pair(names[changed], others), limit),)
            )
        if self.one_in(3):
            changed = self.chance.randrange(1, len(needs))
            when: Condition = Test(Value(names[0], "kind"), "==", Value(plain="a"))
            if not self.doubt:
                known = {"size": 1.0, "kind": "b"}
                needs[0] = replace(needs[0], when=Always(), renew=Always(), otherwise="reuse", found=known)
            elif self.one_in(2):
                when = self.condition(names[:changed])
            slot = replace(needs[changed].slots[0], other_when=when, other_pieces=self.chance.randint(1, 6))
            needs[changed] = replace(needs[changed], slots=(slot, *needs[changed].slots[1:]))

    # ---- conditions ------------------------------------------------------------------------------------

    def condition(self, roots: Sequence[str]) -> Condition:
        """A test, or two of them joined."""
        if self.one_in(2):
            return self.test(roots)
        return Both(self.chance.choice(("&&", "||")), self.test(roots), self.test(roots))

    def test(self, roots: Sequence[str]) -> Test:
        """A comparison or a truth over the roots of needs and the engine."""
        if self.doubt and self.one_in(4):
            return Test(Value("engine", "unseen"))
        if not roots or self.one_in(4):
            return self.chance.choice(
                (
                    Test(Value("engine", "hot")),
                    Test(Value("engine", "cold")),
                    Test(Value("engine", "unseen")),
                    Test(Value("engine", "count"), "<=", Value(plain=2.0)),
                    Test(Value("engine", "count"), "==", Value(plain=3.0)),
                )
            )
        root = self.chance.choice(roots)
        return self.chance.choice(
            (
                Test(Value(root, "size"), "<=", Value(plain=self.chance.choice(SIZES))),
                Test(Value(root, "kind"), "==", Value(plain=self.chance.choice(KINDS))),
                Test(Value(root, "renewed")),
                Test(Value(root, "fitted")),
            )
        )

    def pair(self, one: str, others: Sequence[str]) -> Test:
        """How one slot must match another."""
        other = self.chance.choice(others)
        if self.one_in(3):
            return Test(Value(one, "kind"), "==", Value(other, "kind"))
        return Test(Value(one, "size"), self.chance.choice(("==", "!=", "<=")), Value(other, "size"))


def slots_of(shop: SmallShop) -> Iterator[tuple[SmallNeed, SmallSlot]]:
    """Every slot with its need."""
    for need in shop.needs:
        for slot in need.slots:
            yield need, slot
