"""Price lists taken: what changes and what does not, row by row, by one at a time, with the old kept."""

from __future__ import annotations

import json
import threading
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.catalogue.price_columns import PriceColumns
from tappetry.catalogue.price_list import Proposal
from tappetry.presentation.kept import papers
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import price_look, prices, texts
from tappetry.services.begin import begin
from tappetry.services.ledger import Ledger
from tappetry.services.prices import PRICE_LISTS
from tappetry.services.shop import Shop
from tappetry.services.text_in_effect import begin as take_up
from tappetry.services.text_in_effect import keep_up
from tappetry.store.database import Database
from tappetry.store.problems import ChangedMeanwhile
from tests.catalogue.workbooks import table_workbook
from tests.services.test_begin import SAID, first_job
from tests.services.texts import worker_of

#: The day on which the list came.
CAME = date(2026, 3, 2)
HOW = PriceColumns(
    columns={"number": "NO", "price": "LIST", "cost": "NET", "description": "WHAT"},
    supplier="TNV",
    ignored=("PAGE",),
    complete=True,
    new_tax_class="parts",
)
LIST = (
    "NO,WHAT,LIST,NET,PAGE\n"
    "TN-C1,Thistle cam,244.00,171.00,1\n"
    "TN-L8,Lifters,78.00,52.00,1\n"
    "TN-S40,Springs,54.00,24.00,2\n"
    "TN-S44,Springs,free,46.00,2\n"
    "TN-D1,Chain,33.00,21.50,3\n"
    "TN-G1,Set,22.00,14.00,3\n"
    "TN-G2,Gasket,9.00,5.50,3\n"
    "TN-G3,Seal,9.80,6.20,3\n"
    "TN-N1,A new thing,12.00,7.00,4\n"
)


@pytest.fixture
def ledger(tmp_path: Path, database: Database) -> Ledger:
    """A new shop that knows how its supplier's lists are read."""
    made = Ledger(begin(tmp_path / "shop", SAID, {}).shop, database, papers())
    take_up(made, alone=True)
    prices.keep_reading(made.shop, "TNV", HOW)
    return made


def proposed(ledger: Ledger, text: str = LIST) -> Proposal:
    how = prices.reading(ledger.shop, "TNV")
    assert how is not None
    return prices.proposal(ledger.shop, text, "list.csv", how, CAME)


def price_of(shop: Shop, number: str) -> Decimal:
    part = shop.catalogue.find("TNV", number)
    assert part is not None
    return part.price


# ---- reading ----------------------------------------------------------------------------------------------


def test_a_reading_is_kept_as_text_and_read_back(ledger: Ledger) -> None:
    how = replace(HOW, units={"EA": "each"}, statuses={"A": "active"}, prefixes={"TNV": "TN-"})
    assert prices.keep_reading(ledger.shop, "TNV", how) == how
    assert prices.reading(ledger.shop, "TNV") == how


