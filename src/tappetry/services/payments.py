"""What moved on a job with its customer and with suppliers; what was typed wrongly is taken back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sqlalchemy.orm import Session

from tappetry.pricing.books import (
    GIVEN,
    NOTHING,
    PAID_IN,
    WITH_SUPPLIERS,
    Leg,
    back_legs,
    supplier_back_legs,
)
from tappetry.records.problems import BadInput, Where
from tappetry.services import books, invoices
from tappetry.services.ledger import Ledger
from tappetry.store import books as kept_books
from tappetry.store.books import Moved
from tappetry.store.books_models import Posting
from tappetry.store.invoices import papers_of
from tappetry.store.jobs import Act

#: How long a reason may be.
LONGEST = 300


@dataclass(frozen=True, slots=True)
class TakenBack:
    """That something was taken back: when, by whom and why."""

    day: date
    who: str
    why: str


@dataclass(frozen=True, slots=True)
class Payment:
    """What a customer paid, what went back to him or was kept, or what moved with a supplier.

    ``number`` is that of its posting; ``way`` is how the money came or went, empty where it stayed.
    ``supplier`` is empty where none takes part.
    """

    number: int
    day: date
    what: str
    way: str
    supplier: str
    amount: Decimal
    said: str
    who: str
    back: TakenBack | None


def payments(ledger: Ledger, number: str) -> tuple[Payment, ...]:
    """What was paid on a job, the first payment first.

    Raises
    ------
    NotKept
        There is no such job.
    """
    return _moved(ledger, number, PAID_IN)


def refunds(ledger: Ledger, number: str) -> tuple[Payment, ...]:
    """What went back to the customer of a job, or was kept of a core deposit; errors as of `payments`."""
    return _moved(ledger, number, GIVEN)


def with_suppliers(ledger: Ledger, number: str) -> tuple[Payment, ...]:
    """What moved on a job between the shop and its suppliers; errors as of `payments`."""
    return _moved(ledger, number, WITH_SUPPLIERS)


def _moved(ledger: Ledger, number: str, kinds: Iterable[str]) -> tuple[Payment, ...]:
    found = [each for each in books.postings(ledger, number) if each.kind in kinds]
    backs = {each.of_id: TakenBack(each.day, each.entry.who, each.said) for each in found}
    return tuple(
        Payment(
            number=each.id,
            day=each.day,
            what=books.title(each.kind),
            way=books.way_of(each),
            supplier=each.supplier,
            amount=_amount(each),
            said=each.said,
            who=each.entry.who,
            back=backs.get(each.id),
        )
        for each in found
        if each.of_id is None
    )


def take_back(ledger: Ledger, number: str, payment: int, why: str, who: str) -> Posting:
    """Take a payment back, once: its exact reverse is posted today, and nothing is overwritten.

    Parameters
    ----------
    payment : int
        The number of its posting.
    why : str
        The reason, which stands on the statement.

    Raises
    ------
    BadInput
        It does not say why, or in too many words.
    NotKept
        The job has no such payment, or it was taken back already.
    Refusal
        What it brought is not there any more, or no longer invoiced.
    """
    return _take_back_of_customer(ledger, number, payment, PAID_IN, "payment", why, who)


def take_refund_back(ledger: Ledger, number: str, refund: int, why: str, who: str) -> Posting:
    """Take money that went back, or a core deposit that was kept, back; as :func:`take_back` does.

    Raises
    ------
    BadInput, NotKept
        As of :func:`take_back`.
    Refusal
        An invoice is open, on which the money belongs.
    """
    return _take_back_of_customer(ledger, number, refund, GIVEN, "refund", why, who)


def take_supplier_back(ledger: Ledger, number: str, posting: int, why: str, who: str) -> Posting:
    """Take back what moved between the shop and a supplier, as :func:`take_back` does.

    The reason stands in the posting alone, as its sum does: everybody reads the trail.

    Raises
    ------
    BadInput, NotKept
        As of :func:`take_back`.
    Refusal
        What moved with the supplier since rests on it.
    """
    why = _reason(why, "supplier's posting")
    with ledger.database.writing() as session:
        taken = kept_books.to_take_back(session, number, posting, WITH_SUPPLIERS, "supplier's posting")
        kept = kept_books.postings_of(session, number)
        gone = {each.of_id for each in kept}
        moved: defaultdict[str, Decimal] = defaultdict(lambda: NOTHING)
        for each in kept:
            if each.supplier == taken.supplier and each.of_id is None and each.id not in gone:
                moved[each.kind] += _amount(each)
        legs = supplier_back_legs(taken.kind, _legs(taken), moved)
        act = ledger.act(who, f"took back {books.title(taken.kind)}: {taken.supplier}")
        made = Moved(taken.kind, ledger.today, why, taken.supplier, of=taken.id)
        return _keep(session, number, made, legs, act)


def _take_back_of_customer(
    ledger: Ledger, number: str, posting: int, kinds: Iterable[str], called: str, why: str, who: str
) -> Posting:
    why = _reason(why, called)
    with ledger.database.writing() as session:
        taken = kept_books.to_take_back(session, number, posting, kinds, called)
        standing = invoices.in_force(papers_of(session, number))
        invoiced = NOTHING if standing is None else standing.left.total
        what = f"{books.title(taken.kind)}: {_amount(taken)}"
        legs = back_legs(what, _legs(taken), kept_books.balances(session, number), invoiced)
        made = Moved(taken.kind, ledger.today, why, "", of=taken.id)
        return _keep(session, number, made, legs, ledger.act(who, f"took back {what}", why))


def _reason(why: str, called: str) -> str:
    why = why.strip()
    if not 0 < len(why) <= LONGEST:
        raise BadInput.at(
            Where(field="why"),
            f"who takes a {called} back says why",
            why or "nothing",
            f"a reason, in one sentence of up to {LONGEST} signs",
        )
    return why


def _keep(session: Session, number: str, made: Moved, legs: Iterable[Leg], act: Act) -> Posting:
    lines = [(leg.account, leg.amount) for leg in legs]
    return kept_books.keep_posting(session, number, made, lambda *_: lines, act)


def _legs(posting: Posting) -> list[Leg]:
    return [Leg(line.account, line.amount) for line in posting.lines]


def _amount(posting: Posting) -> Decimal:
    """How much moved."""
    return sum((line.amount for line in posting.lines if line.amount > 0), NOTHING)
