"""What a price list would change in kits of open jobs, looked through before it is taken."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.presentation.kept import papers
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import price_look, prices, texts
from tappetry.services.begin import begin
from tappetry.services.ledger import Ledger
from tappetry.services.text_in_effect import begin as take_up
from tappetry.store.database import Database
from tappetry.store.problems import NotKept
from tests.services.test_begin import SAID, first_job
from tests.services.test_prices import HOW, LIST, price_of
from tests.services.texts import change, worker_of

pytestmark = pytest.mark.slow
#: One that raises what we pay for the lifters, and not what the customer pays.
DEARER = "NO,WHAT,LIST,NET,PAGE\nTN-L8,Lifters,78.00,55.00,1\n"


@pytest.fixture
def ledger(tmp_path: Path, database: Database) -> Ledger:
    """A new shop with one open job, that knows how its supplier's lists are read."""
    made = Ledger(begin(tmp_path / "shop", SAID, {}).shop, database, papers())
    take_up(made, alone=True)
    prices.keep_reading(made.shop, "TNV", HOW)
    made.new_job(json.dumps(first_job()), "Wren")
    return made


def brought(ledger: Ledger, text: str = LIST) -> str:
    """The mark of a list that waits."""
    return prices.receive(ledger, "TNV", "list.csv", text.encode(), "Wren").mark


def asked(ledger: Ledger, mark: str, lines: list[int] | None = None, gone: tuple[str, ...] = ()) -> str:
    """Rows that are to be looked through."""
    return price_look.ask(ledger, mark, lines, gone, ledger.shop.catalogue.version, "Wren")


def looked(ledger: Ledger, mark: str, key: str) -> price_look.PriceLook:
    """What came of it once a worker has done it."""
    assert price_look.look(ledger, mark, key).standing.unfinished == 1
    assert worker_of(ledger).work_once()
    return price_look.look(ledger, mark, key)


def test_what_it_changes_in_kits_is_what_taking_it_changes(ledger: Ledger) -> None:
    mark = brought(ledger)
    before = ledger.kit(ledger.job("Q-1").job).kit
    look = looked(ledger, mark, asked(ledger, mark, [2, 6]))
    assert look.found is not None
    (effect,) = look.found.effects
    assert (effect.job, effect.said, effect.worse) == ("Q-1", "", False)
    assert [(each.part, each.old, each.new, str(each.money)) for each in effect.lines] == [
        ("TN-C1", 1, 1, "5.00"),
        ("TN-D1", 1, 1, "1.00"),
    ]
    assert price_of(ledger.shop, "TN-C1") == Decimal("239.00"), "nothing is taken yet"
    taken = price_look.take(ledger, mark, look.key, "Dove")
    assert (taken.new, taken.changed, taken.gone) == (0, 2, 0)
    after = ledger.kit(ledger.job("Q-1").job).kit
    assert before.totals is not None
    assert after.totals is not None
    assert (effect.old, effect.new) == (before.totals.total, after.totals.total)
    assert (effect.old_cost, effect.new_cost) == (before.landed_cost, after.landed_cost)
    assert effect.old != effect.new
    assert prices.waiting(ledger.shop) == ()


def test_what_only_we_pay_is_told_too(ledger: Ledger) -> None:
    mark = brought(ledger, DEARER)
    found = looked(ledger, mark, asked(ledger, mark)).found
    assert found is not None
    (effect,) = found.effects
    assert effect.old == effect.new
    assert effect.old_cost is not None
    assert effect.new_cost == effect.old_cost + 3


def test_jobs_that_would_have_no_kit_any_more_are_told_with_the_reason(ledger: Ledger) -> None:
    mark = brought(ledger)
    look = looked(ledger, mark, asked(ledger, mark, [], ("TN-O1",)))
    assert look.found is not None
    (effect,) = look.found.effects
    assert effect.worse
    assert effect.new is None
    assert effect.said.endswith("no price list carries break-in oil for this engine")
    assert (look.lines, look.gone) == ((), ("TN-O1",))


def test_what_was_quoted_stays_and_what_is_invoiced_is_not_looked_at(ledger: Ledger) -> None:
    sent = ledger.send_quote("Q-1", "Wren")
    paper = ledger.quote_paper("Q-1", 1)
    mark = brought(ledger)
    look = looked(ledger, mark, asked(ledger, mark, [2]))
    assert look.found is not None
    assert [each.job for each in look.found.effects] == ["Q-1"]
    price_look.take(ledger, mark, look.key, "Wren")
    assert (ledger.quotes("Q-1")[0].total, ledger.quote_paper("Q-1", 1)) == (sent.total, paper)


