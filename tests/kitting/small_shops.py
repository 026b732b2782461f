"""Small random shops: needs, rules, parts and suppliers drawn as plain data, and put to the solver.

A condition is drawn once as a small tree. It is written out in the language of conditions for the
program, and worked out here in three-valued logic for whoever checks the program.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from tappetry.catalogue.catalogue import Catalogue
from tappetry.kitting.request import Request
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import Knowledge, Need, Package, Preference, Rule, ShopBook, Slot
from tappetry.records.engine import EngineAsFound
from tappetry.records.evidence import Grade
from tappetry.records.part import Fill, Part, Supplier
from tappetry.records.plan import Plan
from tappetry.records.problems import Where

Roots = Mapping[str, Mapping[str, Any]]


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
        return {"==": left == right, "!=": left != right}[self.sign] if self.sign in {"==", "!="} else left <= right

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

    def __repr__(self) -> str:
        """Short enough to be read when a property fails."""
        lines = [f"engine {dict(self.engine)} pins {self.pins} refused {self.refused}"]
        for need in self.needs:
            lines.append(f"{need.id}: when {need.when.text}; renew {need.renew.text}; else {need.otherwise}")
            lines[-1] += f"; no part {need.no_part}; found {dict(need.found)}"
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
            f"{s.code}: freight {s.freight} free over {s.free_over} minimum {s.minimum} under {s.under_minimum}"
            for s in self.suppliers
        ]
        return "\n".join(["", *lines, ""])

    def request(self) -> Request:
        """The question, as the program takes it."""
        return Request(
            knowledge=self.knowledge(),
            catalogue=Catalogue(self.parts, {supplier.code: supplier for supplier in self.suppliers}),
            engine=EngineAsFound("", ""),
            plan=Plan(pins=self.pins, refused_parts=self.refused),
            package=Package("standard", "standard"),
            fixed={
                "engine": self.engine,
                "plan": {},
                "job": {"signed": {}},
                "limits": {},
                **{f"found_{need.slots[0].root}": need.found for need in self.needs},
            },
            found={need.id: need.found for need in self.needs},
            today=date(2026, 3, 2),
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
        written="R",
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
ENGINE = {"hot": True, "cold": False, "count": 2.0}


def money(low: int, high: int) -> st.SearchStrategy[Decimal]:
    """Whole cents between two amounts in cents."""
    return st.integers(low, high).map(lambda cents: Decimal(cents) / 100)


def tests_of(roots: tuple[str, ...]) -> st.SearchStrategy[Condition]:
    """A comparison or a truth over the roots of needs and the engine."""
    engine = st.sampled_from(
        [
            Test(Value("engine", "hot")),
            Test(Value("engine", "cold")),
            Test(Value("engine", "unseen")),
            Test(Value("engine", "count"), "<=", Value(plain=2.0)),
            Test(Value("engine", "count"), "==", Value(plain=3.0)),
        ]
    )
    if not roots:
        return engine
    root = st.sampled_from(roots)
    return st.one_of(
        engine,
        st.builds(lambda r, v: Test(Value(r, "size"), "<=", Value(plain=v)), root, st.sampled_from(SIZES)),
        st.builds(lambda r, v: Test(Value(r, "kind"), "==", Value(plain=v)), root, st.sampled_from(KINDS)),
        st.builds(lambda r, m: Test(Value(r, m)), root, st.sampled_from(["renewed", "fitted"])),
    )


def conditions(roots: tuple[str, ...]) -> st.SearchStrategy[Condition]:
    """A test, or two of them joined."""
    single = tests_of(roots)
    return st.one_of(single, st.builds(Both, st.sampled_from(["&&", "||"]), single, single))


def pairs(one: str, others: tuple[str, ...]) -> st.SearchStrategy[Condition]:
    """How one slot must match another."""
    return st.builds(
        lambda other, sign, member: Test(
            Value(one, member), sign if member == "size" else "==", Value(other, member)
        ),
        st.sampled_from(others),
        st.sampled_from(["==", "!=", "<="]),
        st.sampled_from(["size", "kind"]),
    )


@st.composite
def suppliers_drawn(draw: st.DrawFn) -> tuple[Supplier, ...]:
    """Two or three suppliers with freight, free freight, and a surcharge on small orders."""
    return tuple(
        Supplier(
            code,
            code,
            freight=draw(st.one_of(st.just(Decimal(0)), money(300, 2000))),
            free_over=draw(st.one_of(st.none(), st.just(Decimal(0)), money(1000, 8000))),
            minimum=draw(st.one_of(st.just(Decimal(0)), money(500, 4000))),
            under_minimum=draw(st.one_of(st.just(Decimal(0)), money(100, 900))),
        )
        for code in ("SA", "SB", "SC")[: draw(st.integers(2, 3))]
    )


@st.composite
def parts_drawn(draw: st.DrawFn, need: str, first: int, suppliers: tuple[Supplier, ...], most: int) -> list[Part]:
    """Two to a few parts that fill one need."""
    return [
        Part(
            number=f"P{first + index:02d}",
            supplier=draw(st.sampled_from(suppliers)).code,
            description="",
            fills=(Fill(need, draw(st.sampled_from(PACKS))),),
            unit="each",
            pieces=1,
            cost=draw(money(50, 6000)),
            price=Decimal("99.00"),
            lead_days=draw(st.integers(0, 10)),
            attributes={"size": draw(st.sampled_from(SIZES)), "kind": draw(st.sampled_from(KINDS))},
            fits=draw(st.sampled_from([{}, {}, {}, {"model": ("X",)}, {"model": ("Y", "X")}, {"model": ("Y",)}])),
        )
        for index in range(draw(st.integers(2, most)))
    ]


@st.composite
def sets_drawn(draw: st.DrawFn, number: str, needs: tuple[str, ...], suppliers: tuple[Supplier, ...]) -> Part:
    """A box that fills two or three needs."""
    filled = draw(st.lists(st.sampled_from(needs), min_size=2, max_size=3, unique=True))
    return Part(
        number=number,
        supplier=draw(st.sampled_from(suppliers)).code,
        description="box",
        fills=tuple(
            Fill(
                need,
                draw(st.sampled_from((1, 2, 4, 8, 16))),
                {"size": draw(st.sampled_from(SIZES)), "kind": draw(st.sampled_from(KINDS))},
            )
            for need in filled
        ),
        unit="set",
        pieces=1,
        cost=draw(money(50, 9000)),
        price=Decimal("99.00"),
        lead_days=draw(st.integers(0, 10)),
    )


@st.composite
def needs_drawn(draw: st.DrawFn, index: int, earlier: tuple[str, ...]) -> SmallNeed:
    """A need that may hang on earlier ones, with its rules and preferences."""
    name = f"n{index}"
    count = 2 if draw(st.integers(0, 5)) == 0 else 1
    roots = (name, f"{name}_b")[:count]
    slots = []
    for root in roots:
        match = []
        if draw(st.booleans()):
            match.append(
                SmallRule(f"{root}-own", Test(Value(root, "size"), "<=", Value(plain=draw(st.sampled_from(SIZES)))))
            )
        if earlier and draw(st.booleans()):
            match.append(
                SmallRule(
                    f"{root}-match",
                    draw(pairs(root, earlier)),
                    draw(st.one_of(st.none(), tests_of(earlier))),
                )
            )
        slots.append(
            SmallSlot(root, draw(st.sampled_from((1, 2, 4, 6, 8, 12, 16))), tuple(match), draw(st.integers(1, 6)))
        )
    prefer = []
    for number in range(draw(st.integers(0, 2))):
        when = draw(st.one_of(st.none(), conditions((*earlier, name))))
        if draw(st.booleans()):
            prefer.append(SmallPreference(f"{name}-p{number}", name, that=draw(conditions((*earlier, name))), when=when))
        else:
            prefer.append(SmallPreference(f"{name}-p{number}", name, least=Value(name, "size"), when=when))
    return SmallNeed(
        id=name,
        slots=tuple(slots),
        when=draw(st.one_of(st.just(Always()), conditions(earlier))),
        renew=draw(st.one_of(st.just(Always()), conditions(earlier))),
        otherwise=draw(st.sampled_from(["reuse", "none", "shop stock"])),
        no_part=draw(st.sampled_from(["", "", "shop stock"])),
        found=draw(
            st.sampled_from([{}, {"size": 1.0, "kind": "a"}, {"size": 3.0, "kind": "b"}, {"kind": "a"}])
        ),
        prefer=tuple(prefer),
    )


@st.composite
def small_shops(draw: st.DrawFn, most_needs: int = 5, most_parts: int = 4, plain: bool = False) -> SmallShop:
    """A shop of three to a few needs; a plain one has no pins and no refused parts."""
    suppliers = draw(suppliers_drawn())
    count = draw(st.integers(3, most_needs))
    names = tuple(f"n{index}" for index in range(count))
    needs = [draw(needs_drawn(index, names[:index])) for index in range(count)]
    if draw(st.booleans()):
        changed = draw(st.integers(0, count - 1))
        other = names[:changed] + names[changed + 1 :]
        rule = SmallRule("need-rule", draw(pairs(names[changed], other)), draw(st.one_of(st.none(), conditions(other))))
        needs[changed] = replace(needs[changed], rules=(rule,))
    if draw(st.booleans()):
        changed = draw(st.integers(1, count - 1))
        slot = replace(needs[changed].slots[0], other_when=Test(Value(names[0], "kind"), "==", Value(plain="a")))
        needs[0] = replace(
            needs[0], when=Always(), renew=Always(), otherwise="reuse", found={"size": 1.0, "kind": "b"}
        )
        needs[changed] = replace(needs[changed], slots=(slot, *needs[changed].slots[1:]))
    rules = tuple(
        SmallRule(f"rule-{index}", draw(pairs(names[0], names[1:])), draw(conditions(names)))
        for index in range(draw(st.integers(0, 1)))
    )
    parts: list[Part] = []
    for name in names:
        parts += draw(parts_drawn(name, len(parts) + 1, suppliers, most_parts))
    for index in range(draw(st.integers(0, 2))):
        parts.append(draw(sets_drawn(f"Q{index}", names, suppliers)))
    numbers = [part.number for part in parts]
    few = st.one_of(st.just(()), st.just(()), st.just(()), st.sampled_from(numbers).map(lambda number: (number,)))
    return SmallShop(
        needs=tuple(needs),
        parts=tuple(parts),
        suppliers=suppliers,
        engine={**ENGINE, "model": "X"},
        rules=rules,
        pins=() if plain else draw(few),
        refused=() if plain else draw(few),
    )


def slots_of(shop: SmallShop) -> Iterator[tuple[SmallNeed, SmallSlot]]:
    """Every slot with its need."""
    for need in shop.needs:
        for slot in need.slots:
            yield need, slot
