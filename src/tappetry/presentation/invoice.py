"""The invoice: what was agreed, tax by class, what is set off, what is to be paid and until when."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.letterhead import Letterhead
from tappetry.pricing.bill import Bill, BillLine, bill_data
from tappetry.services.paper_records import Invoice

Data = dict[str, Any]


def invoice_pdf(invoice: Invoice, shop: Letterhead) -> bytes:
    """The invoice as a PDF, the same bytes for the same invoice."""
    return render.pdf("invoice", invoice_data(invoice, shop), invoice.on, shop.paper)


def invoice_data(invoice: Invoice, shop: Letterhead) -> Data:
    """Everything on the paper, in words, and its bill in figures; no cost, margin or supplier."""
    left = invoice.left
    settled = [
        _sum(what, -amount)
        for what, amount in (
            ("deposit that was paid", invoice.deposit),
            ("what stood to your credit", invoice.credit),
        )
        if amount
    ]
    closing = []
    if left < 0:
        closing.append(f"{words.amount(-left)} more was paid than it comes to, and stands to your credit.")
    if invoice.cores_held:
        closing.append(
            f"We hold {words.amount(invoice.cores_held)} of core deposits. They are no part of this invoice, "
            "and are paid back when the old part is handed in."
        )
    return {
        "shop": shop.data(),
        "heading": f"Invoice {invoice.number}",
        "job": invoice.job,
        "title": invoice.title,
        "customer": invoice.customer,
        "date": words.day(invoice.on),
        "since": f"For what was agreed: {invoice.since}.",
        "facts": [_fact("job", invoice.job), _fact("date", words.day(invoice.on))]
        + ([_fact("to be paid by", words.day(invoice.due))] if left > 0 else []),
        "figure": {"what": "to be paid", "amount": words.amount(max(left, Decimal(0)))},
        "lines": [_line(each) for each in invoice.bill.lines],
        "work": [{"what": each.what, "hours": words.hours(each.hours)} for each in invoice.work],
        "sums": bill_sums(invoice.bill),
        "total": {"what": "total", "amount": words.amount(invoice.bill.total)},
        "settled": settled,
        "closing": closing,
        "currency": invoice.currency,
        "bill": bill_data(invoice.bill),
    }


def bill_sums(bill: Bill) -> list[Data]:
    """Net, and tax by class with the net that it is on."""
    taxed = [
        _sum(f"tax on {each.name}, {each.percent} % of {words.amount(each.net)}", each.tax)
        for each in bill.classes
        if each.percent
    ]
    free = words.listed(each.name for each in bill.classes if not each.percent)
    return [
        _sum("without tax", bill.net),
        *taxed,
        *([{"what": f"no tax on {free}", "amount": words.amount(Decimal(0))}] if free else []),
    ]


def _line(line: BillLine) -> Data:
    return {
        "quantity": words.quantity(line.quantity, line.unit) if line.unit else "",
        "what": line.text,
        "each": words.amount(line.each),
        "amount": words.amount(line.net),
    }


def _sum(what: str, amount: Decimal) -> Data:
    return {"what": what, "amount": f"{'−' if amount < 0 else ''}{words.amount(abs(amount))}"}


def _fact(what: str, value: str) -> Data:
    return {"what": what, "value": value}
