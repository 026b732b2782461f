"""The acts by which a quote becomes work: accept it, order from what was accepted, agree on a change."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from typing import Any, TypeVar

from tappetry.pricing.policy import read_policy
from tappetry.pricing.validity import last_day, line_changes
from tappetry.quantities.calendar import day
from tappetry.records.kit import Kit, Line, Note
from tappetry.records.problems import BadInput, Complaints, Ground, Refusal, Where
from tappetry.services.kits import must_be_complete
from tappetry.services.ledger import Ledger, day_of
from tappetry.services.paper_records import ChangeOrder
from tappetry.services.reprice import kit_from_data
from tappetry.store import accepted, quotes
from tappetry.store.accepted import Yes
from tappetry.store.accepted_models import Acceptance, ChangeRow, OrderRow
from tappetry.store.models import JobRow, KitRow, QuoteRow
from tappetry.store.problems import NotKept

__all__ = ["Acceptance", "ChangeRow", "Due", "Option", "OrderRow", "Signed"]

#: The ways in which a customer may say yes.
IN_PERSON, BY_LETTER, BY_PAGE = "in-person", "letter", "page"
HOW = {IN_PERSON: "in person", BY_LETTER: "by letter", BY_PAGE: "by the page"}
#: What a customer may answer to an offer.
TAKEN, DECLINED = "taken", "declined"
Row = TypeVar("Row", QuoteRow, ChangeRow)


@dataclass(frozen=True, slots=True)
class Option:
    """Something beside the price: an offer that wants an answer, or what was left out and why.

    ``consequence`` says what it means to go without.
    """

    text: str
    consequence: str
    open: bool


@dataclass(frozen=True, slots=True)
class Signed:
    """What a customer signed: his name, how, his answers by the place of the option, and that he read."""

    customer: str
    how: str
    answers: Mapping[int, str]
    read: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class Due:
    """A line of what was accepted that is not ordered yet; one that is held waits for what its text says."""

    line: Line
    holds: tuple[str, ...]


def options_of(document: Mapping[str, Any]) -> tuple[Option, ...]:
    """The options of a quote or change order that was sent, in the order of the paper."""
    offered = [
        Option(each["offer"], f"{each['text']}.", True)
        for each in document.get("findings", ())
        if each["offer"] and not each["signed"]
    ]
    left_out = [
        Option(each["offer"], f"For it speaks: {each['for']}. Against it: {each['against']}.", False)
        for each in document.get("declined", ())
    ]
    return tuple(offered + left_out)


def accept_quote(ledger: Ledger, number: str, quote: int, signed: Signed, who: str) -> Acceptance:
    """Write down that a customer accepted a quote.

    Raises
    ------
    BadInput
        The name is missing, an offer has no answer, or he did not say that he read what declining means.
    Refusal
        The quote has expired, or is in another currency than the shop reckons in now.
    NotKept
        There is no such quote, it is not the latest, or the job has an accepted one.
    """
    row = _numbered(ledger.quotes(number), quote, f"Job {number} has no quote {quote}.")
    return _accept(ledger, number, row, f"quote {quote}", signed, who)


def accept_change(ledger: Ledger, number: str, change: int, signed: Signed, who: str) -> Acceptance:
    """Write down that a customer accepted a change order; errors as of a quote."""
    row = _numbered(changes(ledger, number), change, f"Job {number} has no change order {change}.")
    return _accept(ledger, number, row, f"change order {change}", signed, who)


def acceptances(ledger: Ledger, number: str) -> list[Acceptance]:
    """What was accepted of a job, the first one first."""
    return ledger.read(lambda session: accepted.acceptances_of(session, number))


def in_force(ledger: Ledger, number: str) -> Acceptance:
    """The latest acceptance; its kit is what was agreed.

    Raises
    ------
    NotKept
        Nothing is accepted yet.
    """
    found = acceptances(ledger, number)
    if not found:
        raise NotKept(
            f"No quote of job {number} is accepted yet. Send one, and write down the customer's yes."
        )
    return found[-1]


def changes(ledger: Ledger, number: str) -> list[ChangeRow]:
    """The change orders that were sent, the first one first."""
    return ledger.read(lambda session: accepted.changes_of(session, number))


def orders(ledger: Ledger, number: str) -> list[OrderRow]:
    """The supplier orders that were sent, the first one first."""
    return ledger.read(lambda session: accepted.orders_of(session, number))


def paper(ledger: Ledger, row: QuoteRow | ChangeRow | OrderRow) -> bytes:
    """The very paper that was sent."""
    return ledger.read(lambda session: accepted.paper_of(session, row))


def due(ledger: Ledger, number: str) -> tuple[Due, ...]:
    """What was accepted and is not ordered yet, line by line.

    A hold is lifted once the kit as it stands now holds the same line without it.
    """
    agreed = agreed_kit(in_force(ledger, number).kit)
    bought: dict[tuple[str, str], int] = {}
    for order in orders(ledger, number):
        for ordered in order.lines:
            key = (order.supplier, ordered.part)
            bought[key] = bought.get(key, 0) + ordered.quantity
    free = _free_now(ledger, number) if any(line.holds for line in agreed.lines) else frozenset()
    found = []
    for line in agreed.lines:
        key = (line.supplier, line.part)
        left = line.quantity - bought.get(key, 0)
        if left > 0:
            holds = () if key in free else line.holds
            found.append(Due(replace(line, quantity=left, holds=holds), holds))
    return tuple(found)


def send_orders(ledger: Ledger, number: str, who: str) -> list[OrderRow]:
    """Order what was accepted, is not ordered yet, and is not held; each order is kept as it is sent.

    Raises
    ------
    NotKept
        Nothing is accepted yet.
    Refusal
        Nothing is left to order, or all that is left is held.
    """
    agreed = in_force(ledger, number)
    known = len(orders(ledger, number))
    left = due(ledger, number)
    now = tuple(each.line for each in left if not each.holds)
    if not now:
        raise Refusal(
            f"There is nothing to order for job {number} now.",
            [
                Ground(f"{each.line.description}: {hold}", "held until it is known")
                for each in left
                for hold in each.holds
            ],
            ["state what was seen or measured; the hold is lifted by it"] if left else [],
        )
    kit = replace(agreed_kit(agreed.kit), lines=now)
    papers = ledger.papers.business.orders(ledger.shop, kit, ledger.today)
    act = ledger.act(who, f"sent orders to {', '.join(paper.supplier for paper in papers)}")
    with ledger.database.writing() as session:
        return accepted.keep_orders(session, number, agreed, papers, known, act)


def change_of(ledger: Ledger, number: str, why: str = "") -> ChangeOrder:
    """The kit of a job as it stands beside the accepted one, as a change order would say it.

    Raises
    ------
    NotKept
        Nothing is accepted yet.
    Refusal
        There is no kit, it is not complete, or nothing differs.
    """
    agreed = in_force(ledger, number)
    opened = ledger.job(number)
    result = ledger.kit(opened.job)
    must_be_complete(ledger.shop, result)
    before, after = agreed_kit(agreed.kit), result.kit
    assert before.totals is not None
    assert after.totals is not None
    lines = tuple(each for each in line_changes(before, after) if each.is_another_purchase)
    had, has = ({each.code: each for each in kit.operations} for kit in (before, after))
    added = tuple(each for code, each in has.items() if code not in had or had[code].hours != each.hours)
    dropped = tuple(each for code, each in had.items() if code not in has or has[code].hours != each.hours)
    if not lines and not added and not dropped and before.totals.total == after.totals.total:
        raise Refusal(
            f"Job {number} stands as it was agreed: there is nothing to change.",
            [Ground(f"{title(agreed)}, {agreed.kit.total} {agreed.kit.currency}", agreed.customer)],
        )
    return ChangeOrder(
        job=number,
        title=opened.job.title,
        customer=opened.job.customer,
        number=len(changes(ledger, number)) + 1,
        on=ledger.today,
        last_day=last_day(ledger.today, read_policy(ledger.shop.knowledge.book.money)),
        since=f"{title(agreed)} of {day(day_of(agreed.entry.at))}",
        why=why,
        before=before,
        after=after,
        lines=lines,
        work_added=added,
        work_dropped=dropped,
        deposit=max(after.totals.deposit - before.totals.deposit, Decimal("0.00")),
    )


def send_change(ledger: Ledger, number: str, why: str, who: str) -> ChangeRow:
    """Send a change order: the kit behind it and the very paper are kept, and never change.

    Raises
    ------
    BadInput
        It does not say why.
    NotKept, Refusal
        As of :func:`change_of`; or somebody else sent one meanwhile.
    """
    if not why.strip():
        raise BadInput.at(
            Where(field="why"), "a change order says why", why, "what was found, in one sentence"
        )
    agreed = in_force(ledger, number)
    change = change_of(ledger, number, why.strip())
    paper = ledger.papers.business.change(ledger.shop, change)
    opened = ledger.job(number)
    result = ledger.kit(opened.job)
    act = ledger.act(who, f"sent change order {change.number}", why.strip())
    with ledger.database.writing() as session:
        kit = ledger.keep(session, opened, result, replace(act, what="kept the kit of a change order"))
        kept = accepted.keep_change(session, number, agreed.kit, kit, paper, act)
        if kept.number != change.number:
            raise NotKept(f"Somebody else sent change order {change.number} of job {number} meanwhile.")
        return kept


def title(agreed: Acceptance) -> str:
    """What was accepted: ``quote 2`` or ``change order 1``."""
    paper = agreed.quote or agreed.change
    assert paper is not None
    return f"{'quote' if agreed.quote else 'change order'} {paper.number}"


def agreed_kit(row: KitRow) -> Kit:
    """A kept kit as it was, with its holds and its notes."""
    document = row.document
    kit = kit_from_data(document)
    lines = tuple(
        replace(line, holds=tuple(said["holds"]), use_from_box=said["use_from_box"])
        for line, said in zip(kit.lines, document["lines"], strict=True)
    )
    notes = tuple(
        Note(each["id"], each["to"], each["text"], each["why"], each["source"], each["need"])
        for each in document["notes"]
    )
    return replace(kit, lines=lines, notes=notes)


def _accept(
    ledger: Ledger, number: str, row: QuoteRow | ChangeRow, what: str, signed: Signed, who: str
) -> Acceptance:
    if ledger.today > row.last_day:
        raise Refusal(
            f"The {what} of job {number} held to {day(row.last_day)} and cannot be accepted any more.",
            [Ground(f"today is {day(ledger.today)}", "the shop's calendar")],
            ["send it again at the prices of today; the difference is shown line by line"],
        )
    currency = read_policy(ledger.shop.knowledge.book.money).currency
    if row.currency != currency:
        raise Refusal(
            f"The {what} of job {number} is in {row.currency}, and the shop reckons in {currency}.",
            [Ground("the books are kept in one currency", "the house book, money.currency")],
            ["send it again; it then stands in the currency of today"],
        )
    options = options_of(row.document)
    _must_be_signed(options, signed)
    document = {
        "what": what,
        "total": f"{row.total:.2f}",
        "currency": row.currency,
        "options": [
            {
                "text": option.text,
                "consequence": option.consequence,
                "answer": signed.answers[place] if option.open else DECLINED,
            }
            for place, option in enumerate(options)
        ],
        "legal_note": row.document.get("legal_note", ""),
        "note": signed.note,
    }
    act = ledger.act(who, f"wrote down that {what} is accepted {HOW[signed.how]}", signed.customer.strip())
    yes = Yes(signed.customer.strip(), signed.how, document)
    with ledger.database.writing() as session:
        accepted.keep_acceptance(session, number, row, yes, act)
    return in_force(ledger, number)


def _must_be_signed(options: Iterable[Option], signed: Signed) -> None:
    complaints = Complaints()
    options = tuple(options)
    if not signed.customer.strip() or len(signed.customer) > 100:
        complaints.add(
            Where(field="customer"), "the name of who accepts is missing or too long", "", "a name"
        )
    if signed.how not in HOW:
        complaints.add(Where(field="how"), "there is no such way", signed.how, "one of " + ", ".join(HOW))
    for place, option in enumerate(options):
        answer = signed.answers.get(place, "")
        if option.open and answer not in (TAKEN, DECLINED):
            complaints.add(
                Where(field=f"option {place + 1}"), f"{option.text}: no answer", answer, "taken or declined"
            )
    declines = any(not option.open or signed.answers.get(n) == DECLINED for n, option in enumerate(options))
    if declines and not signed.read:
        complaints.add(
            Where(field="read"),
            "what is declined is signed only by who has read what that means",
            "not read",
            "the mark that it was read",
        )
    complaints.raise_if_any()


def _free_now(ledger: Ledger, number: str) -> frozenset[tuple[str, str]]:
    """The lines of the kit as it stands now that nothing holds; none where there is no kit."""
    try:
        lines = ledger.kit(ledger.job(number).job).kit.lines
    except Refusal:
        return frozenset()
    return frozenset((line.supplier, line.part) for line in lines if not line.holds)


def _numbered(rows: Iterable[Row], number: int, missing: str) -> Row:
    for row in rows:
        if row.number == number:
            return row
    raise NotKept(missing)


def quote_changes(sent: Sequence[QuoteRow]) -> list[tuple[int, int, Decimal]]:
    """How much more each quote cost than the one before it: the numbers of both, and the difference."""
    return [(old.number, new.number, new.total - old.total) for old, new in pairwise(sent)]


def latest_open(ledger: Ledger, number: str) -> QuoteRow | ChangeRow | None:
    """The quote or change order that waits for the customer, if there is one."""
    with ledger.database.reading() as session:
        said = accepted.acceptances_of(session, number)
        sent = quotes.quotes_of(session, number)
        asked = accepted.changes_of(session, number)
    return waiting(sent, said, asked)


def with_open_change(ledger: Ledger, jobs: Sequence[JobRow]) -> set[str]:
    """Of some jobs, the numbers of those with a change order that waits for the customer."""
    return ledger.read(lambda session: accepted.with_open_change(session, jobs))


def waiting(
    sent: Sequence[QuoteRow], said: Sequence[Acceptance], asked: Sequence[ChangeRow]
) -> QuoteRow | ChangeRow | None:
    """What waits for the customer, of the quotes, acceptances and change orders of a job."""
    if not said:
        return sent[-1] if sent else None
    if asked and asked[-1].before_id == said[-1].kit_id:
        return asked[-1]
    return None