def test_a_list_that_changes_no_kit_says_so(ledger: Ledger) -> None:
    mark = brought(ledger)
    look = looked(ledger, mark, asked(ledger, mark, [10]))
    assert look.found is not None
    assert (look.found.effects, list(look.found.jobs), look.found.left) == ((), ["Q-1"], 0)


def test_nothing_is_taken_before_it_was_looked_through_to_its_end(ledger: Ledger) -> None:
    mark = brought(ledger)
    key = asked(ledger, mark, [2])
    with pytest.raises(Refusal, match="looked through to its end first"):
        price_look.take(ledger, mark, key, "Wren")
    price_look.stop(ledger, mark, key)
    assert price_look.look(ledger, mark, key).standing.stopped
    with pytest.raises(Refusal, match="looked through to its end first"):
        price_look.take(ledger, mark, key, "Wren")
    again = price_look.ask_again(ledger, mark, key, "Wren")
    assert again == key, "equal work is the same work"
    assert looked(ledger, mark, again).found is not None
    with pytest.raises(NotKept, match="Nobody had these rows"):
        price_look.take(ledger, brought(ledger), key, "Wren")
    with pytest.raises(NotKept, match="Nobody had these rows"):
        price_look.take(ledger, mark, "0" * 64, "Wren")
    assert len(texts.versions(ledger)) == 1


def test_jobs_that_changed_since_are_named_and_looked_at_again(ledger: Ledger) -> None:
    mark = brought(ledger)
    look = looked(ledger, mark, asked(ledger, mark, [2]))
    assert look.stale == ()
    ledger.change_plan("Q-1", ["rpm=5200"], 1, "Wren")
    ledger.new_job(json.dumps({**first_job(), "job": "Q-2"}), "Wren")
    assert set(price_look.look(ledger, mark, look.key).stale) == {"Q-1", "Q-2"}
    again = looked(ledger, mark, price_look.ask_again(ledger, mark, look.key, "Wren"))
    assert again.stale == ()
    assert again.found is not None
    assert [each.job for each in again.found.effects] == ["Q-2", "Q-1"]


def test_another_text_that_took_effect_since_wants_another_look(ledger: Ledger) -> None:
    mark = brought(ledger)
    look = looked(ledger, mark, asked(ledger, mark, [2]))
    change(ledger, "shop.yaml", 'labour_rate: "95.00"', 'labour_rate: "96.00"')
    texts.ask_look(ledger, "Wren")
    assert worker_of(ledger).work_once()
    texts.put_into_effect(ledger, texts.proposal(ledger).mark, "dearer", "Wren")
    with pytest.raises(Refusal, match="Another text took effect since the list was looked through"):
        price_look.take(ledger, mark, look.key, "Wren")
    again = looked(ledger, mark, price_look.ask_again(ledger, mark, look.key, "Wren"))
    assert price_look.take(ledger, mark, again.key, "Wren").text == 3


def test_a_list_that_is_read_otherwise_since_wants_another_look(ledger: Ledger) -> None:
    mark = brought(ledger, "NO,WHAT,LIST,NET,PAGE,NEW\nTN-C1,Cam,244.00,171.00,1,249.00\n")
    prices.keep_reading(ledger.shop, "TNV", replace(HOW, ignored=("PAGE", "NEW")))
    look = looked(ledger, mark, asked(ledger, mark, [2]))
    other = replace(HOW, columns={**HOW.columns, "price": "NEW"}, ignored=("PAGE", "LIST"))
    prices.keep_reading(ledger.shop, "TNV", other)
    with pytest.raises(Refusal, match="The list is read otherwise since it was looked through"):
        price_look.take(ledger, mark, look.key, "Wren")
    assert price_of(ledger.shop, "TN-C1") == Decimal("239.00")


@pytest.mark.parametrize(
    ("lines", "told"), [([], "Nothing of list.csv was chosen"), ([5], "cannot be taken")]
)
def test_what_cannot_be_taken_is_not_looked_through(ledger: Ledger, lines: list[int], told: str) -> None:
    with pytest.raises((Refusal, BadInput), match=told):
        asked(ledger, brought(ledger), lines)
    assert ledger.queue.latest() == []


def test_a_worker_that_finds_another_text_says_so(ledger: Ledger) -> None:
    mark = brought(ledger)
    key = asked(ledger, mark, [2])
    found = prices.proposal(ledger.shop, LIST, "list.csv", HOW, ledger.now().date())
    prices.take(ledger, "TNV", found, (6,), [], ledger.today, "Dove")
    assert worker_of(ledger).work_once()
    (said,) = price_look.look(ledger, mark, key).standing.failed
    assert "Another text took effect since this was asked for" in said
