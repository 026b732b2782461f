"""Jobs that were agreed on, of a kit of a few lines, at a ledger whose invoices are data without a paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

from tappetry.presentation.as_json import kit_data
from tappetry.presentation.invoice import credit_data, invoice_data
from tappetry.presentation.kept import papers
from tappetry.presentation.papers import letterhead
from tappetry.pricing.policy import read_policy
from tappetry.pricing.totals import price
from tappetry.records.kit import Kit, OperationLine
from tappetry.records.problems import BadInput, Refusal
from tappetry.services.ledger import Ledger
from tappetry.services.paper_records import CreditNote, Invoice, MadePaper
from tappetry.services.shop import Shop
from tappetry.store.accepted import keep_acceptance, keep_change
from tappetry.store.database import Database
from tappetry.store.jobs import add_job, job_now
from tappetry.store.problems import NotKept
from tappetry.store.quotes import keep_kit, keep_quote
from tests.kitting.support import demo
from tests.pricing.jobs import line
from tests.store.documents import act, document, paper, yes

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
DUE = "2026-03-16"
#: The day of supply of their invoices.
DAY = "2026-03-02"
#: What the jobs come to: parts 448.97 and their tax of 32.55, a session, 2.5 hours of work, supplies.
TOTAL = Decimal("1438.32")
PDF = b"%PDF-"


def till(database: Database) -> Ledger:
    """A ledger whose papers are a word each."""
    known = papers()
    business = replace(known.business, invoice=_invoice, credit=_credit)
    return Ledger(demo(), database, replace(known, business=business), lambda: NOON)


def said_to_four(attempt: Callable[[str], str], until: str = "\n") -> list[str]:
    """What four people hear who do the same at once, in the order of words; a refusal up to some sign."""

    def heard(who: str) -> str:
        try:
            return attempt(who)
        except NotKept as error:
            return str(error).partition(until)[0]

    with ThreadPoolExecutor(4) as pool:
        return sorted(pool.map(heard, ("Wren", "Rook", "Teal", "Knot")))


def done_at_once(*acts: Callable[[], object]) -> list[bool]:
    """Whether each of some acts that people do at the same time was done, those first that were refused."""

    def done(act: Callable[[], object]) -> bool:
        try:
            act()
        except (BadInput, Refusal):
            return False
        return True

    with ThreadPoolExecutor(len(acts)) as pool:
        return sorted(pool.map(done, acts))


def with_book(shop: Shop, stated: Mapping[str, str]) -> Shop:
    """A shop whose house book says something else of its name and place."""
    other = shop.with_parts(shop.catalogue.parts)
    book = replace(shop.knowledge.book, shop=stated)
    other.__dict__["knowledge"] = replace(shop.knowledge, book=book)
    return other


def with_currency(shop: Shop, currency: str) -> Shop:
    """A shop whose house book reckons in another currency."""
    other = shop.with_parts(shop.catalogue.parts)
    book = replace(shop.knowledge.book, money={**shop.knowledge.book.money, "currency": currency})
    other.__dict__["knowledge"] = replace(shop.knowledge, book=book)
    return other


def _invoice(shop: Shop, invoice: Invoice) -> MadePaper:
    return MadePaper(invoice_data(invoice, letterhead(shop)), PDF)


def _credit(shop: Shop, note: CreditNote) -> MadePaper:
    return MadePaper(credit_data(note, letterhead(shop)), PDF)


def agreed(ledger: Ledger, number: str = "J-1", vin: str = "9ZZW2SSE6CK051209") -> str:
    """A job whose quote over ``TOTAL`` was accepted; jobs with one VIN are of one customer."""
    kit = _kit("419.00")
    with ledger.database.writing() as session:
        stated = {name: value for name, value in document(number).items() if name != "measurements"}
        stated["facts"]["vin"]["value"] = vin
        job = add_job(session, stated, act("opened the job"))
        kept = keep_kit(session, job, kit, kit_data(kit), act("kept a kit"))
        quote = keep_quote(session, job, kept, paper(), act("sent a quote"))
        keep_acceptance(session, number, quote, yes(), act("accepted"))
    return number


def changed(ledger: Ledger, number: str, cam: str) -> Decimal:
    """Another price of the camshaft, agreed by a change order; what the job comes to then."""
    kit = _kit(cam)
    with ledger.database.writing() as session:
        job = job_now(session, number)
        before = keep_kit(session, job, _kit("419.00"), kit_data(_kit("419.00")), act())
        kept = keep_kit(session, job, kit, kit_data(kit), act("kept a kit"))
        change = keep_change(session, number, before, kept, paper(), act("sent a change order"))
        keep_acceptance(session, number, change, yes(), act("accepted"))
    assert kit.totals is not None
    return kit.totals.total


def _kit(cam: str) -> Kit:
    lines = (
        line(part="A-1", description="a session", unit_price=Decimal("650.00"), tax_class="services"),
        line(part="B-1", description="a seal", unit_price=Decimal("9.99"), quantity=3),
        line(part="C-1", description="a cam", unit_price=Decimal(cam)),
    )
    work = (OperationLine("A", "strip", Decimal("1.5")), OperationLine("B", "build", Decimal(1)))
    return price(Kit("J-1", lines, operations=work), read_policy(demo().knowledge.book.money))
