"""Finished kits with one fault each: what a solver, a price list or a tired hand could get wrong.

Each kind of fault says which rules may catch it. A mutant is retold after its fault: left-over pieces,
proofs and totals follow from its lines again, so that nothing but the fault can be noticed.
"""

from __future__ import annotations

import csv
import math
import random
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, fields, replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from tappetry.records.kit import Filled, Kept, Kit, LeftOver, Line, OperationLine, Totals
from tappetry.records.part import Part
from tappetry.records.plan import OwnPart, Plan
from tappetry.records.verdict import Verdict
from tests.kitting.finished import Finished, line_of, priced, with_kept, with_line

#: No more faults of one kind in one kit than this; another seed draws others.
MOST = 16
DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Mutant:
    """A kit with one fault, and the rules that may catch it."""

    kind: str
    what: str
    rules: frozenset[str]
    kit: Kit
    plan: Plan | None = None


#: One kind of fault: every place where it can be made, or a few drawn by chance where there are many.
Kind = Callable[[Finished, random.Random], Iterator[Mutant]]


def some(draw: random.Random, items: Iterable[Any]) -> list[Any]:
    """A few of many, in their order."""
    found = list(items)
    return [found[at] for at in sorted(draw.sample(range(len(found)), min(MOST, len(found))))]


