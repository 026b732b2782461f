"""Payments that are taken back: by their exact reverse, once, and only while what they brought is there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from functools import partial

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from tappetry.records.problems import BadInput, Refusal
from tappetry.services import books
from tappetry.services.invoices import write_credit, write_invoice
from tappetry.services.journal import entries
from tappetry.services.ledger import Ledger
from tappetry.services.payments import LONGEST, payments, refunds, take_back, take_refund_back
from tappetry.services.statements import open_bills, statement
from tappetry.store.books_models import Posting
from tappetry.store.database import Database
from tappetry.store.dump import lines, load
from tappetry.store.problems import NotKept
from tests.databases import Databases
from tests.services.test_invoices import stands
from tests.services.till import DAY, DUE, NOON, TOTAL, agreed, done_at_once, said_to_four, till

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(database: Database) -> Ledger:
    """A till with one job that was agreed on."""
    made = till(database)
    agreed(made)
    return made


def paid(ledger: Ledger, kind: str, amount: str, means: str = "cash") -> int:
    """The number of a payment."""
    return books.pay(ledger, "J-1", kind, amount, means, "R-1", "Wren").id


def moved(ledger: Ledger) -> list[tuple[int, dict[str, str]]]:
    """What each posting of the job moved, with its number."""
    return [
        (each.id, {line.account: str(line.amount) for line in each.lines})
        for each in books.postings(ledger, "J-1")
    ]


def test_a_payment_is_taken_back_by_its_reverse_on_that_day_and_told_everywhere(ledger: Ledger) -> None:
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    before = stands(ledger)
    number = paid(ledger, "payment", "1500", "card")
    ledger.now = lambda: NOON + timedelta(days=3)
    back = take_back(ledger, "J-1", number, " typed twice ", "Rook")
    assert stands(ledger) == before
    assert (back.of_id, str(back.day), back.kind) == (number, "2026-03-05", "payment")
    whole = moved(ledger)[-2:]
    assert whole == [
        (number, {"card terminal": "1500.00", "customers": "-1438.32", "credits of customers": "-61.68"}),
        (back.id, {"card terminal": "-1500.00", "customers": "1438.32", "credits of customers": "61.68"}),
    ]
    (told,) = payments(ledger, "J-1")
    assert told.back is not None
    assert (told.number, told.amount, told.way, told.said) == (number, Decimal(1500), "card", "R-1")
    assert (str(told.back.day), told.back.who, told.back.why) == ("2026-03-05", "Rook", "typed twice")
    last = statement(ledger, "J-1").rows[-1]
    assert (last.what, last.said) == ("taken back: payment from the customer, card", "typed twice")
    assert (last.change, last.balance) == (Decimal(1500), TOTAL)
    assert open_bills(ledger).total == TOTAL
    act = ledger.history("J-1")[0]
    assert (act.who, act.what) == ("Rook", "took back payment from the customer: 1500.00")
    assert act.why == "typed twice"
    booked = [each for each in entries(ledger) if each.posting == back.id]
    assert {(each.what, each.paper, each.takes_back, str(each.day)) for each in booked} == {
        ("taken back: payment from the customer", "typed twice", number, "2026-03-05")
    }
    assert sum(each.debit - each.credit for each in booked) == 0


@pytest.mark.parametrize(("kind", "account"), [("deposit", "deposits"), ("core-taken", "core deposits")])
def test_deposits_are_taken_back_likewise(ledger: Ledger, kind: str, account: str) -> None:
    number = paid(ledger, kind, "45")
    assert stands(ledger) == {"cash": "45.00", f"{account} of customers": "-45.00"}
    take_back(ledger, "J-1", number, "not his", "Wren")
    assert stands(ledger) == {}
    with pytest.raises(NotKept) as told:
        take_back(ledger, "J-1", number, "again", "Rook")
    assert str(told.value) == (
        f"Payment {number} of job J-1 was taken back already, on 2 March 2026 by Wren: not his"
    )


@pytest.mark.parametrize("why", ["", "  ", "x" * (LONGEST + 1)], ids=["none", "blank", "long"])
def test_it_says_why(ledger: Ledger, why: str) -> None:
    number = paid(ledger, "deposit", "45")
    with pytest.raises(BadInput, match="who takes a payment back says why"):
        take_back(ledger, "J-1", number, why, "Wren")
    assert stands(ledger)["cash"] == "45.00"


def test_only_a_payment_of_this_job_is_taken_back(ledger: Ledger) -> None:
    agreed(ledger, "J-2")
    supplier = next(iter(ledger.shop.catalogue.suppliers))
    bill = books.move(ledger, "J-1", "bill", "700", "", supplier, "B-9", "Wren").id
    number = paid(ledger, "deposit", "45")
    back = take_back(ledger, "J-1", paid(ledger, "deposit", "9"), "typed twice", "Wren").id
    for job, posting in (("J-2", number), ("J-1", bill), ("J-1", back), ("J-1", 999_999)):
        with pytest.raises(NotKept, match=f"Job {job} has no payment {posting}"):
            take_back(ledger, job, posting, "wrong", "Wren")
    assert len(books.postings(ledger, "J-1")) == 4


@pytest.mark.parametrize(("taken", "given"), [("deposit", "deposit-back"), ("core-taken", "core-kept")])
def test_what_was_given_back_or_kept_is_not_taken_back_as_well(
    ledger: Ledger, taken: str, given: str
) -> None:
    number = paid(ledger, taken, "45")
    books.move(ledger, "J-1", given, "20", "cash", "", "", "Wren")
    before = stands(ledger)
    with pytest.raises(Refusal, match=r"45\.00 cannot be taken back: 20\.00 of it was given back, kept or"):
        take_back(ledger, "J-1", number, "typed twice", "Wren")
    assert stands(ledger) == before


def test_a_deposit_that_an_invoice_set_off_stays_and_the_way_out_works(ledger: Ledger) -> None:
    number = paid(ledger, "deposit", "500")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    with pytest.raises(Refusal, match=r"500\.00 of it was given back, kept or set off") as told:
        take_back(ledger, "J-1", number, "typed twice", "Wren")
    assert told.value.ways_out[1].startswith("where an invoice set it off: credit the invoice")
    write_credit(ledger, "J-1", None, "the deposit never came", "Wren")
    books.move(ledger, "J-1", "refund", "500", "cash", "", "", "Wren")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    assert stands(ledger)["customers"] == str(TOTAL)
    assert "cash" not in stands(ledger)


def test_no_more_is_open_than_is_invoiced_and_not_credited(ledger: Ledger) -> None:
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    number = paid(ledger, "payment", "1400")
    small = paid(ledger, "payment", "8.32")
    write_credit(ledger, "J-1", {1: "419"}, "it went back", "Wren")
    with pytest.raises(
        Refusal, match=r"would owe 1400\.00, and 988\.94 is invoiced and not credited"
    ) as told:
        take_back(ledger, "J-1", number, "typed twice", "Wren")
    assert told.value.grounds[0].text == "a credit note put 419.38 to the customer's credit"
    take_back(ledger, "J-1", small, "typed twice", "Wren")
    assert stands(ledger)["customers"] == "8.32"


def given(ledger: Ledger, kind: str, amount: str, means: str = "cash") -> int:
    """The number of an act by which something went back to the customer, or was kept."""
    return books.move(ledger, "J-1", kind, amount, means, "", "P-1", "Wren").id


@pytest.mark.parametrize(
    ("came", "kind", "way"),
    [
        ("deposit", "deposit-back", "card"),
        ("core-taken", "core-back", "card"),
        ("core-taken", "core-kept", ""),
    ],
)
def test_what_went_back_or_was_kept_is_taken_back_by_its_reverse(
    ledger: Ledger, came: str, kind: str, way: str
) -> None:
    paid(ledger, came, "45")
    before = stands(ledger)
    number = given(ledger, kind, "20", "card")
    ledger.now = lambda: NOON + timedelta(days=3)
    back = take_refund_back(ledger, "J-1", number, " typed twice ", "Rook")
    assert stands(ledger) == before
    assert (back.of_id, back.kind, str(back.day)) == (number, kind, "2026-03-05")
    (told,) = refunds(ledger, "J-1")
    assert told.back is not None
    assert (told.number, told.amount, told.way, told.said) == (number, Decimal(20), way, "P-1")
    assert (told.back.who, told.back.why) == ("Rook", "typed twice")
    assert len(payments(ledger, "J-1")) == 1
    row = statement(ledger, "J-1").rows[-1]
    assert row.what.startswith(f"taken back: {books.title(kind)}")
    assert (row.said, row.change, row.balance) == ("typed twice", Decimal(-20), Decimal(-45))
    with pytest.raises(NotKept) as again:
        take_refund_back(ledger, "J-1", number, "again", "Wren")
    assert str(again.value) == (
        f"Refund {number} of job J-1 was taken back already, on 5 March 2026 by Rook: typed twice"
    )


def test_a_credit_that_was_paid_out_stands_to_the_customers_credit_again(ledger: Ledger) -> None:
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    paid(ledger, "payment", "1500")
    before = stands(ledger)
    number = given(ledger, "refund", "61.68")
    take_refund_back(ledger, "J-1", number, "it did not go out", "Wren")
    assert stands(ledger) == before
    assert given(ledger, "refund", "61.68") > number


def test_a_payment_is_no_refund_and_a_refund_no_payment(ledger: Ledger) -> None:
    number = paid(ledger, "deposit", "45")
    gone = given(ledger, "deposit-back", "5")
    with pytest.raises(NotKept, match=f"Job J-1 has no refund {number}"):
        take_refund_back(ledger, "J-1", number, "wrong", "Wren")
    with pytest.raises(NotKept, match=f"Job J-1 has no payment {gone}"):
        take_back(ledger, "J-1", gone, "wrong", "Wren")
    with pytest.raises(BadInput, match="who takes a refund back says why"):
        take_refund_back(ledger, "J-1", gone, " ", "Wren")
    back = take_refund_back(ledger, "J-1", gone, "wrong", "Wren").id
    with pytest.raises(NotKept, match=f"Job J-1 has no refund {back}"):
        take_refund_back(ledger, "J-1", back, "wrong", "Wren")


@pytest.mark.parametrize("kind", ["deposit-back", "refund"])
def test_beside_an_open_invoice_it_is_a_payment_and_the_way_out_works(ledger: Ledger, kind: str) -> None:
    if kind == "refund":
        write_invoice(ledger, "J-1", DUE, DAY, "Wren")
        paid(ledger, "payment", "500")
        write_credit(ledger, "J-1", None, "written too early", "Wren")
    else:
        paid(ledger, "deposit", "500")
    number = given(ledger, kind, "500", "card")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    before = stands(ledger)
    with pytest.raises(
        Refusal, match=r"500\.00 would stand to the customer's favour beside an invoice"
    ) as told:
        take_refund_back(ledger, "J-1", number, "it did not go out", "Wren")
    assert stands(ledger) == before
    assert told.value.grounds[0].text == f"{TOTAL} is open by an invoice that came since"
    assert told.value.ways_out == ["write down a payment of 500.00 in the same way: it goes on the invoice"]
    paid(ledger, "payment", "500", "card")
    assert stands(ledger)["customers"] == str(TOTAL - 500)
    assert "card terminal" not in stands(ledger)


@pytest.mark.parametrize(("called", "take"), [("payment", take_back), ("refund", take_refund_back)])
def test_of_four_at_once_one_takes_it_back(ledger: Ledger, called: str, take: Callable[..., Posting]) -> None:
    number = paid(ledger, "deposit", "45")
    if called == "refund":
        number = given(ledger, "deposit-back", "45")

    def attempt(who: str) -> str:
        return f"back of {take(ledger, 'J-1', number, 'typed twice', who).of_id}"

    said = said_to_four(attempt, ", on ")
    refused = f"{called.capitalize()} {number} of job J-1 was taken back already"
    assert said == [refused] * 3 + [f"back of {number}"]
    held = {} if called == "payment" else {"cash": "45.00", "deposits of customers": "-45.00"}
    assert stands(ledger) == held


def test_it_is_taken_back_or_given_back_and_never_both(ledger: Ledger) -> None:
    for _ in range(4):
        number = paid(ledger, "deposit", "45")
        done = done_at_once(
            partial(take_back, ledger, "J-1", number, "typed twice", "Wren"),
            partial(books.move, ledger, "J-1", "deposit-back", "45", "cash", "", "", "Rook"),
        )
        assert done == [False, True]
        assert stands(ledger) == {}


def test_the_database_itself_takes_none_back_twice(ledger: Ledger) -> None:
    number = paid(ledger, "deposit", "45")
    back = take_back(ledger, "J-1", number, "typed twice", "Wren")
    values = {"job_id": back.job_id, "kind": "deposit", "day": back.day, "said": "", "supplier": ""}
    with pytest.raises(IntegrityError), ledger.database.writing() as session:
        session.execute(insert(Posting).values(**values, of_id=number, entry_id=back.entry_id))


def test_a_copy_holds_what_was_taken_back(ledger: Ledger, all_databases: Databases) -> None:
    take_back(ledger, "J-1", paid(ledger, "deposit", "45"), "typed twice", "Wren")
    other = all_databases.new("postgresql" if ledger.database.is_sqlite else "sqlite")
    load(other, lines(ledger.database))
    assert payments(till(other), "J-1") == payments(ledger, "J-1")
    assert payments(ledger, "J-1")[0].back is not None
    other.close()
