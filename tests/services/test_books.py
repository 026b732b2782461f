"""Payments, refunds and credit notes; and whatever is done in whatever order, the books balance."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from itertools import count

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test
from sqlalchemy import select

from tappetry.pricing.books import WITH_SUPPLIERS
from tappetry.pricing.policy import read_policy
from tappetry.pricing.totals import price
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import agreements, books, invoices, payments
from tappetry.services.books import CORES_HELD, CREDITS, CUSTOMERS, DEPOSITS, KINDS, MEANS
from tappetry.services.invoices import CREDIT, INVOICE, InvoiceRow, in_force, write_credit, write_invoice
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tappetry.store.problems import NotKept
from tests.effort import soaks
from tests.services.test_invoices import stands
from tests.services.till import DAY, DUE, TOTAL, agreed, said_to_four, till, with_currency

pytestmark = pytest.mark.slow
NOTHING = Decimal("0.00")
#: How many sequences are tried; `make soak` draws many more examples of everything.
TIMES = 200 if soaks() else 6
_numbers = count(1)


@pytest.fixture
def ledger(database: Database) -> Ledger:
    return till(database)


def test_an_invoice_is_paid_by_several_means_and_what_is_over_stays_to_the_credit(ledger: Ledger) -> None:
    agreed(ledger)
    books.pay(ledger, "J-1", "deposit", "500", "cash", "R-1", "Any counter")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    books.pay(ledger, "J-1", "payment", "400", "card", "", "Any counter")
    books.pay(ledger, "J-1", "payment", "600", "transfer", "", "Any counter")
    now = stands(ledger)
    assert (now["cash"], now["card terminal"], now["bank"]) == ("500.00", "400.00", "600.00")
    assert now[CREDITS] == "-61.68"
    assert CUSTOMERS not in now
    with pytest.raises(BadInput, match=r"at most 61\.68"):
        books.move(ledger, "J-1", "refund", "61.69", "cash", "", "", "Wren")
    books.move(ledger, "J-1", "refund", "61.68", "cash", "", "", "Wren")
    assert CREDITS not in stands(ledger)
    with pytest.raises(BadInput, match="pays in another way"):
        books.pay(ledger, "J-1", "deposit-back", "1", "cash", "", "Any counter")


def test_a_line_is_credited_with_its_tax_and_has_a_number_of_its_own(ledger: Ledger) -> None:
    agreed(ledger)
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    books.pay(ledger, "J-1", "payment", "1400", "transfer", "", "Wren")
    with pytest.raises(BadInput, match="says why"):
        write_credit(ledger, "J-1", {1: "419"}, " ", "Wren")
    with pytest.raises(BadInput, match="line 2: cannot read"):
        write_credit(ledger, "J-1", {1: "much"}, "why", "Wren")
    row = write_credit(ledger, "J-1", {1: "419"}, "The camshaft went back.", "Wren")
    assert (row.kind, row.number, row.total) == (CREDIT, 1, Decimal("449.38"))
    assert row.document["lines"][0]["what"] == "a cam"
    assert row.document["settled"][0]["amount"] == "−38.32"
    assert row.document["figure"] == {"what": "to your credit", "amount": "411.06"}
    assert stands(ledger)[CREDITS] == "-411.06"
    assert stands(ledger)["tax owed"] == "-2.17"
    assert ledger.job("J-1").kept.state == "invoiced"
    assert ledger.history("J-1")[0].why == "The camshaft went back."


def test_what_a_supplier_is_paid_stands_in_its_posting_and_not_in_the_trail_that_everybody_reads(
    ledger: Ledger,
) -> None:
    agreed(ledger)
    supplier = next(iter(ledger.shop.catalogue.suppliers))
    for kind in ("bill", "bill-paid"):
        books.move(ledger, "J-1", kind, "77.31", "transfer", supplier, "R-9 over 77.31", "Wren")
    kept = [each for each in books.postings(ledger, "J-1") if each.supplier]
    assert [(each.kind, each.said) for each in kept] == [
        (kind, "R-9 over 77.31") for kind in ("bill", "bill-paid")
    ]
    told = ledger.history("J-1")[: len(kept)]
    assert [(each.what, each.why) for each in reversed(told)] == [
        (f"wrote down {KINDS[each.kind].title}: {supplier}", "") for each in kept
    ]


def test_a_form_that_is_sent_four_times_at_once_moves_money_once(ledger: Ledger) -> None:
    agreed(ledger)
    for amount in ("10", "20"):
        seen = books.last(ledger, "J-1")

        def attempt(who: str, amount: str = amount, seen: int = seen) -> str:
            made = books.pay(ledger, "J-1", "deposit", amount, "cash", "", who, seen)
            return f"kept after {made.id - 1}"

        said = said_to_four(attempt, ", by ")
        refused = "Money of job J-1 moved meanwhile, or this was sent twice: "
        assert said == [f"{refused}wrote down deposit from the customer: {amount}.00"] * 3 + [
            f"kept after {seen}"
        ]
    assert stands(ledger)["cash"] == "30.00"
    agreed(ledger, "J-2")
    books.pay(ledger, "J-2", "deposit", "5", "cash", "", "Wren", seen=0)
    with pytest.raises(NotKept, match="moved meanwhile"):
        books.move(ledger, "J-1", "deposit-back", "5", "cash", "", "", "Wren", seen=1)


def test_a_credit_note_that_is_sent_four_times_at_once_is_written_once(ledger: Ledger) -> None:
    agreed(ledger)
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")

    def attempt(who: str) -> str:
        return f"credit note {write_credit(ledger, 'J-1', {1: '9'}, 'why', who, seen=1).number}"

    said = said_to_four(attempt, " over ")
    refused = "Job J-1 has another paper meanwhile, or this was sent twice: credit note 1"
    assert said == [refused] * 3 + ["credit note 1"]


def test_money_of_a_job_moves_in_the_currency_in_which_it_was_agreed(ledger: Ledger) -> None:
    agreed(ledger)
    ledger.shop = with_currency(ledger.shop, "EUR")
    books.pay(ledger, "J-1", "deposit", "$5", "cash", "", "Wren")
    with pytest.raises(BadInput, match="as money in USD"):
        books.pay(ledger, "J-1", "deposit", "EUR 5", "cash", "", "Wren")
    assert stands(ledger)["cash"] == "5.00"


def test_a_quote_in_another_currency_is_sent_again_before_it_is_accepted(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tests.services.till.keep_acceptance", lambda *_: None)
    agreed(ledger)
    ledger.shop = with_currency(ledger.shop, "EUR")
    signed = agreements.Signed("A. Pellow", agreements.IN_PERSON, {}, read=True)
    with pytest.raises(Refusal, match="quote 1 of job J-1 is in USD, and the shop reckons in EUR"):
        agreements.accept_quote(ledger, "J-1", 1, signed, "Wren")
    assert agreements.acceptances(ledger, "J-1") == []


def test_a_supplier_is_paid_and_sent_back_no_more_than_he_invoiced(ledger: Ledger) -> None:
    agreed(ledger)
    one, other = list(ledger.shop.catalogue.suppliers)[:2]

    def move(kind: str, amount: str, supplier: str) -> None:
        books.move(ledger, "J-1", kind, amount, "transfer", supplier, "", "Wren")

    move("bill", "100", one)
    move("bill-core", "45", one)
    for kind, account in (("bill-paid", "suppliers"), ("returned", "purchases")):
        with pytest.raises(BadInput, match=rf"more than stands on '{account}'.*at most 0\.00"):
            move(kind, "0.01", other)
    move("bill", "30", other)
    with pytest.raises(BadInput, match=r"more than stands on 'suppliers'.*at most 30\.00"):
        move("bill-paid", "30.01", other)
    move("bill-paid", "30", other)
    move("bill-paid", "145", one)
    move("returned", "30", other)
    move("bill", "7", one)
    move("bill-paid", "7", one)  # what the other one owes us pays nothing of it
    move("returned", "7", one)
    move("supplier-credit", "7", one)
    with pytest.raises(BadInput, match=r"at most 0\.00"):
        move("supplier-credit", "0.01", one)
    move("supplier-credit", "30", other)
    assert stands(ledger) == {"bank": "-145.00", "purchases": "100.00", "core deposits at suppliers": "45.00"}
    books.pay(ledger, "J-1", "core-taken", "20", "cash", "", "Wren")
    books.move(ledger, "J-1", "core-kept", "20", "", "", "", "Wren")
    with pytest.raises(BadInput, match=r"at most 25\.00"):
        move("core-sent", "25.01", one)
    move("core-sent", "25", one)


@pytest.mark.parametrize("amount", ["100000000.00", "92233720368547758.07", "9" * 40])
def test_a_number_that_is_no_amount_is_not_kept(ledger: Ledger, amount: str) -> None:
    agreed(ledger)
    with pytest.raises(BadInput, match=r"the amount is not sound.*more than 0, up to 99999999\.99"):
        books.pay(ledger, "J-1", "deposit", amount, "cash", "", "Wren")
    for _ in range(3):
        books.pay(ledger, "J-1", "deposit", "99,999,999.99", "cash", "", "Wren")
    assert stands(ledger)["cash"] == "299999999.97"


def test_what_comes_after_a_deposit_that_paid_the_invoice_whole_stands_to_the_credit(ledger: Ledger) -> None:
    agreed(ledger)
    books.pay(ledger, "J-1", "deposit", str(TOTAL), "cash", "", "Wren")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    books.pay(ledger, "J-1", "payment", "10", "cash", "", "Wren")
    assert stands(ledger)[CREDITS] == "-10.00"
    books.move(ledger, "J-1", "refund", "10", "cash", "", "", "Wren")
    assert stands(ledger)["cash"] == str(TOTAL)


def test_an_invoice_that_comes_to_nothing_is_written_once(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    free = price(Kit("J-1", ()), read_policy(ledger.shop.knowledge.book.money))
    monkeypatch.setattr("tests.services.till._kit", lambda _: free)
    agreed(ledger)
    assert write_invoice(ledger, "J-1", DUE, DAY, "Wren").total == 0
    with pytest.raises(NotKept, match="Job J-1 has invoice 1 already"):
        write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    with pytest.raises(BadInput, match="credits something"):
        write_credit(ledger, "J-1", None, "why", "Wren")
    assert stands(ledger) == {}


def test_after_all_of_it_is_credited_the_job_is_invoiced_anew(ledger: Ledger) -> None:
    agreed(ledger)
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    books.pay(ledger, "J-1", "payment", "1000", "cash", "", "Wren")
    write_credit(ledger, "J-1", {1: "19"}, "dearer than said", "Wren")
    assert write_credit(ledger, "J-1", None, "another name on it", "Wren").number == 2
    assert stands(ledger) == {"cash": "1000.00", CREDITS: "-1000.00"}
    assert ledger.job("J-1").kept.state == "accepted"
    with pytest.raises(NotKept, match="no invoice of which something could be credited"):
        write_credit(ledger, "J-1", None, "again", "Wren")
    second = write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    assert second.number == 2
    assert second.document["settled"] == [{"what": "what stood to your credit", "amount": "−1,000.00"}]
    assert stands(ledger)[CUSTOMERS] == str(TOTAL - 1000)


class Till(RuleBasedStateMachine):
    """Any acts with the money of two jobs in any order; ``ledger`` is set by the test."""

    ledger: Ledger

    def __init__(self) -> None:
        super().__init__()
        place = next(_numbers)
        self.jobs = [agreed(self.ledger, f"K-{place}-{each}") for each in "ab"]

    @rule(
        job=st.integers(0, 1),
        kind=st.sampled_from(sorted(KINDS)),
        cents=st.integers(1, 300_000),
        means=st.sampled_from(sorted(MEANS)),
    )
    def move(self, job: int, kind: str, cents: int, means: str) -> None:
        before = books.balances(self.ledger, self.jobs[job])
        supplier = next(iter(self.ledger.shop.catalogue.suppliers))
        try:
            books.move(self.ledger, self.jobs[job], kind, f"{cents / 100:.2f}", means, supplier, "", "Wren")
        except BadInput:
            assert books.balances(self.ledger, self.jobs[job]) == before

    @rule(job=st.integers(0, 1), place=st.integers(0, 9))
    def take_back(self, job: int, place: int) -> None:
        number = self.jobs[job]
        acts = [
            (each, take_back)
            for found, take_back in (
                (payments.payments, payments.take_back),
                (payments.refunds, payments.take_refund_back),
                (payments.with_suppliers, payments.take_supplier_back),
            )
            for each in found(self.ledger, number)
        ]
        if not acts:
            return
        taken, take_back = acts[place % len(acts)]
        lines = {each.id: each.lines for each in books.postings(self.ledger, number)}[taken.number]
        before = books.balances(self.ledger, number)
        try:
            take_back(self.ledger, number, taken.number, "typed wrongly", "Wren")
            assert taken.back is None
            for line in lines:
                before[line.account] -= line.amount
        except NotKept:
            assert taken.back is not None
        except Refusal:
            assert taken.back is None
        assert books.balances(self.ledger, number) == before

    @rule(job=st.integers(0, 1))
    def invoice(self, job: int) -> None:
        had = in_force(invoices.papers(self.ledger, self.jobs[job]))
        try:
            write_invoice(self.ledger, self.jobs[job], DUE, DAY, "Wren")
            assert had is None
        except NotKept:
            assert had is not None

    @rule(
        job=st.integers(0, 1), amounts=st.dictionaries(st.integers(0, 4), st.integers(1, 50_000), max_size=3)
    )
    def credit(self, job: int, amounts: dict[int, int]) -> None:
        had = in_force(invoices.papers(self.ledger, self.jobs[job]))
        asked = {place: f"{cents / 100:.2f}" for place, cents in amounts.items()} or None
        try:
            write_credit(self.ledger, self.jobs[job], asked, "because", "Wren")
            assert had is not None
        except BadInput:
            assert had is not None
        except NotKept:
            assert had is None

    @invariant()
    def the_books_balance(self) -> None:
        for number in self.jobs:
            now = books.balances(self.ledger, number)
            assert sum(now.values(), NOTHING) == 0
            assert now.get(CUSTOMERS, NOTHING) >= 0, "nobody owes less than nothing"
            for account in (DEPOSITS, CORES_HELD, CREDITS):
                assert now.get(account, NOTHING) <= 0, account
            standing = in_force(invoices.papers(self.ledger, number))
            left = NOTHING if standing is None else standing.left.total
            assert now.get(CUSTOMERS, NOTHING) <= left, "no more is open than is invoiced"
            moved = defaultdict(Decimal)
            for each in payments.with_suppliers(self.ledger, number):
                moved[each.what] += NOTHING if each.back else each.amount
            bill, core, paid, returned, sent, credit = (moved[books.title(kind)] for kind in WITH_SUPPLIERS)
            assert paid <= bill + core, "no supplier is paid more than he invoiced"
            assert returned <= bill, "no more goes back than was bought"
            assert sent <= core, "no more old parts are sent than were left for"
            assert credit <= returned + sent, "no more money comes back than parts went"
            earned = sum(
                (amount for name, amount in now.items() if name.startswith(("sales", "tax"))), NOTHING
            )
            assert earned == -left, "what was earned, with its tax, is what is invoiced"

    @invariant()
    def numbers_have_no_gaps(self) -> None:
        with self.ledger.database.reading() as session:
            for kind in (INVOICE, CREDIT):
                wanted = select(InvoiceRow.number).where(InvoiceRow.kind == kind).order_by(InvoiceRow.number)
                numbers = list(session.scalars(wanted))
                assert numbers == list(range(1, len(numbers) + 1))


def test_whatever_is_done_in_whatever_order_the_books_balance(ledger: Ledger) -> None:
    machine = type("TillHere", (Till,), {"ledger": ledger})
    run_state_machine_as_test(
        machine,
        settings=settings(max_examples=TIMES, stateful_step_count=20, deadline=None, derandomize=True),
    )
