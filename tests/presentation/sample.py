"""One whole job of the invented shop, priced, as the papers and tables are given it."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from tappetry.presentation.letterhead import Letterhead
from tappetry.presentation.quote import Quote
from tappetry.pricing.totals import deposit, price
from tappetry.pricing.validity import last_day
from tappetry.records.evidence import Fact, Grade
from tappetry.records.job import Job
from tappetry.records.kit import Because, Declined, Filled, Kept, Kit, LeftOver, Line, OperationLine, Unknown
from tappetry.records.part import Content, Part, Supplier
from tappetry.records.plan import Plan
from tappetry.records.verdict import Finding, Input, Proof, Verdict
from tests.pricing.jobs import MONEY

SAMPLE: dict[str, Any] = json.loads((Path(__file__).parent / "data" / "j1.json").read_text(encoding="utf-8"))
ON = date.fromisoformat(SAMPLE["date"])

SHOP = Letterhead(
    name="Sorrel Bench Engine Conversions",
    place="Upper Mardle",
    address="2 Tenter Yard",
)

SUPPLIERS = {
    "QSV": Supplier(
        "QSV",
        "Quernside Spring & Valve",
        terms="3 days; sets of 16, sets of 12 and singles",
        freight=Decimal("12.00"),
        free_over=Decimal("200.00"),
        minimum=Decimal("40.00"),
        under_minimum=Decimal("6.00"),
    ),
    "HVC": Supplier("HVC", "Hollin Vale Cams", terms="restock 20 %", freight=Decimal("16.00")),
}


def line(data: dict[str, Any]) -> Line:
    return Line(
        part=data["part"],
        supplier=data["supplier"],
        description=data["description"],
        quantity=data["quantity"],
        unit=data["unit"],
        unit_price=Decimal(data["unit_price"]),
        line_total=Decimal(0),
        unit_cost=Decimal(data["unit_cost"]),
        tax_class=data["tax_class"],
        importance=data["importance"],
        needs=tuple(Filled(*filled) for filled in data["needs"]),
        why=tuple(Because(*why[:4], facts=tuple(why[4])) for why in data["why"]),
        lead_days=data["lead_days"],
        returnable=data["returnable"],
        core_charge=Decimal(data["core_charge"]),
        holds=tuple(data["holds"]),
        use_from_box=data["use_from_box"],
    )


def proof(data: dict[str, Any]) -> Proof:
    inputs = (Input("clearance at home", 0.22, "in", "measured with clay, cylinder 1"),)
    return Proof(**(data | {"verdict": Verdict(data["verdict"]), "inputs": inputs}))


def kit() -> Kit:
    """The priced kit of the sample."""
    s = SAMPLE
    return price(
        Kit(
            job=s["job"],
            lines=tuple(line(each) for each in s["lines"]),
            kept=tuple(
                Kept(need, slot, state, text, pieces, allowance=None if allowed is None else Decimal(allowed))
                for need, slot, state, text, pieces, allowed in s["kept"]
            ),
            declined=tuple(Declined(*each) for each in s["declined"]),
            left_over=tuple(LeftOver(*each) for each in s["left_over"]),
            operations=tuple(
                OperationLine(code, what, Decimal(hours)) for code, what, hours in s["operations"]
            ),
            proofs=tuple(proof(each) for each in s["proofs"]),
            findings=tuple(Finding(i, Verdict(v), *rest) for i, v, *rest in s["findings"]),
            unknowns=tuple(Unknown(a, q, how, tuple(hangs)) for a, q, how, hangs in s["unknowns"]),
            landed_cost=Decimal("2731.20"),
            proved_optimal=True,
            stages=(("landed cost", 273120, True),),
            knowledge_version=s["knowledge_version"],
            catalogue_version=s["catalogue_version"],
            cautions=tuple(s["cautions"]),
            legal_note=s["legal_note"],
            allowances=tuple(s["allowances"]),
        ),
        MONEY,
    )


def job() -> Job:
    """The job of the sample."""
    facts = tuple(
        Fact(a, value, Grade(grade), source, unit=unit) for a, value, grade, source, unit in SAMPLE["facts"]
    )
    return Job(
        id=SAMPLE["job"],
        title=SAMPLE["title"],
        date=ON,
        facts=facts,
        plan=Plan(**SAMPLE["plan"]),
        customer=SAMPLE["customer"],
        place=SAMPLE["place"],
    )


def quote(shop: Letterhead = SHOP) -> Quote:
    """The quote of the sample."""
    priced = kit()
    paid = deposit(priced, MONEY)
    return Quote(
        kit=priced,
        job=job(),
        shop=shop,
        on=ON,
        valid_until=last_day(ON, MONEY),
        labour_rate=MONEY.labour_rate,
        titles=SAMPLE["titles"],
        need_groups=SAMPLE["groups"],
        fact_titles=SAMPLE["fact_titles"],
        deposit=(
            ("parts that cannot be returned, in full", paid.special),
            ("stock parts, 30 %", paid.stock),
            ("our work, 20 %", paid.labour),
        ),
        tax_note="7.25 % on parts; our work is untaxed",
        plan_read=frozenset({"heads"}),
        terms=("Old parts are yours: say if you want them back.",),
    )


def parts() -> tuple[Part, ...]:
    """The catalogue as far as the sample orders from it."""
    inside = {
        "PG-PUA": (
            Content("ring amber 2.50", 1),
            Content("ring violet 3.10", 1),
            Content("ring grey lip 3.80", 1),
        )
    }
    return tuple(
        Part(
            number=each["part"],
            supplier=each["supplier"],
            description=each["description"],
            fills=(),
            unit=each["unit"],
            pieces=each["pieces"],
            cost=Decimal(each["unit_cost"]),
            price=Decimal(each["unit_price"]),
            lead_days=each["lead_days"],
            contents=inside.get(each["part"], ()),
        )
        for each in SAMPLE["lines"]
    )
