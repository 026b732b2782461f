"""Prices that are too old are named, until their supplier is asked again or a list of his is taken."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from tappetry.presentation.kept import papers
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import agreements, price_age, prices
from tappetry.services.begin import begin
from tappetry.services.ledger import Ledger
from tappetry.services.price_age import Aged
from tappetry.services.text_in_effect import begin as take_up
from tappetry.store.database import Database
from tappetry.store.jobs import enter
from tappetry.store.price_days import Known, days_of, keep_day
from tests.pricing.jobs import line
from tests.services.test_begin import SAID
from tests.services.test_prices import CAME, HOW, LIST, proposed
from tests.services.till import NOON, agreed, changed, till
from tests.store.documents import act

pytestmark = pytest.mark.slow


def after(ledger: Ledger, days: int) -> Ledger:
    """The same shop some days later."""

    def later() -> datetime:
        return NOON + timedelta(days=days)

    return Ledger(ledger.shop, ledger.database, ledger.papers, later)


def old(ledger: Ledger, number: str) -> tuple[Aged, ...]:
    """What is to be asked again of a job that was agreed."""
    return price_age.to_ask(ledger, agreements.due(ledger, number), None)


def told(found: tuple[Aged, ...]) -> list[tuple[str, list[str], int | None]]:
    return [(each.supplier, [line.part for line in each.lines], each.oldest) for each in found]


def test_a_price_of_which_no_day_is_known_is_to_be_asked(database: Database) -> None:
    ledger = till(database)
    number = agreed(ledger)
    assert told(old(ledger, number)) == [("AAA", ["A-1", "B-1", "C-1"], None)]


def test_whoever_asked_again_need_not_ask_until_it_is_too_old_once_more(database: Database) -> None:
    ledger = till(database)
    number = agreed(ledger)
    price_age.ask_again(ledger, number, "AAA", "Wren")
    entry = ledger.trail()[0]
    assert (entry.who, entry.what, entry.why) == (
        "Wren",
        "asked AAA again: 3 prices stand as listed",
        "A-1, B-1, C-1",
    )
    assert old(ledger, number) == ()
    assert old(after(ledger, 7), number) == ()
    (late,) = old(after(ledger, 8), number)
    assert (late.oldest, late.limit) == (8, 7)
    price_age.ask_again(after(ledger, 8), number, "AAA", "Wren")
    assert old(after(ledger, 15), number) == ()


def test_nobody_is_asked_twice_or_without_need(database: Database) -> None:
    ledger = till(database)
    number = agreed(ledger)
    for supplier in ("BBB", ""):
        with pytest.raises(Refusal, match="is to be asked again"):
            price_age.ask_again(ledger, number, supplier, "Wren")
    price_age.ask_again(ledger, number, "AAA", "Wren")
    with pytest.raises(Refusal, match="No price of AAA for job J-1 is to be asked again"):
        price_age.ask_again(ledger, number, "AAA", "Rook")


def test_another_job_has_only_what_both_buy(database: Database) -> None:
    ledger = till(database)
    price_age.ask_again(ledger, agreed(ledger), "AAA", "Wren")
    lines = [line(part="B-1"), line(part="X-1"), line(part="B-1", supplier="BBB")]
    assert told(price_age.aged(ledger, lines)) == [("AAA", ["X-1"], None), ("BBB", ["B-1"], None)]


def test_a_change_order_asks_only_for_what_it_buys_beyond_what_is_agreed(database: Database) -> None:
    ledger = till(database)
    number = agreed(ledger)
    changed(ledger, number, "459.00")
    (change,) = agreements.changes(ledger, number)
    assert price_age.before_yes(ledger, change) == ()
    assert told(price_age.before_yes(ledger, ledger.quotes(number)[0])) == [
        ("AAA", ["A-1", "B-1", "C-1"], None)
    ]


def test_the_oldest_of_several_is_told_where_each_is_known(database: Database) -> None:
    ledger = till(database)
    price_age.ask_again(ledger, agreed(ledger), "AAA", "Wren")
    later = after(ledger, 20)
    with later.database.writing() as session:
        ninth = Known("AAA", NOON.date() + timedelta(days=9), frozenset({"B-1"}))
        keep_day(session, ninth, enter(session, act()).id)
    lines = [line(part="B-1"), line(part="C-1")]
    assert told(price_age.aged(later, lines)) == [("AAA", ["B-1", "C-1"], 20)]


def test_a_clock_that_was_set_back_makes_no_price_old(database: Database) -> None:
    ledger = after(till(database), 30)
    price_age.ask_again(ledger, agreed(ledger), "AAA", "Wren")
    assert old(till(database), "J-1") == ()


@pytest.mark.parametrize(
    ("part", "whole", "covered"),
    [("A", False, True), ("B", False, False), ("A", True, False), ("B", True, True)],
)
def test_a_day_is_of_some_parts_or_of_all_others(part: str, whole: bool, covered: bool) -> None:
    assert Known("AAA", CAME, frozenset({"A"}), whole).covers(part) is covered


def test_the_last_day_of_each_part_counts(database: Database) -> None:
    ledger = till(database)
    days = [date(2026, 3, day) for day in (5, 1, 3)]
    with ledger.database.writing() as session:
        entry = enter(session, act()).id
        keep_day(session, Known("AAA", days[0], frozenset({"A"})), entry)
        keep_day(session, Known("AAA", days[1], frozenset({"A", "C"}), whole=True), entry)
        keep_day(session, Known("AAA", days[2], frozenset({"A", "B"})), entry)
    wanted = [("AAA", each) for each in "ABCD"] + [("BBB", "A")]
    found = ledger.read(lambda session: days_of(session, wanted))
    assert found == {("AAA", "A"): days[0], ("AAA", "B"): days[2], ("AAA", "D"): days[1]}


@pytest.fixture
def beginner(tmp_path: Path, database: Database) -> Ledger:
    """A new shop that knows how its supplier's lists are read."""
    made = Ledger(begin(tmp_path / "shop", SAID, {}).shop, database, papers(), lambda: NOON)
    take_up(made, alone=True)
    prices.keep_reading(made.shop, "TNV", HOW)
    return made


