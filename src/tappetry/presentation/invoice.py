"""Invoices and credit notes: what for, tax by class, what is set off, what is left to pay."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.letterhead import Letterhead
from tappetry.pricing.bill import Bill, BillLine, bill_data
from tappetry.services.paper_records import CreditNote, Invoice

Data = dict[str, Any]
NOTHING = Decimal("0.00")


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
    to_pay = _sum("to be paid", max(left, NOTHING))
    closing = []
    if left < 0:
        closing.append(f"{words.amount(-left)} more was paid than it comes to, and stands to your credit.")
    if invoice.cores_held:
        closing.append(
            f"We hold {words.amount(invoice.cores_held)} of core deposits. They are no part of this invoice, "
            "and are paid back when the old part is handed in."
        )
    return {
        **_supplier(shop),
        "heading": f"Invoice {invoice.number}",
        "job": invoice.job,
        "title": invoice.title,
        "customer": invoice.customer,
        "date": words.day(invoice.on),
        "since": f"For what was agreed: {invoice.since}.",
        "supplied": invoice.supplied.isoformat(),
        "facts": [
            _fact("job", invoice.job),
            _fact("date of issue", words.day(invoice.on)),
            _fact("day of supply", words.day(invoice.supplied)),
            *([_fact("to be paid by", words.day(invoice.due))] if left > 0 else []),
        ],
        "glance": to_pay,
        "figure": to_pay,
        "lines": [_line(each) for each in invoice.bill.lines],
        "work": [{"what": each.what, "hours": words.hours(each.hours)} for each in invoice.work],
        "sums": bill_sums(invoice.bill),
        "total": _sum("total", invoice.bill.total),
        "settled": settled,
        "closing": closing,
        "currency": invoice.currency,
        "bill": bill_data(invoice.bill),
        "rates": _rates(invoice.bill),
    }


def credit_pdf(note: CreditNote, shop: Letterhead) -> bytes:
    """The credit note as a PDF, the same bytes for the same credit."""
    return render.pdf("invoice", credit_data(note, shop), note.on, shop.paper)


def credit_data(note: CreditNote, shop: Letterhead) -> Data:
    """Everything on the paper, in words, and its bill in figures."""
    total = note.bill.total
    taken_off = min(total, note.was_open)
    return {
        **_supplier(shop),
        "heading": f"Credit note {note.number}",
        "job": note.job,
        "title": note.title,
        "customer": note.customer,
        "date": words.day(note.on),
        "since": f"On invoice {note.invoice} of {words.day(note.invoiced_on)}: {note.why}",
        "supplied": None if note.supplied is None else note.supplied.isoformat(),
        "facts": [
            _fact("job", note.job),
            _fact("date of issue", words.day(note.on)),
            _fact("on invoice", str(note.invoice)),
            *([] if note.supplied is None else [_fact("day of supply", words.day(note.supplied))]),
        ],
        "glance": _sum("credited, tax included", total),
        "figure": _sum("to your credit", total - taken_off),
        "lines": [_line(each) for each in note.bill.lines if each.net],
        "work": [],
        "sums": bill_sums(note.bill),
        "total": _sum("credited", total),
        "settled": [_sum("taken off what is to be paid", -taken_off)] if taken_off else [],
        "closing": [],
        "currency": note.currency,
        "bill": bill_data(note.bill),
        "rates": _rates(note.bill),
    }


def missing(shop: Letterhead) -> list[str]:
    """What the shop's invoices lack of what is common practice on them, in words; empty where nothing is."""
    wanted = (("the shop's address", shop.address), ("the shop's tax number", shop.tax_number))
    return [what for what, stated in wanted if not stated]


def bill_sums(bill: Bill) -> list[Data]:
    """Net, and for each rate the tax and the net that it is on."""
    return [
        _sum("without tax", bill.net),
        *(
            _sum(f"tax {each.percent} % of {words.amount(each.net)}, {words.listed(each.names)}", each.tax)
            for each in bill.rates
        ),
    ]


def _supplier(shop: Letterhead) -> Data:
    """The head of the paper, with the tax number where the shop states one."""
    head = shop.data()
    told = [*head["lines"], *([f"tax number {shop.tax_number}"] if shop.tax_number else [])]
    return {"shop": {**head, "lines": told}, "tax_number": shop.tax_number or None}


def _rates(bill: Bill) -> list[Data]:
    """Net, percent and tax of each rate; money as decimal text."""
    return [
        {
            "percent": str(each.percent),
            "net": f"{each.net:.2f}",
            "tax": f"{each.tax:.2f}",
            "classes": list(each.names),
        }
        for each in bill.rates
    ]


def _line(line: BillLine) -> Data:
    """A line as it is read; of one that is credited in part, neither units nor their price."""
    whole = line.net == line.quantity * line.each
    counted = words.quantity(line.quantity, line.unit) if line.unit else ""
    return {
        "quantity": counted if whole else "in part",
        "what": line.text,
        "each": words.amount(line.each) if whole else "",
        "amount": words.amount(line.net),
    }


def _sum(what: str, amount: Decimal) -> Data:
    return {"what": what, "amount": f"{'−' if amount < 0 else ''}{words.amount(abs(amount))}"}


def _fact(what: str, value: str) -> Data:
    return {"what": what, "value": value}
