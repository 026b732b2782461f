"""Three jobs of the invented shop as the tests read them: lines, hours and the totals worked out by hand."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

from tappetry.pricing.policy import MoneyPolicy
from tappetry.records.kit import Filled, Kit, Line, OperationLine

DATA = Path(__file__).parent / "data"

MONEY = MoneyPolicy(
    currency="USD",
    labour_rate=Decimal("118.00"),
    tax={"parts": Decimal("7.25"), "services": Decimal(0), "labour": Decimal(0), "supplies": Decimal(0)},
    supplies_percent_of_labour=Decimal(4),
    supplies_cap=Decimal("65.00"),
    quote_days=14,
    price_check_days=7,
    deposit_special_percent=Decimal(100),
    deposit_stock_percent=Decimal(30),
    deposit_labour_percent=Decimal(20),
    card_fee_percent=Decimal("2.9"),
)


def rows(name: str, job: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["job"] == job]


def totals(job: str) -> dict[str, Decimal]:
    return {name: Decimal(value) for name, value in rows("totals", job)[0].items() if name != "job"}


def line(**changes: object) -> Line:
    """One line of stock at 100.00 that costs 60.00, with what a test changes."""
    plain: dict[str, object] = {
        "part": "P-1",
        "supplier": "AAA",
        "description": "a part",
        "quantity": 1,
        "unit": "each",
        "unit_price": Decimal("100.00"),
        "line_total": Decimal(0),
        "unit_cost": Decimal("60.00"),
        "tax_class": "parts",
        "importance": "must",
        "needs": (),
        "why": (),
    }
    return Line(**(plain | changes))  # type: ignore[arg-type]


def unpriced(job: str) -> Kit:
    """The kit of a job with quantities, prices and costs, and nothing added up."""
    lines = tuple(
        line(
            part=row["part"],
            supplier=row["supplier"],
            description=row["description"],
            quantity=int(row["quantity"]),
            unit=row["unit"],
            unit_price=Decimal(row["unit_price"]),
            unit_cost=Decimal(row["unit_cost"]),
            tax_class=row["tax_class"],
            needs=(Filled(row["need"], "", 1, int(row["quantity"]) * int(row["pieces"])),),
            lead_days=int(row["lead_days"]),
            returnable=row["returnable"] == "yes",
            core_charge=Decimal(row["core_charge"]),
        )
        for row in rows("lines", job)
    )
    operations = tuple(
        OperationLine(row["code"], row["what"], Decimal(row["hours"])) for row in rows("operations", job)
    )
    return Kit(job=job, lines=lines, operations=operations)
