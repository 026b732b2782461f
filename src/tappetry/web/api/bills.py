"""Bills for programs: the invoices and credit notes of a job, as they were written, and where it stands."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, Field

from tappetry.services import books, invoices, payments
from tappetry.services.books import CORES_HELD, CREDITS, CUSTOMERS, DEPOSITS
from tappetry.services.invoices import InvoiceRow
from tappetry.services.payments import Payment
from tappetry.services.statements import open_bills, statement
from tappetry.web.api.answers import PREFIX, PROBLEMS, Answer, answered
from tappetry.web.render import app_of
from tappetry.web.security import person

NOTHING = Decimal("0.00")
router = APIRouter(prefix=PREFIX, responses=PROBLEMS, tags=["bills"])
Number = Annotated[str, Path(max_length=41, description="the number of the job")]
RefundNumber = Annotated[int, Path(ge=1, le=2**31 - 1, description="the number of the refund")]
PaymentNumber = Annotated[int, Path(ge=1, le=2**31 - 1, description="the number of the payment")]

PostingNumber = Annotated[int, Path(ge=1, le=2**31 - 1, description="the number of the posting")]


class Reason(BaseModel):
    """Why something is taken back; of a payment or refund the customer reads it on the statement."""

    why: Annotated[str, Field(min_length=1, max_length=payments.LONGEST)]


@router.get("/jobs/{number}/invoices")
def job_invoices(request: Request, number: Number) -> Answer:
    """The invoices and credit notes of a job, and where its customer stands."""
    ledger = app_of(request).ledger
    rows = invoices.papers(ledger, number)
    balances = books.balances(ledger, number)
    accounts = {"owes": CUSTOMERS, "deposit": DEPOSITS, "credit": CREDITS, "core_deposits": CORES_HELD}
    stands = {name: str(abs(balances.get(account, NOTHING))) for name, account in accounts.items()}
    return answered(request, {"stands": stands, "invoices": [_paper(row) for row in rows]})


@router.get("/jobs/{number}/payments")
def job_payments(request: Request, number: Number) -> Answer:
    """What the customer paid on a job, and what of it was taken back."""
    found = payments.payments(app_of(request).ledger, number)
    return answered(request, {"payments": [_payment(each) for each in found]})


@router.post("/jobs/{number}/payments/{payment}/back", status_code=201)
def take_payment_back(request: Request, number: Number, payment: PaymentNumber, reason: Reason) -> Answer:
    """Take a payment back that was typed wrongly, once; its reverse is posted today."""
    ledger = app_of(request).ledger
    payments.take_back(ledger, number, payment, reason.why, person(request))
    (found,) = (each for each in payments.payments(ledger, number) if each.number == payment)
    return answered(request, _payment(found), 201)


@router.get("/jobs/{number}/refunds")
def job_refunds(request: Request, number: Number) -> Answer:
    """What went back to the customer of a job or was kept, and what of it was taken back."""
    found = payments.refunds(app_of(request).ledger, number)
    return answered(request, {"refunds": [_payment(each) for each in found]})


@router.post("/jobs/{number}/refunds/{refund}/back", status_code=201)
def take_refund_back(request: Request, number: Number, refund: RefundNumber, reason: Reason) -> Answer:
    """Take a refund back that was typed wrongly, once; its reverse is posted today."""
    ledger = app_of(request).ledger
    payments.take_refund_back(ledger, number, refund, reason.why, person(request))
    (found,) = (each for each in payments.refunds(ledger, number) if each.number == refund)
    return answered(request, _payment(found), 201)


@router.get("/jobs/{number}/suppliers")
def job_suppliers(request: Request, number: Number) -> Answer:
    """What moved on a job between the shop and its suppliers, and what of it was taken back."""
    found = payments.with_suppliers(app_of(request).ledger, number)
    return answered(request, {"suppliers": [_with_supplier(each) for each in found]})


@router.post("/jobs/{number}/suppliers/{posting}/back", status_code=201)
def take_supplier_back(request: Request, number: Number, posting: PostingNumber, reason: Reason) -> Answer:
    """Take back a supplier's invoice, payment or return that was typed wrongly, once."""
    ledger = app_of(request).ledger
    payments.take_supplier_back(ledger, number, posting, reason.why, person(request))
    (found,) = (each for each in payments.with_suppliers(ledger, number) if each.number == posting)
    return answered(request, _with_supplier(found), 201)


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


def _payment(made: Payment) -> dict[str, Any]:
    back = made.back
    return {
        "number": made.number,
        "day": made.day.isoformat(),
        "what": made.what,
        "means": made.way,
        "amount": str(made.amount),
        "said": made.said,
        "written_by": made.who,
        "taken_back": back and {"day": back.day.isoformat(), "by": back.who, "why": back.why},
    }


def _with_supplier(made: Payment) -> dict[str, Any]:
    return {"supplier": made.supplier, **_payment(made)}


def _paper(row: InvoiceRow) -> dict[str, Any]:
    return {
        "kind": row.kind,
        "number": row.number,
        "day": row.day.isoformat(),
        "due": None if row.due is None else row.due.isoformat(),
        "supplied": None if row.supplied is None else row.supplied.isoformat(),
        "total": str(row.total),
        "currency": row.currency,
        "written_by": row.entry.who,
        "paper": row.document,
    }