@pytest.mark.parametrize(
    ("how", "told"),
    [
        (
            replace(HOW, columns={"number": "NO"}),
            "TNV.yaml:3, columns: a name is missing (read: number); expected price",
        ),
        (
            replace(HOW, columns={"number": "NO", "price": "NO"}),
            "one column stands for two things (read: NO)",
        ),
        (replace(HOW, statuses={"A": "sold"}), "there is no such status (read: sold)"),
        (replace(HOW, columns={**HOW.columns, "unit": "U"}), "unit and pieces are told by a column each"),
        (replace(HOW, supplier=""), "neither a column nor the file says whose parts they are"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_and_the_old_one_stays(
    ledger: Ledger, how: PriceColumns, told: str
) -> None:
    with pytest.raises(BadInput) as caught:
        prices.keep_reading(ledger.shop, "TNV", how)
    assert told in str(caught.value)
    assert prices.reading(ledger.shop, "TNV") == HOW
    assert [each.name for each in (ledger.shop.folder / PRICE_LISTS).iterdir()] == ["TNV.yaml"]


def test_a_supplier_that_is_none_has_no_reading(ledger: Ledger) -> None:
    with pytest.raises(BadInput, match="there is no such supplier"):
        prices.reading(ledger.shop, "../TNV")


@pytest.mark.parametrize(
    ("text", "sign"), [("A,B\n1,2", ","), ("A;B\n", ";"), ("A\tB\n", "\t"), ("A|B\n", "|")]
)
def test_the_sign_that_parts_columns_is_seen(text: str, sign: str) -> None:
    assert prices.header_of(text) == (sign, ("A", "B"))


# ---- what a list would do ---------------------------------------------------------------------------------


def test_a_list_is_parted_into_what_it_would_do(ledger: Ledger) -> None:
    found = proposed(ledger)
    assert [row.line for row in found.rows if row.changes] == [2, 4, 6]
    (net, price) = found.rows[0].changes
    assert (price.field, price.before, price.after, price.percent) == (
        "price",
        "239.00",
        "244.00",
        Decimal("2.1"),
    )
    assert net.field == "cost"
    assert [row.line for row in found.refused] == [5], "a price that cannot be read"
    assert [part.number for part in found.gone] == ["TN-O1"]
    assert prices.undoubted(found) == (2, 6), "half as dear again is asked about, and so is a part of no pack"
    new = found.rows[-1]
    assert new.remark("pack-not-told").text.startswith("the file does not say in which packs")


def test_packs_stay_as_listed_where_no_column_tells_them(ledger: Ledger) -> None:
    row = next(row for row in proposed(ledger).rows if row.part.number == "TN-L8")
    assert (row.part.unit, row.part.pieces, row.changes) == ("set", 8, ())


def test_a_workbook_is_read_as_the_same_list(ledger: Ledger) -> None:
    book = table_workbook(line.split(",") for line in LIST.splitlines())
    assert prices.text_of(book, "list.xlsx") == LIST
    assert prices.text_of(LIST.encode("utf-8-sig"), "list.csv") == LIST


@pytest.mark.parametrize("content", [b"\x89PNG\r\n\x1a\n", b"", b"NO\xff,LIST\n", b"PK\x03\x04"])
def test_what_is_no_list_is_refused(content: bytes) -> None:
    with pytest.raises(BadInput, match="the price list is"):
        prices.text_of(content, "list")


# ---- taking -----------------------------------------------------------------------------------------------


def test_what_is_taken_is_written_and_in_force_at_once_and_the_old_is_kept(ledger: Ledger) -> None:
    before = (ledger.shop.folder / "parts.csv").read_bytes()
    taken = prices.take(ledger, "TNV", proposed(ledger), (2, 4, 10), ["TN-O1"], CAME, "Wren")
    assert (taken.new, taken.changed, taken.gone, taken.text) == (1, 2, 1, 2)
    (change,) = texts.kept(ledger, taken.text).changes
    assert (change.path, change.old) == ("parts.csv", before)
    assert change.new == (ledger.shop.folder / "parts.csv").read_bytes()
    for shop in (ledger.shop, Shop(ledger.shop.folder)):
        assert [price_of(shop, number) for number in ("TN-C1", "TN-S40", "TN-D1", "TN-N1")] == [
            Decimal("244.00"),
            Decimal("54.00"),
            Decimal("32.00"),
            Decimal("12.00"),
        ]
        oil = shop.catalogue.find("TNV", "TN-O1")
        assert oil is not None
        assert oil.status == "discontinued"
        assert shop.catalogue.version == taken.catalogue
    told = ledger.trail()[0]
    assert told.who == "Wren"
    named = "the price list list.csv of TNV"
    assert told.what == f"took {named}: version 2 of the shop's text is in effect"
    said = f"{named} of 2 March 2026: 3 of its 9 rows, 1 new, 2 changed, 1 sold no longer"
    assert told.why == said
    assert texts.kept(ledger, 2).told.why == said


def test_kits_follow_the_prices_and_quotes_that_were_sent_do_not(ledger: Ledger) -> None:
    ledger.new_job(json.dumps(first_job()), "Wren")
    sent = ledger.send_quote("Q-1", "Wren")
    paper = ledger.quote_paper("Q-1", 1)
    was = ledger.kit(ledger.job("Q-1").job).kit.totals
    prices.take(ledger, "TNV", proposed(ledger), (2,), [], CAME, "Wren")
    now = ledger.kit(ledger.job("Q-1").job).kit.totals
    assert was is not None
    assert now is not None
    assert now.parts - was.parts == Decimal("5.00")
    assert ledger.quote_paper("Q-1", 1) == paper
    assert ledger.quotes("Q-1")[0].total == sent.total == was.total


def test_another_server_follows(ledger: Ledger) -> None:
    other = Ledger(Shop(ledger.shop.folder), ledger.database, papers())
    take_up(other, alone=True)
    prices.take(ledger, "TNV", proposed(ledger), (2,), [], CAME, "Wren")
    assert price_of(other.shop, "TN-C1") == Decimal("239.00")
    keep_up(other)
    assert price_of(other.shop, "TN-C1") == Decimal("244.00")


def test_a_shop_whose_app_never_ran_takes_its_text_up_first(tmp_path: Path, database: Database) -> None:
    ledger = Ledger(begin(tmp_path / "shop", SAID, {}).shop, database, papers())
    prices.keep_reading(ledger.shop, "TNV", HOW)
    assert prices.take(ledger, "TNV", proposed(ledger), (2,), [], CAME, "Wren").text == 2
    assert [each.number for each in texts.versions(ledger)] == [2, 1]


def test_a_list_of_parts_that_was_changed_by_hand_is_not_written_over(ledger: Ledger) -> None:
    file = ledger.shop.folder / "parts.csv"
    file.write_text(file.read_text(encoding="utf-8").replace("32.00", "31.00"), encoding="utf-8")
    before = file.read_bytes()
    with pytest.raises(Refusal, match="is not the one that is in effect"):
        prices.take(ledger, "TNV", proposed(ledger), (2,), [], CAME, "Wren")
    assert file.read_bytes() == before
    assert len(texts.versions(ledger)) == 1


@pytest.mark.parametrize(
    ("lines", "gone", "told"),
    [
        ((), [], "Nothing of list.csv was chosen."),
        ((5,), [], "1 of the chosen rows of list.csv cannot be taken."),
        ((77,), [], "no row begins at this line"),
        ((2,), ["TN-C1"], "this part is not gone"),
    ],
)
def test_what_cannot_be_taken_changes_nothing(
    ledger: Ledger, lines: tuple[int, ...], gone: list[str], told: str
) -> None:
    before = (ledger.shop.folder / "parts.csv").read_bytes()
    with pytest.raises((Refusal, BadInput)) as caught:
        prices.take(ledger, "TNV", proposed(ledger), lines, gone, CAME, "Wren")
    assert told in str(caught.value)
    assert (ledger.shop.folder / "parts.csv").read_bytes() == before
    assert len(texts.versions(ledger)) == 1


def test_a_part_that_could_not_be_read_again_is_not_written(ledger: Ledger) -> None:
    """A price below the net price, taken by mistake: the list of parts would be refused from then on."""
    before = (ledger.shop.folder / "parts.csv").read_bytes()
    found = proposed(ledger, "NO,WHAT,LIST,NET,PAGE\nTN-C1,Cam,100.00,171.00,1\n")
    with pytest.raises(BadInput, match=r"parts\.csv:2, cost: the cost is over the price"):
        prices.take(ledger, "TNV", found, (2,), [], CAME, "Wren")
    assert (ledger.shop.folder / "parts.csv").read_bytes() == before


def test_parts_that_changed_since_are_not_written_over(ledger: Ledger) -> None:
    found = proposed(ledger)
    prices.take(ledger, "TNV", found, (2,), [], CAME, "Wren")
    with pytest.raises(Refusal, match=r"list\.csv was read for another catalogue"):
        prices.take(ledger, "TNV", found, (6,), [], CAME, "Dove")
    assert price_of(ledger.shop, "TN-D1") == Decimal("32.00")


def test_where_it_cannot_be_kept_the_parts_stay(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    before = (ledger.shop.folder / "parts.csv").read_bytes()
    stands = ledger.shop.catalogue.version

    def keep(*said: object) -> None:
        raise OSError("the disk went away")

    monkeypatch.setattr(prices.texts, "keep", keep)
    with pytest.raises(OSError, match="the disk went away"):
        prices.take(ledger, "TNV", proposed(ledger), (2,), [], CAME, "Wren")
    assert (ledger.shop.folder / "parts.csv").read_bytes() == before
    assert ledger.shop.catalogue.version == stands
    assert len(ledger.trail()) == 1


def test_of_two_at_once_one_takes_and_the_other_is_told(ledger: Ledger) -> None:
    found = proposed(ledger)
    told: list[str] = []

    def take(line: int) -> None:
        try:
            told.append(prices.take(ledger, "TNV", found, (line,), [], CAME, "Wren").catalogue)
        except (Refusal, ChangedMeanwhile) as error:
            told.append(error.kind)

    threads = [threading.Thread(target=take, args=(line,)) for line in (2, 6)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert len(texts.versions(ledger)) == 2
    (version,) = [each for each in told if each not in ("refused", "changed-meanwhile")]
    assert len(told) == 2
    keep_up(ledger)
    assert Shop(ledger.shop.folder).catalogue.version == ledger.shop.catalogue.version == version


def test_who_takes_while_another_list_takes_effect_loses_nothing_of_it(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one comes in between reading the parts and keeping them."""
    other = Ledger(Shop(ledger.shop.folder), ledger.database, papers())
    take_up(other, alone=True)
    found = proposed(ledger)
    following = prices.following

    def slow(shop: Shop, *said: object) -> object:
        monkeypatch.setattr(prices, "following", following)
        prices.take(other, "TNV", found, (2,), [], CAME, "Dove")
        return following(shop, *said)

    monkeypatch.setattr(prices, "following", slow)
    with pytest.raises(ChangedMeanwhile):
        prices.take(ledger, "TNV", found, (6,), [], CAME, "Wren")
    keep_up(ledger)
    assert (price_of(ledger.shop, "TN-C1"), price_of(ledger.shop, "TN-D1")) == (Decimal(244), Decimal(32))


# ---- lists that wait --------------------------------------------------------------------------------------


def test_a_list_waits_and_is_taken_or_left(ledger: Ledger) -> None:
    first = prices.receive(ledger, "TNV", "../spring\n2026.csv", LIST.encode(), "Wren")
    second = prices.receive(ledger, "TNV", "C:\\lists\\two.csv", LIST.encode(), "Dove")
    assert (first.file, second.file) == ("spring_2026.csv", "two.csv")
    assert {each.mark for each in prices.waiting(ledger.shop)} == {first.mark, second.mark}
    assert prices.received(ledger.shop, first.mark) == first
    prices.leave(ledger, first.mark, "Wren")
    assert ledger.trail()[0].what == "left the price list spring_2026.csv of TNV"
    key = price_look.ask(ledger, second.mark, None, [], ledger.shop.catalogue.version, "Dove")
    assert worker_of(ledger).work_once()
    taken = price_look.take(ledger, second.mark, key, "Dove")
    assert (taken.new, taken.changed, taken.gone) == (0, 2, 0)
    assert prices.waiting(ledger.shop) == ()
    with pytest.raises(BadInput, match="the price list waits no longer"):
        prices.received(ledger.shop, second.mark)


@pytest.mark.parametrize("mark", ["", "..", "0" * 15, "0" * 17, "g" * 16, "../../shop"])
def test_a_mark_that_is_none_is_refused(ledger: Ledger, mark: str) -> None:
    with pytest.raises(BadInput, match="no price list has such a mark"):
        prices.received(ledger.shop, mark)


def test_a_page_of_yesterday_takes_nothing(ledger: Ledger) -> None:
    version = ledger.shop.catalogue.version
    prices.take(ledger, "TNV", proposed(ledger), (2,), [], CAME, "Wren")
    found = prices.receive(ledger, "TNV", "list.csv", LIST.encode(), "Dove")
    with pytest.raises(Refusal, match="The list of parts has changed since this page was made"):
        price_look.ask(ledger, found.mark, [6], [], version, "Dove")
    assert prices.received(ledger.shop, found.mark) == found
