"""Parts are read strictly: what a complaint says, and what is kept as it is written."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.catalogue.reader import parse_parts, read_parts, read_suppliers
from tappetry.records.part import Content, Fill
from tappetry.records.problems import BadInput
from tests.catalogue.shop import KNOWN, SUPPLIERS, complaint, complaints_about, parts_of, text_of


def the_complaint(path: Path) -> str:
    with pytest.raises(BadInput) as caught:
        read_parts(path, KNOWN, SUPPLIERS)
    return str(caught.value)


def test_a_row_becomes_a_part_with_typed_values() -> None:
    (part,) = parts_of(
        {
            "fills": "gasket:2; seal:12(type=umbrella|springs=S1|S2|single_use=yes)",
            "fits": "family=BR|OS; era=2",
            "attributes": "bore_mm=101.0; teeth=22; single_use=no; springs=S3; mount=stud",
            "contents": "10 x bolt M12x140(length_mm=140); 1 x tin of lubricant, small",
            "cost": "1,234.50",
            "price": "1300",
        }
    )
    assert part.fills == (
        Fill("gasket", 2),
        Fill("seal", 12, {"type": "umbrella", "springs": ("S1", "S2"), "single_use": True}),
    )
    assert part.fits == {"family": ("BR", "OS"), "era": ("2",)}
    assert part.attributes == {
        "bore_mm": 101.0,
        "teeth": 22.0,
        "single_use": False,
        "springs": ("S3",),
        "mount": "stud",
    }
    assert part.contents == (
        Content("bolt M12x140", 10, {"length_mm": 140.0}),
        Content("tin of lubricant, small", 1),
    )
    assert (part.cost, part.price) == (Decimal("1234.50"), Decimal("1300"))
    assert part.attributes_for("seal")["type"] == "umbrella"
    assert part.pieces_for("seal") == 12


def test_leading_zeros_are_kept() -> None:
    (part,) = parts_of({"number": "0825-3"})
    assert part.number == "0825-3"


def test_a_text_that_looks_like_a_number_stays_a_text() -> None:
    (part,) = parts_of({"attributes": "type=10.9"})
    assert part.attributes["type"] == "10.9"


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        ("7.425 in", 188.595),  # 7.425 x 25.4, exact by the definition of the inch
        ("1-7/16 in", 36.5125),
        ("0.0412 m", 41.2),
        ("41.2 mm", 41.2),
        ("-0.5", -0.5),
        (".5", 0.5),
    ],
)
def test_a_length_in_another_unit_is_kept_in_the_unit_of_its_name(written: str, kept: float) -> None:
    (part,) = parts_of({"attributes": f"length_mm={written}"})
    assert part.attributes["length_mm"] == kept


def test_a_pound_of_load_is_a_force() -> None:
    # 1 kN / 4.448 221 615 260 5 N per lbf, NIST SP 811 appendix B; twelve digits are kept
    (part,) = parts_of({"attributes": "seat_lb=1 kN"})
    assert part.attributes["seat_lb"] == pytest.approx(224.808943099710, rel=1e-11)


@pytest.mark.parametrize(
    ("cells", "text"),
    [
        (
            {"attributes": "length_mm=1.2 psi"},
            "parts.csv:2, attributes.length_mm: length_mm cannot be read: cannot read '1.2 psi' as "
            "length, at character 5:",
        ),
        (
            {"attributes": "bore_m=101"},
            "parts.csv:2, attributes.bore_m: there is no such attribute (read: bore_m); "
            "did you mean bore_mm?",
        ),
        (
            {"attributes": "teeth=22.5"},
            "parts.csv:2, attributes.teeth: teeth is a count (read: 22.5); expected a whole number, "
            "not negative",
        ),
        (
            {"attributes": "single_use=true"},
            "parts.csv:2, attributes.single_use: single_use is true or not (read: true); expected yes or no",
        ),
        (
            {"attributes": "mount=pedestall"},
            "parts.csv:2, attributes.mount: mount has no value pedestall, closest is pedestal "
            "(read: pedestall); "
            "expected one of pedestal, stud",
        ),
        (
            {"attributes": "type=a|b"},
            "parts.csv:2, attributes.type: type takes one value, not a list (read: a|b); expected a text",
        ),
        (
            {"attributes": "type="},
            "parts.csv:2, attributes.type: type has no value; expected a text",
        ),
        (
            {"attributes": "bore_mm"},
            "parts.csv:2, attributes: a value without its attribute (read: bore_mm); expected "
            "attribute=value",
        ),
        (
            {"attributes": "bore_mm=1; bore_mm=2"},
            "parts.csv:2, attributes.bore_mm: the attribute stands twice (read: bore_mm=2); "
            "expected each attribute once",
        ),
        (
            {"fills": "gaskets:1"},
            "parts.csv:2, fills.gaskets: there is no such need (read: gaskets); did you mean gasket?",
        ),
        (
            {"fills": "bolt:0"},
            "parts.csv:2, fills.bolt: the pieces are no count (read: 0); expected a whole number of "
            "at least 1",
        ),
        (
            {"fills": "bolt:2.5"},
            "parts.csv:2, fills.bolt: the pieces are no count (read: 2.5); expected a whole number "
            "of at least 1",
        ),
        (
            {"fills": "bolt"},
            "parts.csv:2, fills: cannot be read (read: bolt); expected need:pieces or "
            "need:pieces(attribute=value)",
        ),
        (
            {"fills": "bolt:1; bolt:2"},
            "parts.csv:2, fills.bolt: the need stands twice (read: bolt:2); expected each need once",
        ),
        (
            {"fills": "seal:1(bor_mm=3)"},
            "parts.csv:2, fills.seal.bor_mm: there is no such attribute (read: bor_mm); "
            "did you mean bore_mm?",
        ),
        (
            {"fits": "familie=BR"},
            "parts.csv:2, fits.familie: no such attribute of an engine (read: familie); did you mean family?",
        ),
        (
            {"fits": "family="},
            "parts.csv:2, fits: cannot be read (read: family=); expected attribute=value or "
            "attribute=value|value",
        ),
        (
            {"contents": "0 x bolt"},
            "parts.csv:2, contents: cannot be read (read: 0 x bolt); expected 10 x bolt or 10 x "
            "bolt(attribute=value)",
        ),
        (
            {"pieces": "-3"},
            "parts.csv:2, pieces: the number cannot be taken (read: -3); expected a whole number of "
            "at least 1",
        ),
        (
            {"lead_days": "two"},
            "parts.csv:2, lead_days: the number cannot be taken (read: two); expected a whole "
            "number of at least 0",
        ),
        (
            {"price": "51,00"},
            "parts.csv:2, price: the amount cannot be read: a decimal comma; write 51.00 (read: 51,00); "
            "expected an amount such as 12.50",
        ),
        (
            {"price": "3.005"},
            "parts.csv:2, price: the amount has more than two decimals (read: 3.005); expected an "
            "amount such as 12.50",
        ),
        (
            {"cost": "-2.00"},
            "parts.csv:2, cost: the amount is negative (read: -2.00); expected an amount of at least 0",
        ),
        (
            {"price": "0.00", "cost": "1.00"},
            "parts.csv:2, price: a part that is sold has no price (read: 0.00); "
            "expected an amount above 0, or the status discontinued",
        ),
        (
            {"cost": "3.01"},
            "parts.csv:2, cost: the cost is over the price (read: 3.01); expected at most the price 3.00",
        ),
        (
            {"supplier": "ABD"},
            "parts.csv:2, supplier: there is no such supplier (read: ABD); did you mean ABC?",
        ),
        (
            {"status": "sold"},
            "parts.csv:2, status: there is no such status (read: sold); "
            "expected one of active, by hand, discontinued, superseded",
        ),
        (
            {"tax_class": "labour"},
            "parts.csv:2, tax_class: there is no such tax class (read: labour); expected one of "
            "parts, services",
        ),
        ({"number": ""}, "parts.csv:2, number: the number is missing; expected a text"),
        (
            {"status": "superseded"},
            "parts.csv:2, superseded_by: a superseded part names no successor; expected the number "
            "that replaces it",
        ),
        (
            {"superseded_by": "A-2"},
            "parts.csv:2, status: a part with the successor A-2 is still sold (read: active); "
            "expected superseded or discontinued",
        ),
        (
            {"note": "a\u200bb"},
            "parts.csv:2, note: the cell holds a sign that cannot be seen (read: U+200B); expected "
            "printable text",
        ),
    ],
)
def test_what_a_complaint_says(cells: dict[str, str], text: str) -> None:
    assert complaint(**cells).startswith(text)


def test_a_part_that_is_not_sold_may_have_no_price() -> None:
    (part,) = parts_of({"status": "discontinued", "cost": "0.00", "price": "0.00"})
    assert part.price == 0


def test_all_complaints_come_at_once_with_their_lines() -> None:
    complaints = complaints_about(
        text_of({"pieces": "0"}, {"number": "A-2"}, {"number": "A-3", "price": "x"})
    )
    assert [(c.where.line, c.where.field) for c in complaints] == [(2, "pieces"), (4, "price")]


def test_the_same_cell_in_two_rows_is_complained_of_twice() -> None:
    complaints = complaints_about(text_of({"attributes": "no=1"}, {"number": "A-2", "attributes": "no=1"}))
    assert [c.where.line for c in complaints] == [2, 3]


def test_a_number_stands_once_for_its_supplier_however_it_is_punctuated() -> None:
    (only,) = complaints_about(text_of({"number": "A-1"}, {"number": "B"}, {"number": "a 1"}))
    assert str(only) == (
        "parts.csv:4, number: the number stands twice for ABC (read: a 1); expected only that of line 2"
    )


def test_two_suppliers_may_use_one_number() -> None:
    assert len(parts_of({}, {"supplier": "DEF"})) == 2


def test_supersessions_in_a_circle_name_the_circle() -> None:
    replaced = {"status": "superseded"}
    rows = [
        {"number": "A-0", "superseded_by": "A-1", **replaced},
        {"number": "A-1", "superseded_by": "A-2", **replaced},
        {"number": "A-2", "superseded_by": "A-3", **replaced},
        {"number": "A-3", "superseded_by": "A-1", **replaced},
    ]
    (only,) = complaints_about(text_of(*rows))
    assert str(only) == (
        "parts.csv:3, superseded_by: the supersessions go round in a circle (read: A-1 -> A-2 -> "
        "A-3 -> A-1); "
        "expected a chain that ends at a part that is sold"
    )


def test_a_successor_must_be_in_the_list() -> None:
    rows = [{"number": "AB-100", "status": "superseded", "superseded_by": "AB-1001"}, {"number": "AB-1002"}]
    (only,) = complaints_about(text_of(*rows))
    assert str(only) == (
        "parts.csv:2, superseded_by: the successor is in no row (read: AB-1001); did you mean AB-1002?"
    )


# ---- the file as a whole ---------------------------------------------------------------------------------


def test_a_byte_order_mark_is_no_part_of_the_header(tmp_path: Path) -> None:
    file = tmp_path / "parts.csv"
    file.write_text(text_of({}), encoding="utf-8-sig")
    assert [part.number for part in read_parts(file, KNOWN, SUPPLIERS)] == ["A-1"]


def test_line_ends_of_another_system_are_read(tmp_path: Path) -> None:
    file = tmp_path / "parts.csv"
    file.write_bytes(text_of({}, {"number": "A-2"}).replace("\n", "\r\n").encode())
    assert [part.number for part in read_parts(file, KNOWN, SUPPLIERS)] == ["A-1", "A-2"]


def test_an_empty_file_is_told(tmp_path: Path) -> None:
    file = tmp_path / "parts.csv"
    file.write_text("  \n")
    assert the_complaint(file) == "parts.csv:1: the file is empty; expected a header and rows"


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    file = tmp_path / "parts.csv"
    assert the_complaint(file) == f"parts.csv: the file does not exist (read: {file})"


def test_another_encoding_is_told_with_its_line(tmp_path: Path) -> None:
    file = tmp_path / "parts.csv"
    file.write_bytes(text_of({}, {"number": "A-2", "note": "12 °"}).encode("latin-1"))
    assert the_complaint(file) == (
        "parts.csv:3: the file is not UTF-8 text (read: byte 0xB0); expected a text saved as UTF-8"
    )


def test_two_bytes_a_letter_are_told(tmp_path: Path) -> None:
    file = tmp_path / "parts.csv"
    file.write_bytes(text_of({}).encode("utf-16-le"))
    assert the_complaint(file) == (
        "parts.csv:1: the file is not UTF-8 text (read: byte 0x00); expected a text saved as UTF-8"
    )


@pytest.mark.parametrize(("sign", "name"), [(";", "a semicolon"), ("\t", "a tab")])
def test_columns_parted_by_another_sign_are_told(sign: str, name: str) -> None:
    (only,) = complaints_about(text_of({}).replace(",", sign))
    assert str(only).startswith(f"parts.csv:1: the columns are parted by {name} (read: number{sign}supplier")
    assert only.expected == "columns parted by a comma"


def test_an_unknown_column_names_the_closest() -> None:
    (unknown, missing) = complaints_about(text_of({}).replace("lead_days", "leaddays", 1))
    assert str(unknown) == (
        "parts.csv:1, leaddays: there is no such column (read: leaddays); did you mean lead_days?"
    )
    assert (missing.where.field, missing.message) == ("lead_days", "the column is missing")


def test_a_row_with_another_number_of_cells_is_told() -> None:
    (only,) = complaints_about(text_of({}) + "A-2,ABC\n")
    assert str(only) == (
        "parts.csv:3: the row has 2 cells (read: A-2,ABC); expected 18 cells, as in the header"
    )


def test_a_quote_that_does_not_end_is_told() -> None:
    (only,) = complaints_about(text_of({}) + 'A-2,"ABC\n')
    assert (
        str(only) == "parts.csv:3: the row cannot be read: unexpected end of data; expected quotes in pairs"
    )


def test_lines_are_counted_through_cells_of_several_lines() -> None:
    (only,) = complaints_about(text_of({"note": '"two\nlines"'}, {"number": "A-2", "pieces": "0"}))
    assert only.where.line == 4


# ---- suppliers -------------------------------------------------------------------------------------------


def suppliers_from(tmp_path: Path, text: str) -> str:
    file = tmp_path / "suppliers.yaml"
    file.write_text(text)
    with pytest.raises(BadInput) as caught:
        read_suppliers(file)
    return str(caught.value)


def test_freight_terms_are_exact_and_free_over_may_be_missing(tmp_path: Path) -> None:
    file = tmp_path / "suppliers.yaml"
    file.write_text(
        '- {code: ABC, name: A, freight: "9.50", minimum: "20"}\n- {code: DEF, name: D, free_over: 0}\n'
    )
    suppliers = read_suppliers(file)
    assert (suppliers["ABC"].freight, suppliers["ABC"].free_over) == (Decimal("9.50"), None)
    assert (suppliers["ABC"].minimum, suppliers["DEF"].free_over) == (Decimal(20), Decimal(0))


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (
            "- {code: ABC, name: A, fright: 1}\n",
            "suppliers.yaml:1, [0].fright: there is no such field (read: fright); did you mean freight?",
        ),
        ("- {code: ABC}\n", "suppliers.yaml:1, [0].name: the name is missing; expected a text"),
        (
            "- {code: ABC, name: A}\n- {code: ABC, name: B}\n",
            "suppliers.yaml:2, [1].code: the supplier stands twice (read: ABC); expected each code once",
        ),
        (
            '- {code: ABC, name: A, freight: "9,50"}\n',
            "suppliers.yaml:1, [0].freight: the amount cannot be read: a decimal comma; write 9.50 "
            "(read: 9,50); "
            "expected an amount such as 12.50",
        ),
        ("code: ABC\n", "suppliers.yaml:1: the suppliers are no list (read: dict); expected - code: ..."),
    ],
)
def test_complaints_about_suppliers(tmp_path: Path, text: str, complaint: str) -> None:
    assert suppliers_from(tmp_path, text) == complaint


def test_nothing_is_read_in_part() -> None:
    with pytest.raises(BadInput) as caught:
        parse_parts(text_of({}, {"number": "A-2", "supplier": "XYZ"}), "parts.csv", KNOWN, SUPPLIERS)
    assert [c.value for c in caught.value.complaints] == ["XYZ"]
