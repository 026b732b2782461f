"""How kits, quotes and the other papers of a job are written down when they are kept."""

from __future__ import annotations

from datetime import date

from tappetry.presentation.as_json import kit_data
from tappetry.presentation.change_order import change_data, change_pdf
from tappetry.presentation.invoice import credit_data, credit_pdf, invoice_data, invoice_pdf
from tappetry.presentation.order_list import Order, order_data, order_pdf, orders
from tappetry.presentation.papers import letterhead, quote_of
from tappetry.presentation.quote import quote_data, quote_pdf
from tappetry.pricing.policy import read_policy
from tappetry.records.kit import Kit
from tappetry.services.kits import KitResult
from tappetry.services.ledger import Papers
from tappetry.services.paper_records import BusinessPapers, ChangeOrder, CreditNote, Invoice, MadePaper
from tappetry.services.shop import Shop
from tappetry.store.accepted import OrderPaper
from tappetry.store.quotes import Paper


def papers() -> Papers:
    """The papers that a ledger keeps."""
    return Papers(
        kit_data, _quote, BusinessPapers(change=_change, orders=_orders, invoice=_invoice, credit=_credit)
    )


def _quote(shop: Shop, result: KitResult, on: date) -> Paper:
    """The quote of a kit as it goes out: its days count from there, however old the job is."""
    quote = quote_of(shop, result, on)
    return Paper(quote_data(quote), quote_pdf(quote), quote.valid_until)


def _change(shop: Shop, change: ChangeOrder) -> Paper:
    """A change order as it goes out."""
    head = letterhead(shop)
    return Paper(change_data(change, head), change_pdf(change, head), change.last_day)


def _invoice(shop: Shop, invoice: Invoice) -> MadePaper:
    """An invoice as it goes out."""
    head = letterhead(shop)
    return MadePaper(invoice_data(invoice, head), invoice_pdf(invoice, head))


def _credit(shop: Shop, note: CreditNote) -> MadePaper:
    """A credit note as it goes out."""
    head = letterhead(shop)
    return MadePaper(credit_data(note, head), credit_pdf(note, head))


def _orders(shop: Shop, kit: Kit, on: date) -> tuple[OrderPaper, ...]:
    """The orders of some lines, one per supplier, as they go out."""
    currency = read_policy(shop.knowledge.book.money).currency
    catalogue = shop.catalogue
    made = orders(kit, catalogue.parts, catalogue.suppliers, letterhead(shop), on, currency)
    return tuple(_order(each) for each in made)


def _order(order: Order) -> OrderPaper:
    return OrderPaper(
        order.supplier.code,
        order_data(order),
        order_pdf(order),
        order.goods + order.freight,
        tuple((each.line.part, each.line.quantity, each.line.unit_cost) for each in order.lines),
    )
