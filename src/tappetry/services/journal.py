"""The journal of the books: each line of each posting as an accountant reads it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from tappetry.pricing.books import NOTHING
from tappetry.pricing.policy import read_policy
from tappetry.records.problems import BadInput, Where
from tappetry.services import books
from tappetry.services.ledger import Ledger
from tappetry.store.books import journal


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One line of a posting; one of ``debit`` and ``credit`` is 0, lines of one posting have one number.

    ``takes_back`` is the number of the posting that this one takes back.
    """

    posting: int
    day: date
    account: str
    debit: Decimal
    credit: Decimal
    currency: str
    what: str
    paper: str
    job: str
    supplier: str
    who: str
    takes_back: int | None


def entries(ledger: Ledger, since: str = "", until: str = "") -> list[JournalEntry]:
    """The lines of all postings from a day up to and with another one, the first day first.

    Parameters
    ----------
    since, until : str
        Days such as ``2026-03-01``; empty for no bound.

    Raises
    ------
    BadInput
        A day cannot be read, or the second one is before the first.
    """
    first, last = _day("since", since, date.min), _day("until", until, date.max)
    if last < first:
        raise BadInput.at(
            Where(field="until"), "the last day is before the first", until, f"{since} or later"
        )
    currency = read_policy(ledger.shop.knowledge.book.money).currency
    return [
        JournalEntry(
            posting=posting.id,
            day=posting.day,
            account=line.account,
            debit=max(line.amount, NOTHING),
            credit=max(-line.amount, NOTHING),
            currency=currency,
            what=books.what(posting),
            paper=books.paper(posting),
            job=job,
            supplier=posting.supplier,
            who=posting.entry.who,
            takes_back=posting.of_id,
        )
        for job, posting in ledger.read(lambda session: journal(session, since=first, until=last))
        for line in posting.lines
    ]


def _day(field: str, text: str, otherwise: date) -> date:
    try:
        return date.fromisoformat(text.strip()) if text.strip() else otherwise
    except ValueError:
        raise BadInput.at(Where(field=field), "the day cannot be read", text, "2026-03-01") from None