def known_now(ledger: Ledger) -> set[str]:
    """The parts of the supplier whose prices are not old."""
    parts = [each.number for each in ledger.shop.catalogue.parts if each.supplier == "TNV"]
    groups = price_age.aged(ledger, [line(part=each, supplier="TNV") for each in parts])
    return set(parts) - {each.part for group in groups for each in group.lines}


def test_a_list_makes_known_what_it_says_as_listed_and_what_is_taken_of_it(beginner: Ledger) -> None:
    found = proposed(beginner)
    same = {row.part.number for row in found.rows if row.kind is prices.RowKind.SAME}
    assert same
    assert known_now(beginner) == set()
    prices.take(beginner, "TNV", found, (2, 10), [], CAME, "Wren")
    assert known_now(beginner) == same | {"TN-C1", "TN-N1"}


def test_a_list_that_says_what_is_listed_makes_all_of_it_known(beginner: Ledger) -> None:
    parts = [each for each in beginner.shop.catalogue.parts if each.supplier == "TNV"]
    rows = [f"{each.number},,{each.price},{each.cost},1" for each in parts]
    text = "NO,WHAT,LIST,NET,PAGE\n" + "\n".join(rows) + "\n"
    before = beginner.shop.catalogue.version
    prices.stand(beginner, "TNV", proposed(beginner, text), CAME, "Wren")
    assert known_now(beginner) == {each.number for each in parts}
    assert beginner.shop.catalogue.version == before
    assert beginner.trail()[0].what == "the price list list.csv of TNV says what is listed"


@pytest.mark.parametrize("text", [LIST, "NO,WHAT,LIST,NET,PAGE\nTN-D1,Chain,32.00,21.50,3,and more\n"])
def test_a_list_that_says_something_else_is_not_said_to_stand(beginner: Ledger, text: str) -> None:
    with pytest.raises((Refusal, BadInput)):
        prices.stand(beginner, "TNV", proposed(beginner, text), CAME, "Wren")
    assert known_now(beginner) == set()


def test_a_list_of_nothing_says_nothing(beginner: Ledger) -> None:
    nothing = replace(proposed(beginner), rows=(), unreadable=())
    with pytest.raises(Refusal, match=r"Not all in list\.csv is as it is listed"):
        prices.stand(beginner, "TNV", nothing, CAME, "Wren")
