"""The statement: every paper and payment with the balance after it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.letterhead import Letterhead
from tappetry.services.statements import Statement, StatementRow

Data = dict[str, Any]

#: What the accounts of a customer are called to him.
STANDS = {
    "customers": "to be paid",
    "deposits of customers": "deposit that was paid",
    "core deposits of customers": "core deposits that we hold",
    "credits of customers": "to your credit",
}


def statement_pdf(statement: Statement, shop: Letterhead) -> bytes:
    """The statement as a PDF, the same bytes for the same statement."""
    return render.pdf("statement", statement_data(statement, shop), statement.on, shop.paper)


def statement_data(statement: Statement, shop: Letterhead) -> Data:
    """Everything on the paper, in words; amounts that the shop owes have a minus."""
    several = len(statement.jobs) > 1
    return {
        "shop": shop.data(),
        "customer": statement.customer,
        "title": statement.title,
        "jobs": ("jobs " if several else "job ") + words.listed(statement.jobs),
        "several": several,
        "date": words.day(statement.on),
        "balance": balance(statement.balance),
        "currency": statement.currency,
        "rows": [_row(each) for each in statement.rows],
        "stands": [{"what": STANDS[name], "amount": _signed(amount)} for name, amount in statement.stands],
    }


def balance(amount: Decimal) -> Data:
    """A balance: who owes, and how much."""
    what = "you owe" if amount > 0 else "we owe you" if amount < 0 else "nothing is open"
    return {"what": what, "amount": words.amount(abs(amount))}


def _row(row: StatementRow) -> Data:
    return {
        "day": words.day(row.day),
        "job": row.job,
        "what": f"{row.what}: {row.said}" if row.said else row.what,
        "change": _signed(row.change),
        "balance": _signed(row.balance),
    }


def _signed(amount: Decimal) -> str:
    return f"{'−' if amount < 0 else ''}{words.amount(abs(amount))}"
