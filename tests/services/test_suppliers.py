"""What moved with a supplier is taken back: by its exact reverse, and never below what rests on it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from functools import partial

import pytest

from tappetry.records.problems import BadInput, Refusal
from tappetry.services import books
from tappetry.services.journal import entries
from tappetry.services.ledger import Ledger
from tappetry.services.payments import (
    payments,
    take_back,
    take_refund_back,
    take_supplier_back,
    with_suppliers,
)
from tappetry.store.database import Database
from tappetry.store.problems import NotKept
from tests.services.test_invoices import stands
from tests.services.till import NOON, agreed, done_at_once, till

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(database: Database) -> Ledger:
    """A till with one job that was agreed on."""
    made = till(database)
    agreed(made)
    return made


def moved(ledger: Ledger, kind: str, amount: str, place: int = 0) -> int:
    """The number of an act with one of the suppliers."""
    supplier = list(ledger.shop.catalogue.suppliers)[place]
    return books.move(ledger, "J-1", kind, amount, "transfer", supplier, "R-9", "Wren").id


@pytest.mark.parametrize(
    ("before", "kind", "way"),
    [
        ((), "bill", ""),
        ((), "bill-core", ""),
        (("bill",), "bill-paid", "transfer"),
        (("bill",), "returned", ""),
        (("bill-core",), "core-sent", ""),
        (("bill", "bill-paid", "returned"), "supplier-credit", "transfer"),
    ],
)
def test_it_is_taken_back_by_its_reverse_and_the_trail_names_no_sum(
    ledger: Ledger, before: tuple[str, ...], kind: str, way: str
) -> None:
    for each in before:
        moved(ledger, each, "77.31")
    stood = stands(ledger)
    number = moved(ledger, kind, "77.31")
    assert stands(ledger) != stood
    ledger.now = lambda: NOON + timedelta(days=3)
    back = take_supplier_back(ledger, "J-1", number, " 77.13 on the paper ", "Rook")
    assert stands(ledger) == stood
    supplier = next(iter(ledger.shop.catalogue.suppliers))
    assert (back.of_id, back.kind, back.supplier, str(back.day)) == (number, kind, supplier, "2026-03-05")
    told = with_suppliers(ledger, "J-1")[-1]
    assert (told.number, told.amount, told.way, told.said) == (number, Decimal("77.31"), way, "R-9")
    assert told.back is not None
    assert (str(told.back.day), told.back.who, told.back.why) == ("2026-03-05", "Rook", "77.13 on the paper")
    act = ledger.history("J-1")[0]
    assert (act.who, act.what, act.why) == ("Rook", f"took back {books.title(kind)}: {supplier}", "")
    booked = [each for each in entries(ledger) if each.posting == back.id]
    assert {each.takes_back for each in booked} == {number}
    assert sum(each.debit - each.credit for each in booked) == 0
    with pytest.raises(NotKept) as again:
        take_supplier_back(ledger, "J-1", number, "again", "Wren")
    assert str(again.value) == (
        f"Supplier's posting {number} of job J-1 was taken back already, on 5 March 2026 by Rook: "
        "77.13 on the paper"
    )


@pytest.mark.parametrize(
    ("below", "above", "title"),
    [
        ("bill", "bill-paid", "supplier paid"),
        ("bill", "returned", "parts sent back to a supplier"),
        ("bill-core", "bill-paid", "supplier paid"),
        ("bill-core", "core-sent", "old part sent to a supplier"),
    ],
)
def test_what_something_rests_on_stays_and_both_ways_out_work(
    ledger: Ledger, below: str, above: str, title: str
) -> None:
    moved(ledger, below, "5", place=1)
    number = moved(ledger, below, "100")
    rests = moved(ledger, above, "60")
    stood = stands(ledger)
    with pytest.raises(Refusal) as told:
        take_supplier_back(ledger, "J-1", number, "typed twice", "Wren")
    assert stands(ledger) == stood
    assert told.value.message == (
        f"The {books.title(below)}: 100.00 cannot be taken back: 60.00 of '{title}' rests on it."
    )
    assert f"'{title}' comes to 60.00 with this supplier, and 0.00 of '" in told.value.grounds[0].text
    assert told.value.ways_out == [
        "write the right one down first, then take this one back",
        f"was '{title}' typed wrongly as well, take it back first",
    ]
    take_supplier_back(ledger, "J-1", rests, "typed twice", "Wren")
    take_supplier_back(ledger, "J-1", number, "typed twice", "Wren")
    second = moved(ledger, below, "100")
    moved(ledger, above, "60")
    moved(ledger, below, "61")
    take_supplier_back(ledger, "J-1", second, "it was 61", "Wren")
    assert stands(ledger).get("suppliers", "0.00") == "-6.00"


def test_parts_that_went_back_stay_where_their_money_came(ledger: Ledger) -> None:
    for kind in ("bill", "bill-paid"):
        moved(ledger, kind, "100")
    number = moved(ledger, "returned", "30")
    moved(ledger, "supplier-credit", "30")
    with pytest.raises(Refusal, match=r"30\.00 of 'money back from a supplier' rests on it"):
        take_supplier_back(ledger, "J-1", number, "it stayed here", "Wren")
    moved(ledger, "bill", "20")
    take_supplier_back(ledger, "J-1", with_suppliers(ledger, "J-1")[-1].number, "of another job", "Wren")
    assert stands(ledger) == {"bank": "-70.00", "purchases": "70.00"}


def test_it_is_no_payment_of_a_customer_and_says_why(ledger: Ledger) -> None:
    number = moved(ledger, "bill", "70")
    deposit = books.pay(ledger, "J-1", "deposit", "45", "cash", "", "Wren").id
    for take in (take_back, take_refund_back):
        with pytest.raises(NotKept, match=f"Job J-1 has no (payment|refund) {number}"):
            take(ledger, "J-1", number, "wrong", "Wren")
    with pytest.raises(NotKept, match=f"Job J-1 has no supplier's posting {deposit}"):
        take_supplier_back(ledger, "J-1", deposit, "wrong", "Wren")
    with pytest.raises(BadInput, match="who takes a supplier's posting back says why"):
        take_supplier_back(ledger, "J-1", number, " ", "Wren")
    assert [each.number for each in with_suppliers(ledger, "J-1")] == [number]
    assert [each.number for each in payments(ledger, "J-1")] == [deposit]
    assert stands(ledger)["purchases"] == "70.00"


def test_an_invoice_is_taken_back_or_paid_and_never_both(ledger: Ledger) -> None:
    for _ in range(3):
        number = moved(ledger, "bill", "45")
        done = done_at_once(
            partial(take_supplier_back, ledger, "J-1", number, "typed twice", "Wren"),
            partial(moved, ledger, "bill-paid", "45"),
        )
        assert done == [False, True]
        assert "suppliers" not in stands(ledger)
