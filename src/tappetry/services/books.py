"""The acts with the money of a job: deposits, core deposits, suppliers' invoices and returns to them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from tappetry.pricing.books import (
    CORES_HELD,
    CREDITS,
    CUSTOMERS,
    DEPOSITS,
    KINDS,
    MEANS,
    PAID_IN,
    act_legs,
    with_supplier,
)
from tappetry.quantities.money import Money, MoneyError
from tappetry.records.problems import BadInput, Where
from tappetry.services import agreements
from tappetry.services.ledger import Ledger
from tappetry.store import books
from tappetry.store.books import Moved
from tappetry.store.books_models import Posting
from tappetry.store.invoices import TITLES

__all__ = ["CORES_HELD", "CREDITS", "CUSTOMERS", "DEPOSITS", "KINDS", "MEANS", "PAID_IN", "Posting"]


def move(
    ledger: Ledger,
    number: str,
    kind: str,
    amount: str,
    means: str,
    supplier: str,
    said: str,
    who: str,
    seen: int | None = None,
) -> Posting:
    """Write down an act with the money of a job; ``amount`` is money text such as ``1,234.50``.

    What moves between the shop and a supplier stands in its posting alone, sum and note: everybody reads
    the trail, and not everybody may see what the shop pays.

    ``seen`` is what :func:`last` said when the form was made; None asks nothing.

    Raises
    ------
    BadInput
        The amount cannot be read, or is more than stands there; there is no such kind, means or supplier.
    NotKept
        No quote of the job is accepted yet, or other money moved since the form was made.
    """
    agreed = agreements.in_force(ledger, number)
    try:
        money = Money.parse(amount, agreed.kit.currency).amount
    except MoneyError as error:
        raise BadInput.at(Where(field="amount"), str(error), amount) from None
    of_supplier = kind in KINDS and KINDS[kind].supplier
    known = ledger.shop.catalogue.suppliers
    if of_supplier and supplier not in known:
        raise BadInput.at(Where(field="supplier"), "there is no such supplier", supplier, ", ".join(known))
    if of_supplier:
        act = ledger.act(who, f"wrote down {title(kind)}: {supplier}")
    else:
        act = ledger.act(who, f"wrote down {title(kind)}: {money}", said)
    moved = Moved(kind, ledger.today, said, supplier if of_supplier else "")

    def legs(stands: Mapping[str, Decimal], alone: Mapping[str, Decimal]) -> list[tuple[str, Decimal]]:
        holds = with_supplier(stands, alone) if of_supplier else stands
        return [(leg.account, leg.amount) for leg in act_legs(kind, money, means, holds)]

    with ledger.database.writing() as session:
        return books.keep_posting(session, number, moved, legs, act, seen)


def title(kind: str) -> str:
    """What a kind of posting is, in words."""
    return KINDS[kind].title if kind in KINDS else TITLES.get(kind, kind)


def what(posting: Posting) -> str:
    """What a posting is, in words, and whether it takes another one back."""
    return f"{'' if posting.of_id is None else 'taken back: '}{title(posting.kind)}"


def paper(posting: Posting) -> str:
    """The paper of a posting: an invoice or credit note by its number, else the note that was made."""
    return f"{TITLES[posting.kind]} {posting.said}" if posting.kind in TITLES else posting.said


def way_of(posting: Posting) -> str:
    """In which way money came or went by a posting; empty where none moved."""
    ways = {account: way for way, account in MEANS.items()}
    return next((ways[line.account] for line in posting.lines if line.account in ways), "")


def pay(
    ledger: Ledger,
    number: str,
    kind: str,
    amount: str,
    means: str,
    said: str,
    who: str,
    seen: int | None = None,
) -> Posting:
    """Write down that a customer paid; what is more than he owes stays to his credit.

    Raises
    ------
    BadInput
        It is none of ``PAID_IN``, or as of :func:`move`.
    NotKept
        No quote of the job is accepted yet.
    """
    if kind not in PAID_IN:
        raise BadInput.at(Where(field="kind"), "a customer pays in another way", kind, ", ".join(PAID_IN))
    return move(ledger, number, kind, amount, means, "", said, who, seen)


def last(ledger: Ledger, number: str) -> int:
    """The number of the last posting of a job, 0 where there is none; a form carries it."""
    return ledger.read(lambda session: books.last_of(session, number))


def balances(ledger: Ledger, number: str) -> dict[str, Decimal]:
    """What stands on the accounts of a job."""
    return ledger.read(lambda session: books.balances(session, number))


def postings(ledger: Ledger, number: str) -> list[Posting]:
    """The postings of a job, the first one first."""
    return ledger.read(lambda session: books.postings_of(session, number))
