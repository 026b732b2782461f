"""The one next act on a job, and what it waits for until then."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.quantities.calendar import day
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tappetry.services import agreements, books, customer_pages, invoices
from tappetry.services.books import CUSTOMERS
from tappetry.services.kits import must_be_complete
from tappetry.services.ledger import JobRow, Ledger
from tappetry.store.jobs import ACCEPTED, INVOICED, OPEN, QUOTED

#: What a job may wait for.
PLAN, FACT, SIGNATURE, QUOTE, CUSTOMER = "a plan", "a fact", "a signature", "its quote", "the customer"
ORDERS, HANDS, ANSWER = "its orders", "hands", "an answer to be taken"
PAYMENT, NOTHING = "a payment", "nothing"


@dataclass(frozen=True, slots=True)
class NextAct:
    """What a job waits for, what to do, and the part of its page where that is done."""

    waits_for: str
    text: str
    part: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """Jobs by whom they wait for: us, their customers; and those whose invoice is written."""

    ours: tuple[JobRow, ...]
    theirs: tuple[JobRow, ...]
    invoiced: tuple[JobRow, ...]


def sorted_by_whom(ledger: Ledger) -> Waiting:
    """The jobs that changed last, by whom they wait for."""
    found = ledger.find()
    asked = agreements.with_open_change(ledger, [row for row in found if row.state == ACCEPTED])
    theirs = tuple(row for row in found if row.state == QUOTED or row.number in asked)
    invoiced = tuple(row for row in found if row.state == INVOICED)
    return Waiting(tuple(row for row in found if row not in (*theirs, *invoiced)), theirs, invoiced)


def next_act(ledger: Ledger, number: str) -> NextAct:
    """The next act on a job.

    Raises
    ------
    NotKept
        There is no such job.
    """
    opened = ledger.job(number)
    said = [each for each in customer_pages.answers_of(ledger, number) if each.seen is None]
    if said:
        return NextAct(ANSWER, f"the customer answered: {said[0].about}", "customer")
    if opened.kept.state not in (OPEN, QUOTED):
        return _after_the_yes(ledger, number)
    sent = ledger.quotes(number)
    if sent:
        last = sent[-1]
        return NextAct(CUSTOMER, f"quote {last.number} is out and holds to {day(last.last_day)}", "papers")
    try:
        result = ledger.kit(opened.job)
    except Refusal as refusal:
        family = ledger.identify(opened.job).engine_as_found.family
        return NextAct(PLAN, refusal.message, "plan") if family else NextAct(FACT, refusal.message, "facts")
    kit = result.kit
    checks = [(each.verdict, each.signed, each.title) for each in kit.proofs]
    checks += [(each.verdict, each.signed, each.text) for each in kit.findings]
    for verdict, signed, text in checks:
        if verdict is Verdict.SIGN and not signed:
            return NextAct(SIGNATURE, f"{text}: the owner's written reason", "proof")
    try:
        must_be_complete(ledger.shop, result)
    except Refusal as refusal:
        asked = [each.question for each in kit.unknowns]
        return NextAct(FACT, asked[0] if asked else refusal.message, "facts")
    held = sum(bool(line.holds) for line in kit.lines)
    text = "send the quote"
    if held:
        text += f"; {held} line{'' if held == 1 else 's'} on hold until somebody has looked"
    return NextAct(QUOTE, text, "papers")


def _after_the_yes(ledger: Ledger, number: str) -> NextAct:
    """The next act on a job whose quote was accepted."""
    standing = invoices.in_force(invoices.papers(ledger, number))
    if standing is not None:
        owes, due = books.balances(ledger, number).get(CUSTOMERS), standing.row.due
        assert due is not None, "an invoice says until when"
        said = f"invoice {standing.row.number} is out, to be paid by {day(due)}"
        return NextAct(PAYMENT, said, "bill") if owes else NextAct(NOTHING, "all is paid", "bill")
    waiting = agreements.latest_open(ledger, number)
    if waiting is not None:
        return NextAct(
            CUSTOMER, f"change order {waiting.number} is out and holds to {day(waiting.last_day)}", "papers"
        )
    ordered_next = agreements.due(ledger, number)
    if any(not each.holds for each in ordered_next):
        return NextAct(ORDERS, "send the orders", "papers")
    if ordered_next:
        return NextAct(FACT, ordered_next[0].holds[0], "facts")
    return NextAct(HANDS, "all is ordered", "papers")