def table(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def of(text: str) -> frozenset[str]:
    return frozenset(text.split())


# ---- another part in the place ---------------------------------------------------------------------------

#: Which rules may catch a part that differs in an attribute, by need and attribute.
CAUGHT_BY = {(row["need"], row["attribute"]): of(row["rules"]) for row in table("decisive")}
#: Swaps between parts that may both stand there: the house only likes one better, or buys it cheaper.
ADMISSIBLE = {(row["job"], row["part"], row["other"]): row["why"] for row in table("admissible")}


@dataclass(frozen=True)
class Swap:
    """A line and another part that fills one of its needs."""

    at: int
    line: Line
    other: Part


def swaps(case: Finished) -> Iterator[Swap]:
    """Every line of a kit with every other part of the catalogue that fills a need of it."""
    for at, line in enumerate(case.kit.lines):
        for other in case.request.catalogue.parts:
            same = (other.supplier, other.number) == (line.supplier, line.part)
            if not same and any(other.pieces_for(filled.need) for filled in line.needs):
                yield Swap(at, line, other)


def swapped(case: Finished, swap: Swap) -> Kit:
    """The kit with the other part, as many units as the places want."""
    wanted = [filled for filled in swap.line.needs if swap.other.pieces_for(filled.need)]
    units = max(math.ceil(f.required / swap.other.pieces_for(f.need)) for f in wanted)
    line = line_of(swap.other, units, wanted, swap.line.use_from_box)
    return case.retold(with_line(case.kit, swap.at, line))


def rules_against(case: Finished, swap: Swap) -> frozenset[str]:
    """The rules that may catch a swap: by every attribute in which the two parts differ."""
    old, new = case.part(swap.line), swap.other
    rules: set[str] = set()
    for filled in swap.line.needs:
        if not new.pieces_for(filled.need):
            rules.add("need-complete")
            continue
        before, after = old.attributes_for(filled.need), new.attributes_for(filled.need)
        for attribute in before.keys() | after.keys():
            if before.get(attribute) != after.get(attribute):
                rules |= CAUGHT_BY.get((filled.need, attribute), frozenset())
    family = str(case.request.fixed["engine"]["family"])
    if new.fits.get("family", (family,)) != old.fits.get("family", (family,)):
        rules.add("fits-engine")
    if new.status not in {"active", "by hand"}:
        rules.add("orderable")
    return frozenset(rules)


def other_part(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """Another part of the same need: other class, bore, nose, target, thread, inlet, engine, or not sold."""
    for swap in swaps(case):
        what = f"{swap.line.part} -> {swap.other.number}"
        if (case.kit.job, swap.line.part, swap.other.number) not in ADMISSIBLE:
            yield Mutant("other part", what, rules_against(case, swap), swapped(case, swap))


# ---- quantities ------------------------------------------------------------------------------------------


def recounted(case: Finished, at: int, quantity: Any) -> Kit:
    line = case.kit.lines[at]
    return with_line(case.kit, at, replace(line_of(case.part(line), quantity, line.needs, line.use_from_box)))


def a_unit_less(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in enumerate(case.kit.lines):
        if line.quantity > 1:
            kit = case.retold(recounted(case, at, line.quantity - 1))
            yield Mutant("a unit less", line.part, of("pack-maths"), kit)


def units_more(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        more = draw.randint(1, 4)
        kit = case.retold(recounted(case, at, line.quantity + more))
        yield Mutant("units more", f"{more} x {line.part}", of("overbuy"), kit)


def no_number_of_units(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        bad = draw.choice([0, -1, line.quantity + 0.5, True, str(line.quantity)])
        kit = with_line(case.kit, at, replace(line, quantity=bad))
        yield Mutant("no number of units", f"{bad!r} x {line.part}", of("quantity"), kit)


def one_pack_for_two(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """One pack where several are needed, and the line says that it gives enough."""
    for at, line in enumerate(case.kit.lines):
        if line.quantity > 1:
            short = replace(line_of(case.part(line), 1, line.needs), needs=line.needs)
            kit = case.retold(with_line(case.kit, at, short))
            yield Mutant("one pack for two", line.part, of("pack-maths"), kit)


def wrong_pieces(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        which = draw.randrange(len(line.needs))
        off = draw.choice([-1, 1])
        for name in ("required", "given"):
            claim = line.needs[which]
            changed = replace(claim, **{name: getattr(claim, name) + off})
            needs = (*line.needs[:which], changed, *line.needs[which + 1 :])
            kit = with_line(case.kit, at, replace(line, needs=needs))
            yield Mutant("wrong pieces", f"{line.part} {name} {off:+d}", of("pieces"), kit)


# ---- lines too few and too many --------------------------------------------------------------------------


def line_dropped(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        yield Mutant("line dropped", line.part, of("need-complete"), case.retold(with_line(case.kit, at)))


def claim_dropped(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """A box that no longer says what else it fills."""
    for at, line in enumerate(case.kit.lines):
        for claim in line.needs if len(line.needs) > 1 else ():
            rest = tuple(other for other in line.needs if other is not claim)
            kit = case.retold(with_line(case.kit, at, replace(line, needs=rest)))
            yield Mutant("claim dropped", f"{line.part} {claim.need}", of("need-complete"), kit)


def line_doubled(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        kit = case.retold(with_line(case.kit, at, line, line))
        yield Mutant("line doubled", line.part, of("double-line"), kit)


def other_pack_beside(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """The same need bought once more under another number: another pack, or a loose piece beside its set."""
    for swap in some(draw, swaps(case)):
        if swap.other.fits == case.part(swap.line).fits and swap.other.price > 0:
            claims = [filled for filled in swap.line.needs if swap.other.pieces_for(filled.need)]
            beside = line_of(swap.other, 1, claims, swap.line.use_from_box)
            if any((line.supplier, line.part) == (beside.supplier, beside.part) for line in case.kit.lines):
                continue
            kit = case.retold(with_line(case.kit, swap.at, swap.line, beside))
            what = f"{swap.other.number} beside {swap.line.part}"
            yield Mutant("other pack beside", what, of("double-supply"), kit)


def loose_piece_for_set(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """A set that holds a piece, and the piece is taken from a part bought loose."""
    for at, line in enumerate(case.kit.lines):
        for claim in line.needs if len(line.needs) > 1 else ():
            for loose in case.request.catalogue.parts_for(claim.need):
                if loose.number == line.part or loose.fits != case.part(line).fits:
                    continue
                rest = replace(line, needs=tuple(other for other in line.needs if other is not claim))
                units = math.ceil(claim.required / loose.pieces_for(claim.need))
                kit = case.retold(with_line(case.kit, at, rest, line_of(loose, units, [claim])))
                what = f"{loose.number} for {claim.need} of {line.part}"
                yield Mutant("loose piece for a set", what, of("double-supply"), kit)


def part_not_needed(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """A part for a need that is not there, or that is met without buying."""
    bought = {filled.need for line in case.kit.lines for filled in line.needs}
    rules = of("not-needed not-renewed fallback fits-engine")
    for part in some(draw, case.request.catalogue.parts):
        if bought & {fill.need for fill in part.fills} or not part.price > 0:
            continue
        fill = part.fills[0]
        slot = case.request.knowledge.needs[fill.need].slots[0].id
        line = line_of(part, 1, [Filled(fill.need, slot, fill.pieces, 0)])
        kept = tuple(entry for entry in case.kit.kept if entry.need != fill.need)
        kit = case.retold(replace(case.kit, lines=(*case.kit.lines, line), kept=kept))
        yield Mutant("part not needed", part.number, rules, kit)
        idle = replace(case.kit, lines=(*case.kit.lines, line_of(part, 1, [])))
        yield Mutant("part for nothing", part.number, of("known-need"), case.retold(idle))


def both_seals_on_the_towers(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """Tower plugs beside a cover with bosses: the one pair that the trade warns of by name."""
    engine = case.request.fixed["engine"]
    if engine.get("deact_towers"):
        need = case.request.knowledge.needs["oil-tower-plugs"]
        part = next(iter(case.request.catalogue.parts_for(need.id)))
        plugs = line_of(part, 1, [Filled(need.id, "", part.pieces_for(need.id), 0)])
        kit = case.retold(replace(case.kit, lines=(*case.kit.lines, plugs)))
        yield Mutant("both seals on the towers", part.number, of("tower-seal"), kit)


# ---- what a line says of its part ------------------------------------------------------------------------


def wrong_money(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        off = Decimal(draw.choice([-1, 1]) * draw.randint(1, 99)) / 100
        price = replace(
            line, unit_price=line.unit_price + off, line_total=(line.unit_price + off) * line.quantity
        )
        yield Mutant("wrong price", line.part, of("price"), priced(with_line(case.kit, at, price)))
        cost = replace(line, unit_cost=line.unit_cost + off)
        yield Mutant("wrong cost", line.part, of("cost"), priced(with_line(case.kit, at, cost)))
        total = replace(line, line_total=line.line_total + off)
        yield Mutant("wrong line total", line.part, of("line-total"), with_line(case.kit, at, total))


def not_as_listed(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        changes: dict[str, Any] = {
            "unit": f"{line.unit} of 2",
            "tax_class": "labour" if line.tax_class == "parts" else "parts",
            "lead_days": line.lead_days + draw.choice([-1, 1]),
            "core_charge": line.core_charge + draw.randint(1, 60),
            "returnable": not line.returnable,
        }
        name = draw.choice(list(changes))
        kit = priced(with_line(case.kit, at, replace(line, **{name: changes[name]})))
        yield Mutant("not as listed", f"{line.part} {name}", of("as-listed"), kit)


def no_such_part(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        number = replace(line, part=f"{line.part}9")
        yield Mutant("no such number", line.part, of("in-catalogue"), with_line(case.kit, at, number))
        suppliers = [code for code in case.request.catalogue.suppliers if code != line.supplier]
        other = replace(line, supplier=draw.choice(suppliers))
        yield Mutant("other supplier", line.part, of("in-catalogue"), with_line(case.kit, at, other))


def no_reason(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        yield Mutant("no reason", line.part, of("reason"), with_line(case.kit, at, replace(line, why=())))


def wrong_need(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in some(draw, enumerate(case.kit.lines)):
        claim = line.needs[0]
        for other in (replace(claim, slot="elsewhere"), replace(claim, need="no-such-need")):
            kit = with_line(case.kit, at, replace(line, needs=(other, *line.needs[1:])))
            yield Mutant("wrong need", f"{line.part} {other.need} {other.slot}", of("known-need"), kit)


def other_piece_of_the_box(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, line in enumerate(case.kit.lines):
        for content in case.part(line).contents if line.use_from_box else ():
            if not line.use_from_box.startswith(f"{content.item}:"):
                changed = replace(line, use_from_box=f"{content.item}: it looked right")
                kit = case.retold(with_line(case.kit, at, changed))
                yield Mutant("other piece of the box", content.item, of("use-from-box"), kit)


# ---- what is kept ----------------------------------------------------------------------------------------


def kept_wrong(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    states = ["reuse", "shop stock", "by hand", "outside service"]
    for at, kept in some(draw, enumerate(case.kit.kept)):
        yield Mutant("kept entry dropped", kept.need, of("need-complete"), with_kept(case.kit, at))
        twice = with_kept(case.kit, at, kept, kept)
        yield Mutant("kept entry doubled", kept.need, of("one-disposition"), twice)
        pieces = with_kept(case.kit, at, replace(kept, pieces=kept.pieces + draw.randint(1, 9)))
        yield Mutant("kept pieces wrong", kept.need, of("pieces"), pieces)
        state = draw.choice([state for state in states if state != kept.state])
        other = with_kept(case.kit, at, replace(kept, state=state))
        yield Mutant("kept otherwise", f"{kept.need} {state}", of("not-renewed fallback"), other)
        opened = with_kept(case.kit, at, replace(kept, state="open", pieces=0))
        yield Mutant("left open", kept.need, of("open-fact"), case.retold(opened))


def kept_for_nothing(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    met = {kept.need for kept in case.kit.kept}
    met |= {filled.need for line in case.kit.lines for filled in line.needs}
    for need in some(draw, case.request.knowledge.needs.values()):
        if need.id not in met:
            entry = Kept(need.id, need.slots[0].id, "reuse", "it is there anyway", 1)
            kit = replace(case.kit, kept=(*case.kit.kept, entry))
            yield Mutant("kept for nothing", need.id, of("not-needed not-renewed known-need"), kit)


def kept_in_place_of_bought(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    """What must be renewed is kept, or left open, or both bought and kept."""
    for at, line in some(draw, enumerate(case.kit.lines)):
        state = draw.choice(["reuse", "by hand", "shop stock"])
        entries = tuple(Kept(f.need, f.slot, state, "good enough", f.required) for f in line.needs)
        kit = case.retold(replace(with_line(case.kit, at), kept=(*case.kit.kept, *entries)))
        yield Mutant("kept in place of bought", f"{line.part} {state}", of("renewal"), kit)
        entries = tuple(Kept(f.need, f.slot, "open", "who knows") for f in line.needs)
        kit = case.retold(replace(with_line(case.kit, at), kept=(*case.kit.kept, *entries)))
        yield Mutant("open in place of bought", line.part, of("open-fact"), kit)
        claim = line.needs[0]
        both = Kept(claim.need, claim.slot, "reuse", "and the old one", claim.required)
        kit = replace(case.kit, kept=(*case.kit.kept, both))
        yield Mutant("bought and kept", line.part, of("one-disposition"), kit)


def left_over_wrong(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, left in enumerate(case.kit.left_over):
        rest = (*case.kit.left_over[:at], *case.kit.left_over[at + 1 :])
        yield Mutant("left-over dropped", left.item, of("left-over"), replace(case.kit, left_over=rest))
        off = replace(left, pieces=left.pieces + draw.choice([-1, 1, 2]))
        yield Mutant("left-over wrong", left.item, of("left-over"), replace(case.kit, left_over=(*rest, off)))
    extra = LeftOver(case.kit.lines[0].part, "a mystery piece", draw.randint(1, 3), "")
    kit = replace(case.kit, left_over=(*case.kit.left_over, extra))
    yield Mutant("left-over invented", extra.item, of("left-over"), kit)


# ---- labour ----------------------------------------------------------------------------------------------


def labour_wrong(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    lines, book = case.kit.operations, case.request.knowledge.operations
    charged = {line.code for line in lines}

    def mutant(kind: str, what: str, rules: str, operations: tuple[OperationLine, ...]) -> Mutant:
        return Mutant(kind, what, of(rules), priced(replace(case.kit, operations=operations)))

    for at, line in enumerate(lines):
        others = (*lines[:at], *lines[at + 1 :])
        yield mutant("operation dropped", line.code, "labour-missing", others)
        yield mutant("operation doubled", line.code, "labour-twice", (*lines, line))
        hours = replace(line, hours=line.hours + Decimal(draw.choice(["-0.1", "0.1", "1", "10"])))
        yield mutant("hours off the book", line.code, "labour-hours", (*others, hours))
        if any(line.code in book[code].requires for code in charged):
            yield mutant("required operation dropped", line.code, "labour-requires", others)
    for code, operation in book.items():
        extra = (*lines, OperationLine(code, operation.what, operation.hours))
        if code not in charged:
            yield mutant("operation for nothing", code, "labour-extra", extra)
            if charged & set(operation.excludes):
                yield mutant("excluded pair", code, "labour-excluded", extra)
    unknown = (*lines, OperationLine("OP999", "polishing", Decimal(1)))
    yield mutant("operation not in the book", "OP999", "labour-extra", unknown)


# ---- proofs and totals -----------------------------------------------------------------------------------


def proofs_wrong(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    for at, proof in some(draw, enumerate(case.kit.proofs)):
        rest = (*case.kit.proofs[:at], *case.kit.proofs[at + 1 :])
        yield Mutant("proof dropped", proof.id, of("proof-record"), replace(case.kit, proofs=rest))
        verdict = draw.choice([v for v in Verdict if v is not proof.verdict])
        changes: list[dict[str, Any]] = [{"verdict": verdict}, {"signed": "" if proof.signed else "J. Doe"}]
        if proof.value is not None and proof.margin is not None:
            changes += [{"value": proof.value * 1.001 + 0.001}, {"margin": proof.margin + 0.001}]
        change = draw.choice(changes)
        kit = replace(case.kit, proofs=(*rest, replace(proof, **change)))
        yield Mutant("proof changed", f"{proof.id} {change}", of("proof-record"), kit)
    invented = replace(case.kit.proofs[0], id="looks-good")
    kit = replace(case.kit, proofs=(*case.kit.proofs, invented))
    yield Mutant("proof invented", invented.id, of("proof-record"), kit)


def totals_wrong(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    assert case.kit.totals is not None
    yield Mutant("totals missing", "", of("totals"), replace(case.kit, totals=None))
    for field in fields(Totals):
        value = getattr(case.kit.totals, field.name)
        wrong = (
            "XTS"
            if field.name == "currency"
            else value + Decimal(draw.choice(["-0.01", "0.01", "1", "-7.25"]))
        )
        totals = replace(case.kit.totals, **{field.name: wrong})
        yield Mutant("total wrong", f"{field.name} {wrong}", of("totals"), replace(case.kit, totals=totals))


# ---- the plan says otherwise -----------------------------------------------------------------------------


def against_the_plan(case: Finished, draw: random.Random) -> Iterator[Mutant]:
    plan, catalogue = case.plan, case.request.catalogue
    numbers = {line.part for line in case.kit.lines}
    for line in some(draw, case.kit.lines):
        refused = replace(plan, refused_parts=(line.part,))
        yield Mutant("refused part", line.part, of("refused"), case.kit, refused)
        other = draw.choice([part.number for part in catalogue.parts if part.number not in numbers])
        pinned = replace(plan, pins=(other,))
        yield Mutant("pin left out", other, of("pinned"), case.kit, pinned)
        own = replace(plan, own_parts=(OwnPart(line.needs[0].need, "the customer's own"),))
        yield Mutant("own part left out", line.needs[0].need, of("own-part"), case.kit, own)
        if line.lead_days:
            today = case.request.today
            soon = replace(plan, need_by=today + timedelta(days=draw.randrange(line.lead_days)))
            yield Mutant("too late", f"{line.part} by {soon.need_by}", of("lead-time"), case.kit, soon)


KINDS: tuple[Kind, ...] = (
    other_part,
    a_unit_less,
    units_more,
    no_number_of_units,
    one_pack_for_two,
    wrong_pieces,
    line_dropped,
    claim_dropped,
    line_doubled,
    other_pack_beside,
    loose_piece_for_set,
    part_not_needed,
    both_seals_on_the_towers,
    wrong_money,
    not_as_listed,
    no_such_part,
    no_reason,
    wrong_need,
    other_piece_of_the_box,
    kept_wrong,
    kept_for_nothing,
    kept_in_place_of_bought,
    left_over_wrong,
    labour_wrong,
    proofs_wrong,
    totals_wrong,
    against_the_plan,
)
