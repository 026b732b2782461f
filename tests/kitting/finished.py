"""Finished kits of the invented shop, and ways to retell one after a change so that only the change shows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from tappetry.assembly.roots import facts_by_name
from tappetry.jobs.reader import read_job
from tappetry.kitting.checker import CheckComplaint, check_kit
from tappetry.kitting.checker.laying import lay_out
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import resolve
from tappetry.pricing.policy import read_policy
from tappetry.pricing.totals import price
from tappetry.proofs.margins import prove
from tappetry.records.kit import Because, Filled, Kept, Kit, LeftOver, Line
from tappetry.records.part import Part
from tappetry.records.plan import Plan
from tappetry.services.kits import identify_job, request_of
from tests.kitting.support import demo

SHOP = demo()
JOBS = ("J1", "J3", "J5")


@dataclass(frozen=True)
class Finished:
    """A priced kit and the request that it answers."""

    request: Request
    kit: Kit

    @property
    def plan(self) -> Plan:
        return self.request.plan

    def judged(self, kit: Kit | None = None, plan: Plan | None = None) -> tuple[CheckComplaint, ...]:
        """What the checker says of a kit for this request."""
        request = self.request
        return check_kit(
            kit or self.kit,
            request.fixed,
            plan or request.plan,
            request.knowledge,
            request.catalogue,
            request.today,
        )

    def part(self, line: Line) -> Part:
        part = self.request.catalogue.find(line.supplier, line.part)
        assert part is not None, line.part
        return part

    def retold(self, kit: Kit) -> Kit:
        """The kit with left-over pieces, proofs and totals as its lines now give them."""
        request = self.request
        kit = replace(kit, left_over=self.left_over(kit))
        layout = lay_out(
            kit, request.fixed, request.plan, request.knowledge, request.catalogue, request.today
        )
        signed = request.fixed["job"]["signed"]
        rules = request.knowledge.proofs.values()
        proofs = [prove(layout.values, rule, layout.views, signed) for rule in rules]
        kit = replace(kit, proofs=tuple(proof for proof in proofs if proof is not None))
        return priced(kit)

    def left_over(self, kit: Kit) -> tuple[LeftOver, ...]:
        """Given less required by need, and the rest of every box of which one piece is used."""
        needs = self.request.knowledge.needs
        given: Counter[str] = Counter()
        rest: Counter[str] = Counter()
        for line in kit.lines:
            part = self.request.catalogue.find(line.supplier, line.part)
            if part is None:
                continue
            for fill in part.fills:
                given[fill.need] += fill.pieces * line.quantity
            for content in part.contents:
                if line.use_from_box and not line.use_from_box.startswith(f"{content.item}:"):
                    rest[content.item] += content.pieces * line.quantity
        wanted = {(f.need, f.slot): f.required for line in kit.lines for f in line.needs}
        for (need, _), pieces in wanted.items():
            given[need] -= pieces
        over = {needs[need].title: pieces for need, pieces in given.items() if pieces > 0} | rest
        return tuple(LeftOver("", item, pieces, "") for item, pieces in over.items())


def priced(kit: Kit) -> Kit:
    """The kit with totals, as far as it can be priced at all."""
    if any(not line.unit_price > 0 or line.quantity < 1 for line in kit.lines):
        return kit
    return price(kit, read_policy(SHOP.knowledge.book.money))


@cache
def finished(job: str) -> Finished:
    """The kit of a demo job."""
    return planned(job)


def planned(job: str, **plan: object) -> Finished:
    """The kit of a demo job with another plan."""
    read = read_job(SHOP.jobs / f"{job}.yaml", SHOP.knowledge)
    read = replace(read, plan=replace(read.plan, **plan))  # type: ignore[arg-type]
    request = request_of(SHOP, read, identify_job(SHOP, read))
    facts = facts_by_name(request.knowledge.attributes, request.engine)
    return Finished(request, priced(resolve(request, facts).kit))


def line_of(part: Part, quantity: int, wanted: Iterable[Filled], use_from_box: str = "") -> Line:
    """An honest line of a part for places that want pieces."""
    filled = tuple(replace(f, given=part.pieces_for(f.need) * quantity) for f in wanted)
    return Line(
        part=part.number,
        supplier=part.supplier,
        description=part.description,
        quantity=quantity,
        unit=part.unit,
        unit_price=part.price,
        line_total=part.price * quantity,
        unit_cost=part.cost,
        tax_class=part.tax_class,
        importance="must",
        needs=filled,
        why=tuple(Because("need", f.need, "test") for f in filled) or (Because("need", "", "test"),),
        lead_days=part.lead_days,
        returnable=part.returnable,
        core_charge=part.core_charge,
        use_from_box=use_from_box,
    )


def with_line(kit: Kit, at: int, *lines: Line) -> Kit:
    """The kit with other lines in the place of one."""
    return replace(kit, lines=(*kit.lines[:at], *lines, *kit.lines[at + 1 :]))


def with_kept(kit: Kit, at: int, *kept: Kept) -> Kit:
    """The kit with other kept entries in the place of one."""
    return replace(kit, kept=(*kit.kept[:at], *kept, *kit.kept[at + 1 :]))
