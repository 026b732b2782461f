"""From a quote that was sent to work that was ordered: acceptances, orders, change orders."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from tappetry.records.problems import BadInput, Refusal
from tappetry.services import agreements
from tappetry.services.agreements import DECLINED, IN_PERSON, TAKEN, Signed
from tappetry.services.ledger import Ledger
from tappetry.store.accepted import keep_orders
from tappetry.store.database import Database
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tests.kitting.support import demo
from tests.services.office import NOON, YES, accepted, ledger_at_noon, quoted

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    return ledger_at_noon(database, monkeypatch)


def test_a_yes_says_who_when_how_and_moves_the_job_on(ledger: Ledger) -> None:
    number = accepted(ledger)
    kept = agreements.in_force(ledger, number)
    assert (kept.customer, kept.how, kept.entry.who, kept.entry.at) == ("M. Tresk", IN_PERSON, "Wren", NOON)
    assert kept.document["total"] == "4866.66"
    assert ledger.job(number).kept.state == "accepted"
    with pytest.raises(NotKept, match=r"accepted already, by M\. Tresk"):
        agreements.accept_quote(ledger, number, 1, YES, "Rook")
    with pytest.raises(NotKept, match="agreed by a change order"):
        ledger.send_quote(number, "Wren")


def test_every_offer_is_answered_and_what_is_declined_was_read(ledger: Ledger) -> None:
    number = quoted(ledger, "J1")
    options = agreements.options_of(ledger.quotes(number)[0].document)
    (offer, *left_out) = options
    assert offer.open
    assert "converter" in offer.text
    assert "1850 rpm" in offer.consequence
    assert not any(each.open for each in left_out)
    with pytest.raises(BadInput, match=r"option 1: .*no answer.*") as refused:
        agreements.accept_quote(ledger, number, 1, Signed("A. Pellow", IN_PERSON, {}, read=False), "Wren")
    assert "was read" in str(refused.value)
    signed = Signed("A. Pellow", IN_PERSON, {0: DECLINED}, read=True)
    kept = agreements.accept_quote(ledger, number, 1, signed, "Wren")
    assert [each["answer"] for each in kept.document["options"]] == [DECLINED] * len(options)
    assert kept.document["options"][0]["consequence"] == offer.consequence


def test_an_offer_may_be_taken(ledger: Ledger) -> None:
    number = quoted(ledger, "J1")
    kept = agreements.accept_quote(
        ledger, number, 1, Signed("A. Pellow", IN_PERSON, {0: TAKEN}, read=True), "Wren"
    )
    assert kept.document["options"][0]["answer"] == TAKEN


def test_a_quote_that_expired_or_was_replaced_is_not_accepted(ledger: Ledger) -> None:
    number = quoted(ledger)
    ledger.send_quote(number, "Wren")
    with pytest.raises(NotKept, match="Quote 1 of job J3 was replaced by quote 2"):
        agreements.accept_quote(ledger, number, 1, YES, "Wren")
    ledger.now = lambda: NOON + timedelta(days=15)
    with pytest.raises(Refusal, match="held to 16 March 2026"):
        agreements.accept_quote(ledger, number, 2, YES, "Wren")
    ledger.now = lambda: NOON + timedelta(days=14)
    agreements.accept_quote(ledger, number, 2, YES, "Wren")


def test_a_quote_holds_from_the_day_on_which_it_was_sent_however_old_the_job_is(ledger: Ledger) -> None:
    ledger.new_job((demo().jobs / "J3.yaml").read_text(encoding="utf-8"), "Wren")
    ledger.now = lambda: NOON + timedelta(days=30)
    sent = ledger.send_quote("J3", "Wren")
    assert (sent.document["date"], sent.document["valid_until"]) == ("1 April 2026", "15 April 2026")
    assert sent.last_day == date(2026, 4, 15)
    assert agreements.accept_quote(ledger, "J3", 1, YES, "Wren").customer == "M. Tresk"


def test_days_of_an_open_job_count_from_today_and_then_from_its_quote(ledger: Ledger) -> None:
    ledger.new_job((demo().jobs / "J3.yaml").read_text(encoding="utf-8"), "Wren")
    ledger.change_plan("J3", ["need_by=2026-04-03"], 1, "Wren")
    assert ledger.kit(ledger.job("J3").job).kit.lines, "a month is time enough"
    ledger.now = lambda: NOON + timedelta(days=30)
    assert ledger.job("J3").job.date == date(2026, 4, 1)
    with pytest.raises(Refusal, match="No kit satisfies job J3") as refused:
        ledger.send_quote("J3", "Wren")
    assert any("needed by 2026-04-03" in ground.text for ground in refused.value.grounds)
    ledger.change_plan("J3", ["need_by="], 2, "Wren")
    ledger.send_quote("J3", "Wren")
    agreements.accept_quote(ledger, "J3", 1, YES, "Wren")
    ledger.now = lambda: NOON + timedelta(days=60)
    assert ledger.job("J3").job.date == date(2026, 4, 1)
    with pytest.raises(Refusal, match="stands as it was agreed"):
        agreements.change_of(ledger, "J3")


@pytest.fixture
def far_west() -> Iterator[None]:
    """A machine whose clock is eight hours behind UTC."""
    with pytest.MonkeyPatch.context() as place:
        place.setenv("TZ", "XST8")
        time.tzset()
        yield
    time.tzset()


@pytest.mark.usefixtures("far_west")
def test_days_are_those_of_the_place_where_the_machine_stands(ledger: Ledger) -> None:
    """Half past five in the afternoon there is the day after by UTC."""
    number = quoted(ledger)
    ledger.now = lambda: datetime(2026, 3, 17, 1, 30, tzinfo=UTC)
    assert ledger.today == date(2026, 3, 16)
    agreements.accept_quote(ledger, number, 1, YES, "Wren")
    (order, *_) = agreements.send_orders(ledger, number, "Wren")
    assert order.document["date"] == "16 March 2026"
    ledger.now = lambda: datetime(2026, 3, 17, 8, 0, tzinfo=UTC)
    assert ledger.today == date(2026, 3, 17)


@pytest.mark.usefixtures("far_west")
def test_moments_are_those_of_the_place_where_the_machine_stands(ledger: Ledger) -> None:
    """Whoever comes second is told when, by the clock on the wall."""
    number = quoted(ledger)
    ledger.now = lambda: datetime(2026, 3, 17, 1, 30, tzinfo=UTC)
    ledger.change_plan(number, ["need_by=2026-05-20"], 1, "Rook")
    with pytest.raises(ChangedMeanwhile, match=r"by Rook at 2026-03-16 17:30\."):
        ledger.change_plan(number, ["package=best"], 1, "Wren")


def test_orders_are_made_of_what_was_accepted_whatever_the_plan_says_now(ledger: Ledger) -> None:
    number = quoted(ledger)
    with pytest.raises(NotKept, match="No quote of job J3 is accepted yet"):
        agreements.send_orders(ledger, number, "Wren")
    agreed = agreements.accept_quote(ledger, number, 1, YES, "Wren")
    ledger.change_plan(number, ["package=best"], 1, "Wren")
    lines = agreements.agreed_kit(agreed.kit).lines
    agreements.send_orders(ledger, number, "Wren")
    sent = agreements.orders(ledger, number)
    ordered = {(each.supplier, line.part): line.quantity for each in sent for line in each.lines}
    held = {(line.supplier, line.part) for line in lines if line.holds}
    assert held
    assert ordered == {
        (line.supplier, line.part): line.quantity
        for line in lines
        if (line.supplier, line.part) not in held or (line.supplier, line.part) in ordered
    }
    assert all(agreements.paper(ledger, each).startswith(b"%PDF-") for each in sent)
    assert len(ledger.quotes(number)) == 1


def test_a_held_line_waits_until_somebody_has_looked(ledger: Ledger) -> None:
    number = accepted(ledger)
    agreements.send_orders(ledger, number, "Wren")
    (held,) = agreements.due(ledger, number)
    assert "must be seen before the order" in held.holds[0]
    with pytest.raises(Refusal, match="nothing to order for job J3 now"):
        agreements.send_orders(ledger, number, "Wren")
    unknown = held.holds[0].split(" is decoded")[0]
    (attribute,) = [
        each.id for each in demo().knowledge.attributes.values() if each.title.lower() == unknown.lower()
    ]
    value = ledger.identify(ledger.job(number).job).engine_as_found.facts[attribute].value
    ledger.state_fact(number, attribute, str(value), "seen", "photo", 1, "Rook")
    assert [each.holds for each in agreements.due(ledger, number)] == [()]
    (order,) = agreements.send_orders(ledger, number, "Wren")
    assert [line.part for line in order.lines] == [held.line.part]
    assert agreements.due(ledger, number) == ()


def test_two_who_order_at_once_order_once(ledger: Ledger) -> None:
    number = accepted(ledger)
    agreed = agreements.in_force(ledger, number)
    agreements.send_orders(ledger, number, "Wren")
    with pytest.raises(NotKept, match="changed meanwhile"), ledger.database.writing() as session:
        keep_orders(session, number, agreed, [], 0, ledger.act("Rook", "sent orders"))


def test_a_change_order_says_lines_and_price_and_has_its_own_yes(ledger: Ledger) -> None:
    number = accepted(ledger)
    with pytest.raises(Refusal, match="stands as it was agreed"):
        agreements.send_change(ledger, number, "nothing", "Wren")
    before = agreements.in_force(ledger, number).kit
    ledger.change_plan(number, ["package=best"], 1, "Wren")
    after = ledger.kit(ledger.job(number).job).kit
    assert after.totals is not None
    with pytest.raises(BadInput, match="a change order says why"):
        agreements.send_change(ledger, number, " ", "Wren")
    change = agreements.send_change(ledger, number, "the chain is worn", "Wren")
    assert (change.number, change.total) == (1, after.totals.total - before.total)
    assert change.document["why"] == "the chain is worn"
    assert "quote 1 of 2 March 2026" in change.document["since"]
    assert sum(
        Decimal(each["difference"].replace("−", "-").replace("+", "").replace(",", "").replace("–", "0"))
        for each in change.document["lines"]
    ) == (after.totals.parts + after.totals.services) - sum(
        line.line_total for line in agreements.agreed_kit(before).lines
    )
    assert agreements.in_force(ledger, number).kit_id == before.id, "sent is not agreed"
    agreements.accept_change(ledger, number, 1, YES, "Wren")
    assert agreements.in_force(ledger, number).kit.total == after.totals.total
    assert agreements.title(agreements.in_force(ledger, number)) == "change order 1"
    with pytest.raises(NotKept, match="is accepted already"):
        agreements.accept_change(ledger, number, 1, YES, "Wren")


def test_after_a_change_only_what_is_new_is_ordered(ledger: Ledger) -> None:
    number = accepted(ledger)
    agreements.send_orders(ledger, number, "Wren")
    bought = {
        (order.supplier, line.part): line.quantity
        for order in agreements.orders(ledger, number)
        for line in order.lines
    }
    ledger.change_plan(number, ["package=best"], 1, "Wren")
    agreements.send_change(ledger, number, "the owner wants it once", "Wren")
    agreements.accept_change(ledger, number, 1, YES, "Wren")
    for each in agreements.due(ledger, number):
        key = (each.line.supplier, each.line.part)
        whole = next(
            line.quantity
            for line in agreements.agreed_kit(agreements.in_force(ledger, number).kit).lines
            if (line.supplier, line.part) == key
        )
        assert each.line.quantity == whole - bought.get(key, 0)


def test_a_later_change_order_replaces_one_that_waits(ledger: Ledger) -> None:
    number = accepted(ledger)
    ledger.change_plan(number, ["package=best"], 1, "Wren")
    agreements.send_change(ledger, number, "once", "Wren")
    ledger.change_plan(number, ["package=least"], 2, "Wren")
    agreements.send_change(ledger, number, "twice", "Wren")
    with pytest.raises(NotKept, match="Change order 1 of job J3 was replaced by change order 2"):
        agreements.accept_change(ledger, number, 1, YES, "Wren")
    agreements.accept_change(ledger, number, 2, YES, "Wren")
