"""Bills for programs: the invoices of a job, as they were written."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request

from tappetry.services import invoices
from tappetry.services.invoices import InvoiceRow
from tappetry.web.api.answers import PREFIX, PROBLEMS, Answer, answered
from tappetry.web.render import app_of

router = APIRouter(prefix=PREFIX, responses=PROBLEMS, tags=["bills"])
Number = Annotated[str, Path(max_length=41, description="the number of the job")]


@router.get("/jobs/{number}/invoices")
def job_invoices(request: Request, number: Number) -> Answer:
    """The invoices of a job."""
    rows = invoices.papers(app_of(request).ledger, number)
    return answered(request, {"invoices": [_paper(row) for row in rows]})


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
