"""A price file becomes a proposal: every oddity of the sample is found, and nothing is taken unasked."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.price_columns import PriceColumns, read_price_columns
from tappetry.catalogue.price_list import (
    Change,
    Collision,
    Proposal,
    ProposedRow,
    RowKind,
    propose,
)
from tappetry.catalogue.price_rows import Weight
from tappetry.catalogue.rows import read_text
from tappetry.records.problems import BadInput, Refusal
from tests.catalogue.shop import PRICE_FILES, catalogue_of, demo_catalogue

TODAY = date(2024, 4, 1)
HOW = PriceColumns(
    columns={
        "supplier": "WHO",
        "number": "NO",
        "unit": "UNIT",
        "pieces": "PCS",
        "price": "LIST",
        "cost": "NET",
        "discount_percent": "DISC",
        "core_charge": "CORE",
        "status": "ST",
        "superseded_by": "REPL",
        "date": "DATE",
    },
    units={"EA": "each", "SET": "set"},
    statuses={"A": "active", "S": "superseded", "D": "discontinued"},
    prefixes={"DEF": "D-"},
    new_lead_days=9,
)
HEADER = "WHO,NO,UNIT,PCS,LIST,NET,DISC,CORE,ST,REPL,DATE\n"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return demo_catalogue()


@pytest.fixture(scope="module")
def sample(catalogue: Catalogue) -> Proposal:
    how = read_price_columns(PRICE_FILES / "columns.yaml")
    file = PRICE_FILES / "messy-sample.csv"
    return propose(read_text(file), file.name, catalogue, how, TODAY)


def row(proposal: Proposal, line: int) -> ProposedRow:
    return next(row for row in proposal.rows if row.line == line)


def ids(row: ProposedRow) -> set[str]:
    return {remark.id for remark in row.remarks}


# ---- the sample as received ------------------------------------------------------------------------------


def test_every_row_of_the_sample_is_kept(sample: Proposal) -> None:
    assert [row.line for row in sample.rows] == list(range(2, 23))
    assert len(sample.rows) == 21


def test_a_decimal_comma_is_asked_about(sample: Proposal) -> None:
    remark = row(sample, 2).remark("decimal-comma")
    assert (remark.weight, remark.text) == (Weight.ASK, "LIST 51,00 has a decimal comma: taken as 51.00")
    assert row(sample, 2).part.price == Decimal("51.00")


def test_one_part_with_two_prices_and_dates_newest_stands_and_is_asked_about(sample: Proposal) -> None:
    newest, older = row(sample, 2), row(sample, 3)
    assert newest.part.number == older.part.number == "PG-101-130"
    assert (newest.stands, older.stands) == (True, False)
    assert (newest.kind, older.kind) == (RowKind.SAME, RowKind.CHANGED)
    assert newest.remark("twice").text == (
        "the part stands in several rows: PG 101-130 at line 2, PG101130 at line 3; "
        "this one, of 2024-03-01, is the newest"
    )
    assert older.remark("two-net-prices").text == "net 31.10 here, 32.00 at line 2"
    assert newest.suspicious
    assert older.suspicious


def test_a_wholesaler_with_the_makers_number_stays_another_part(sample: Proposal) -> None:
    pair = row(sample, 4)
    assert (pair.part.supplier, pair.part.number, pair.part.pieces) == ("WDW", "WDW-PG101130", 2)
    text = pair.remark("number-of-another").text
    assert "PSG (line 2: each of 1, 32.00 a piece against 33.00 here, 3.1 % dearer here)" in text
    assert text.endswith("they stay two parts")


def test_a_lost_leading_zero_is_suspected_and_never_merged(sample: Proposal) -> None:
    short, full = row(sample, 5), row(sample, 6)
    assert (short.kind, short.part.number) == (RowKind.NEW, "IF-825-3")
    assert (full.kind, full.part.number) == (RowKind.SAME, "IF-0825-3")
    assert short.remark("leading-zero").text == "825-3 may be 0825-3 with its leading zero lost"
    assert (short.remark("leading-zero").weight, full.remark("leading-zero").weight) == (
        Weight.ASK,
        Weight.NOTE,
    )


def test_a_discontinued_row_at_nothing_is_never_sold_at_nothing(
    sample: Proposal, catalogue: Catalogue
) -> None:
    gone = row(sample, 9)
    assert gone.part.status == "discontinued"
    assert gone.remark("price-of-nothing").text == (
        "discontinued at 0.00: orders are blocked, the price is not taken"
    )
    assert gone.suspicious
    ordered = catalogue.orderable(gone.part)
    assert ordered is not None
    assert (ordered.number, ordered.price) == ("MO-9144207", Decimal("58.00"))


def test_a_superseded_row_keeps_its_old_stock(sample: Proposal, catalogue: Catalogue) -> None:
    old = row(sample, 10)
    assert old.remark("superseded").text == "replaced by MO-9160733A; stock on the shelf stays usable"
    assert catalogue.stock_usable(old.part)
    ordered = catalogue.orderable(old.part)
    assert ordered is not None
    assert ordered.number == "MO-9160733A"


def test_pack_variants_show_the_price_of_a_piece(sample: Proposal) -> None:
    for line in (12, 13, 14):
        assert row(sample, line).remark("pack-variants").text == (
            "the same goods in several packs: each of 1 at 5.20 a piece, set of 12 at 5.00 a piece, "
            "set of 16 at 4.875 a piece"
        )
    assert [row(sample, line).kind for line in (12, 13, 14)] == [RowKind.SAME, RowKind.NEW, RowKind.NEW]
    assert row(sample, 13).part.number == "QS-226.12"
    assert "set of 16 at 11.625 a piece" in row(sample, 18).remark("pack-variants").text


def test_a_missing_net_price_conflicts_with_the_discount(sample: Proposal) -> None:
    stated, missing = row(sample, 15), row(sample, 16)
    assert missing.remark("net-missing").text == "the row states no net price; 20 % off 219.00 is 175.20"
    assert missing.remark("two-net-prices").text == "net 175.20 here, 148.00 at line 15"
    assert stated.remark("two-net-prices").text == "net 148.00 here, 175.20 at line 16"
    assert missing.remark("large-change").text == "cost 148.00 becomes 175.20: +18.4 %, over 15 %"
    assert (stated.stands, missing.stands) == (False, False)


@pytest.mark.parametrize(("lines", "core", "at"), [((15, 16), "45.00", 15), ((21, 22), "60.00", 22)])
def test_a_core_charge_on_one_row_only(sample: Proposal, lines: tuple[int, int], core: str, at: int) -> None:
    for line in lines:
        assert (
            row(sample, line).remark("core-on-one-row").text
            == f"the core charge {core} stands only at line {at}"
        )
        assert row(sample, line).part.core_charge == Decimal(core)


def test_a_set_that_holds_a_loose_gasket(sample: Proposal) -> None:
    assert (
        row(sample, 19).remark("set-holds-part").text == "the set holds PG-94-120 of line 20 (head-gaskets)"
    )
    assert row(sample, 20).remark("set-holds-part").text == (
        "the set PG-OSK of line 19 holds this part (head-gaskets)"
    )


def test_what_a_list_by_number_alone_would_lose(sample: Proposal) -> None:
    assert sample.collisions == (
        Collision("PG101130", (3, 4)),
        Collision("LX-3150", (15, 16)),
        Collision("HV-2041-1D", (21, 22)),
    )
    assert sample.lost_by_number == 3


def test_rows_without_doubt_have_no_more_than_notes(sample: Proposal) -> None:
    assert [row.line for row in sample.rows if row.weight is Weight.NOTE] == [
        4,
        6,
        7,
        8,
        10,
        11,
        12,
        13,
        14,
        17,
        18,
        19,
        20,
    ]
    assert ids(row(sample, 7)) == ids(row(sample, 8)) == set()
    assert sample.refused == ()


def test_nothing_is_taken_while_rows_are_in_doubt(sample: Proposal, catalogue: Catalogue) -> None:
    with pytest.raises(Refusal) as caught:
        sample.apply(catalogue)
    refusal = caught.value
    assert refusal.message == "8 of 21 rows of messy-sample.csv need a decision."
    assert refusal.grounds[0].text == "line 2, PG-101-130: LIST 51,00 has a decimal comma: taken as 51.00"
    assert (
        refusal.ways_out[0] == "take the rows without doubts: 4, 6, 7, 8, 10, 11, 12, 13, 14, 17, 18, 19, 20"
    )


def test_chosen_rows_are_taken_together(sample: Proposal, catalogue: Catalogue) -> None:
    version = catalogue.version
    taken = sample.apply(catalogue, [3, 13, 14])
    gasket, twelve = taken.find("PSG", "PG-101-130"), taken.find("QSV", "QS-226.12")
    assert gasket is not None
    assert (gasket.price, gasket.cost, gasket.description) == (
        Decimal("49.50"),
        Decimal("31.10"),
        "Head gasket multi-layer, bore 101.0, 1.30 mm, EACH",
    )
    assert twelve is not None
    assert (twelve.pieces, twelve.cost, twelve.fills, twelve.as_read, twelve.lead_days) == (
        12,
        Decimal("60.00"),
        (),
        "QS-226.12",
        5,
    )
    assert len(taken.parts) == len(catalogue.parts) + 2
    assert catalogue.version == version != taken.version


def test_two_rows_of_one_part_cannot_both_be_taken(sample: Proposal, catalogue: Catalogue) -> None:
    with pytest.raises(Refusal) as caught:
        sample.apply(catalogue, [15, 16])
    assert caught.value.grounds[0].text == "lines 15 and 16 are both LX-3150"
    assert caught.value.ways_out == ["leave out line 15", "leave out line 16"]


def test_a_line_without_a_row_is_told(sample: Proposal, catalogue: Catalogue) -> None:
    with pytest.raises(BadInput) as caught:
        sample.apply(catalogue, [7, 99])
    assert str(caught.value) == (
        "messy-sample.csv:99: no row begins at this line (read: 99); expected a line with a row"
    )


def test_a_proposal_is_for_the_catalogue_it_was_made_for(sample: Proposal, catalogue: Catalogue) -> None:
    other = replace(catalogue, parts=catalogue.parts[:-1])
    with pytest.raises(Refusal) as caught:
        sample.apply(other, [7])
    assert caught.value.grounds[0].text == f"read for {catalogue.version}, this is {other.version}"


# ---- other oddities --------------------------------------------------------------------------------------


def proposal(*rows: str, how: PriceColumns = HOW, in_shop: Catalogue | None = None) -> Proposal:
    shop = in_shop or catalogue_of({"number": "A-1", "core_charge": "5.00"}, {"number": "A-2"})
    return propose(HEADER + "\n".join(rows) + "\n", "prices.csv", shop, how, TODAY)


def only(line: str, **how: object) -> ProposedRow:
    (found,) = proposal(line, how=replace(HOW, **how)).rows  # type: ignore[arg-type]
    return found


def test_a_changed_price_shows_before_after_and_percent() -> None:
    found = only("ABC,a1,EA,1,3.15,2.10,,5.00,A,,2024-03-01")
    assert found.kind is RowKind.CHANGED
    assert found.changes == (
        Change("cost", "2.00", "2.10", Decimal("5.0")),
        Change("price", "3.00", "3.15", Decimal("5.0")),
    )
    assert found.remarks == ()


def test_a_change_of_just_the_limit_is_not_suspicious() -> None:
    assert not only("ABC,A-1,EA,1,3.45,2.00,,,A,,").suspicious
    found = only("ABC,A-1,EA,1,3.46,2.00,,,A,,")
    assert found.remark("large-change").text == "price 3.00 becomes 3.46: +15.3 %, over 15 %"


@pytest.mark.parametrize(
    ("line", "id", "weight", "text"),
    [
        (
            "ABC,A-1,EA,1,0.00,0.00,,,A,,",
            "price-of-nothing",
            Weight.REFUSED,
            "list 0.00, net 0.00: it would be sold for nothing",
        ),
        ("ABC,A-1,EA,1,3.00,3.01,,,A,,", "net-over-list", Weight.ASK, "net 3.01 is over list 3.00"),
        ("ABC,A-1,EA,2,3.00,2.00,,,A,,", "pieces-changed", Weight.ASK, "pieces 1 becomes 2"),
        ("ABC,A-1,SET,1,3.00,2.00,,,A,,", "unit-changed", Weight.ASK, "unit each becomes set"),
        (
            "ABC,A-1,2/PK,1,3.00,2.00,,,A,,",
            "unknown-unit",
            Weight.ASK,
            "nobody has said what the unit '2/PK' means; kept as it is written",
        ),
        (
            "ABC,A-1,EA,0,3.00,2.00,,,A,,",
            "unreadable",
            Weight.REFUSED,
            "PCS '0': the number cannot be taken; expected a whole number of at least 1",
        ),
        ("ABC,A-1,EA,,3.00,2.00,,,A,,", "unreadable", Weight.REFUSED, "pieces is empty"),
        ("ABC,A-1,EA,1,call us,2.00,,,A,,", "no-price", Weight.REFUSED, "the row states no list price"),
        (
            "ABC,A-1,EA,1,-3.00,2.00,,,A,,",
            "unreadable",
            Weight.REFUSED,
            "LIST '-3.00': the amount is negative; expected an amount of at least 0",
        ),
        (
            "ABC,A-1,EA,1,$3.00,2.00,,,A,,",
            "unreadable",
            Weight.REFUSED,
            "LIST '$3.00': the amount cannot be read: a number has to stand here; expected an "
            "amount such as 12.50",
        ),
        (
            "ABD,A-1,EA,1,3.00,2.00,,,A,,",
            "unknown-supplier",
            Weight.REFUSED,
            "there is no supplier 'ABD'; ABC?",
        ),
        (
            "ABC,A-1,EA,1,3.00,2.00,,,Z,,",
            "unknown-status",
            Weight.REFUSED,
            "nobody has said what the status 'Z' means",
        ),
        (
            "ABC,A-1,EA,1,3.00,2.00,,,A,,01.03.2024",
            "unreadable",
            Weight.REFUSED,
            "DATE '01.03.2024': the date cannot be read; expected year-month-day, as in 2024-03-01",
        ),
        (
            "ABC,A-1,EA,1,3.00,2.00,,,A,,2024-04-02",
            "not-in-force",
            Weight.ASK,
            "the price is of 2024-04-02; today is 2024-04-01",
        ),
        (
            "ABC,A-1,EA,1,3.00,,,,A,,",
            "net-missing",
            Weight.ASK,
            "the row states no net price and no discount",
        ),
        (
            "ABC,A-1,EA,1,3.00,2.00,50,,A,,",
            "discount-conflict",
            Weight.ASK,
            "50 % off 3.00 is 1.50, and the row says net 2.00: one discount may be taken twice",
        ),
        (
            "ABC,A-1,EA,1,3.00,2.00,,,S,X-9,",
            "no-successor",
            Weight.REFUSED,
            "the successor X-9 is neither in the file nor in the catalogue",
        ),
        (
            "ABC,A-1,EA,1,3.00,2.00,,,S,,",
            "no-successor",
            Weight.REFUSED,
            "superseded, and the row names no successor",
        ),
    ],
)
def test_what_is_asked_about_and_what_is_refused(line: str, id: str, weight: Weight, text: str) -> None:
    remark = only(line).remark(id)
    assert (remark.weight, remark.text) == (weight, text)


def test_net_that_agrees_with_the_discount_is_no_conflict() -> None:
    assert only("ABC,A-1,EA,1,3.00,2.00,33.33,,A,,").remarks == ()


def test_a_core_charge_that_is_not_stated_stays() -> None:
    assert only("ABC,A-1,EA,1,3.00,2.00,,,A,,").part.core_charge == Decimal("5.00")
    assert only("ABC,A-1,EA,1,3.00,2.00,,0,A,,").part.core_charge == Decimal(0)


def test_a_refused_row_cannot_be_chosen_and_the_others_wait_for_a_word() -> None:
    shop = catalogue_of({"number": "A-1"}, {"number": "A-2"})
    prices = proposal("ABC,A-1,EA,1,0,0,,,A,,", "ABC,A-2,EA,1,3.10,2.10,,,A,,", in_shop=shop)
    with pytest.raises(Refusal) as caught:
        prices.apply(shop)
    assert caught.value.ways_out[0] == "take the rows without doubts: 3"
    with pytest.raises(Refusal) as caught:
        prices.apply(shop, [2, 3])
    assert caught.value.message == "1 of the chosen rows of prices.csv cannot be taken."
    taken = prices.apply(shop, [3]).find("ABC", "A-2")
    assert taken is not None
    assert taken.price == Decimal("3.10")


def test_rows_without_doubt_are_taken_without_a_word() -> None:
    shop = catalogue_of({"number": "A-1"}, {"number": "A-2"})
    prices = proposal("ABC,A-2,EA,1,3.10,2.10,,,A,,", "DEF,0077,EA,1,9.00,6.00,,,A,,", in_shop=shop)
    taken = prices.apply(shop)
    assert [part.number for part in taken.parts] == ["A-1", "A-2", "D-0077"]
    assert [part.number for part in taken.parts_for("bolt")] == ["A-1", "A-2"]


def test_a_chain_that_would_become_a_circle_is_not_taken() -> None:
    shop = catalogue_of({"number": "A-1"}, {"number": "A-2", "status": "superseded", "superseded_by": "A-1"})
    prices = proposal("ABC,A-1,EA,1,3.00,2.00,,,S,A-2,", in_shop=shop)
    with pytest.raises(BadInput) as caught:
        prices.apply(shop)
    assert "the supersessions go round in a circle (read: A-1 -> A-2 -> A-1)" in str(caught.value)


def test_a_part_sourced_by_hand_stays_so() -> None:
    shop = catalogue_of({"number": "A-1", "status": "by hand"})
    (found,) = proposal("ABC,A-1,EA,1,3.00,2.00,,,A,,", in_shop=shop).rows
    assert found.part.status == "by hand"
    assert found.kind is RowKind.SAME


def test_what_a_complete_list_no_longer_holds_is_gone_and_stays_in_the_catalogue() -> None:
    shop = catalogue_of({"number": "A-1"}, {"number": "A-2"}, {"number": "X", "supplier": "DEF"})
    prices = proposal("ABC,A-1,EA,1,3.00,2.00,,,A,,", how=replace(HOW, complete=True), in_shop=shop)
    assert [part.number for part in prices.gone] == ["A-2"]
    assert len(prices.apply(shop).parts) == 3


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "ABC,D-2,EA,1,3,00,2.00,,,A,,",
            "the row has 12 cells (read: ABC,D-2,EA,1,3,00,2.00,,,A,,); expected 11 cells, as in the header",
        ),
        ("ABC,D-2,EA", "the row has 3 cells (read: ABC,D-2,EA); expected 11 cells, as in the header"),
        (
            "ABC,D-2,E\u200bA,1,3.00,2.00,,,A,,",
            ", UNIT: the cell holds a sign that cannot be seen (read: U+200B); expected printable text",
        ),
    ],
    ids=["more", "fewer", "unseen"],
)
def test_a_row_that_cannot_be_read_leaves_the_others_and_is_never_taken(line: str, told: str) -> None:
    shop = catalogue_of(*({"number": each} for each in ("A-1", "D-2", "A-3")))
    rows = ("ABC,A-1,EA,1,3.15,2.10,,,A,,", line, "ABC,N-1,EA,1,3.00,2.00,,,A,,")
    found = proposal(*rows, how=replace(HOW, complete=True), in_shop=shop)
    assert [(each.line, each.kind) for each in found.rows] == [(2, RowKind.CHANGED), (4, RowKind.NEW)]
    (unreadable,) = found.unreadable
    assert (unreadable.line, unreadable.cells, found.count) == (3, tuple(line.split(",")), 3)
    said = f"prices.csv:3{'' if told.startswith(',') else ': '}{told}"
    assert [str(each) for each in unreadable.complaints] == [said]
    assert [part.number for part in found.gone] == ["A-3"], "nobody knows what the row says of D-2"
    after = found.apply(shop, [2])
    assert [str(part.price) for part in after.parts] == ["3.15", "3.00", "3.00"]
    for lines in ([2, 3], None):
        with pytest.raises(Refusal) as refused:
            found.apply(shop, lines)
        assert said in [each.text for each in refused.value.grounds]


def test_a_file_of_which_no_row_can_be_read_is_refused_whole() -> None:
    with pytest.raises(BadInput) as caught:
        proposal("ABC,A-1,EA,1,3,15,2.10,,,A,,", "a line of words")
    assert [each.message for each in caught.value.complaints] == [
        "the row has 12 cells",
        "the row has 1 cell",
    ]


def test_the_file_as_a_whole_is_read_strictly() -> None:
    with pytest.raises(BadInput) as caught:
        propose(HEADER.replace(",", ";"), "prices.csv", catalogue_of({}), HOW, TODAY)
    assert str(caught.value).startswith("prices.csv:1: the columns are parted by a semicolon (read: WHO;NO;")


# ---- how a file is read ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (
            "columns: {supplier: A, number: B, unit: C, pieces: D, prize: E}\n",
            "columns.yaml:1, columns.prize: there is no such name (read: prize); did you mean price?",
        ),
        (
            "columns: {supplier: A, number: B, unit: C, pieces: D}\n",
            "columns.yaml:1, columns: a name is missing (read: supplier, number, unit, pieces); "
            "expected price",
        ),
        (
            "columns: {supplier: A, number: B, unit: C, pieces: D, price: E}\nstatuses: {A: sold}\n",
            "columns.yaml:2, statuses.A: there is no such status (read: sold); "
            "expected one of active, by hand, superseded, discontinued",
        ),
        (
            "columns: {supplier: A, number: B, unit: C, pieces: D, price: E}\nparted_by: '.'\n",
            "columns.yaml:2, parted_by: no sign that parts columns (read: '.'); "
            "expected one of a comma, a semicolon, a tab, a bar",
        ),
    ],
)
def test_complaints_about_how_a_file_is_read(tmp_path: Path, text: str, complaint: str) -> None:
    file = tmp_path / "columns.yaml"
    file.write_text(text)
    with pytest.raises(BadInput) as caught:
        read_price_columns(file)
    assert complaint in str(caught.value).splitlines()
