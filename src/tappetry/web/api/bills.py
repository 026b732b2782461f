"""Bills for programs: the invoices and credit notes of a job, as they were written, and where it stands."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request

from tappetry.services import books, invoices
from tappetry.services.books import CORES_HELD, CREDITS, CUSTOMERS, DEPOSITS
from tappetry.services.invoices import InvoiceRow
from tappetry.services.statements import open_bills, statement
from tappetry.web.api.answers import PREFIX, PROBLEMS, Answer, answered
from tappetry.web.render import app_of

NOTHING = Decimal("0.00")
router = APIRouter(prefix=PREFIX, responses=PROBLEMS, tags=["bills"])
Number = Annotated[str, Path(max_length=41, description="the number of the job")]


@router.get("/jobs/{number}/invoices")
def job_invoices(request: Request, number: Number) -> Answer:
    """The invoices and credit notes of a job, and where its customer stands."""
    ledger = app_of(request).ledger
    rows = invoices.papers(ledger, number)
    balances = books.balances(ledger, number)
    accounts = {"owes": CUSTOMERS, "deposit": DEPOSITS, "credit": CREDITS, "core_deposits": CORES_HELD}
    stands = {name: str(abs(balances.get(account, NOTHING))) for name, account in accounts.items()}
    return answered(request, {"stands": stands, "invoices": [_paper(row) for row in rows]})


@router.get("/jobs/{number}/statement")
def job_statement(request: Request, number: Number, whole: bool = False) -> Answer:
    """Every paper and payment of a job, or of all jobs of its customer; a minus is what we owe."""
    found = statement(app_of(request).ledger, number, whole)
    rows = [
        {
            "day": row.day.isoformat(),
            "job": row.job,
            "what": row.what,
            "said": row.said,
            "amount": str(row.change),
            "balance": str(row.balance),
        }
        for row in found.rows
    ]
    said = {"customer": found.customer, "jobs": list(found.jobs), "currency": found.currency}
    return answered(request, {**said, "balance": str(found.balance), "rows": rows})


@router.get("/bills")
def bills(request: Request) -> Answer:
    """The invoices that are open in the whole shop, the earliest day to pay on first."""
    found = open_bills(app_of(request).ledger)
    told = [
        {
            "job": each.job,
            "customer": each.customer,
            "invoice": each.invoice,
            "due": each.due.isoformat(),
            "days_over": each.days_over,
            "owes": str(each.owes),
        }
        for each in found.bills
    ]
    sums = {"currency": found.currency, "total": str(found.total), "overdue": str(found.overdue)}
    return answered(request, {**sums, "bills": told})


def _paper(row: InvoiceRow) -> dict[str, Any]:
    return {
        "kind": row.kind,
        "number": row.number,
        "day": row.day.isoformat(),
        "due": None if row.due is None else row.due.isoformat(),
        "total": str(row.total),
        "currency": row.currency,
        "written_by": row.entry.who,
        "paper": row.document,
    }
