"""The first sheet of a workbook as text: strings, numbers, dates, places, and what is no workbook."""

from __future__ import annotations

import pytest

from tappetry.catalogue.rows import read_rows
from tappetry.catalogue.workbook import workbook_text
from tappetry.records.problems import BadInput
from tests.catalogue.workbooks import table_workbook, text_cell, workbook


def lines(content: bytes) -> list[str]:
    return workbook_text(content, "prices.xlsx").splitlines()


def test_texts_shared_and_inside_with_commas_and_quotes() -> None:
    shared = ["<t>NO</t>", "<r><t>two </t></r><r><t>pieces</t></r><rPh><t>not this</t></rPh>"]
    cells = '<c r="A1" t="s"><v>0</v></c>' + text_cell("B1", 'a "wide" one, here')
    assert lines(workbook({1: cells, 2: '<c r="A2" t="s"><v>1</v></c>'}, shared)) == [
        'NO,"a ""wide"" one, here"',
        "two pieces,",
    ]


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("51.5", "51.5"),
        ("51", "51"),
        ("19.989999999999998", "19.99"),
        ("1E-2", "0.01"),
        ("120000", "120000"),
        ("4417001", "4417001"),
    ],
)
def test_numbers_are_what_was_typed(written: str, shown: str) -> None:
    """Workbooks keep binary fractions: 19.99 may stand there as 19.989999999999998."""
    assert lines(workbook({1: f'<c r="A1"><v>{written}</v></c>'})) == [shown]


def test_dates_by_their_style() -> None:
    """Day 45352 is the first of March 2024, reckoned from the thirtieth of December 1899."""
    cells = "".join(f'<c r="{place}1" s="{style}"><v>45352</v></c>' for style, place in enumerate("ABCD"))
    assert lines(workbook({1: cells})) == ["45352,2024-03-01,2024-03-01,45352"]


def test_dates_of_workbooks_that_begin_in_1904() -> None:
    cells = '<c r="A1" s="1"><v>43890</v></c>'
    assert lines(workbook({1: cells}, properties='<workbookPr date1904="1"/>')) == ["2024-03-01"]


def test_rows_stand_on_the_lines_of_their_numbers_and_cells_in_their_columns() -> None:
    content = workbook({2: text_cell("A2", "NO") + text_cell("C2", "LIST"), 5: text_cell("C5", "9.50")})
    assert lines(content) == ["", "NO,,LIST", "", "", ",,9.50"]
    (row,) = read_rows(
        workbook_text(workbook({2: text_cell("A2", "NO"), 5: text_cell("A5", "x")}), "p"), "p", ["NO"]
    )
    assert row.line == 5


def test_truths_results_of_formulas_and_breaks_within_a_cell() -> None:
    cells = '<c r="A1" t="b"><v>1</v></c><c r="B1" t="str"><f>A1</f><v>two\nlines</v></c>'
    assert lines(workbook({1: cells})) == ["yes,two lines"]


def test_the_first_sheet_of_the_book_is_read_not_the_first_file() -> None:
    assert lines(table_workbook([["yes"]])) == ["yes"]


@pytest.mark.parametrize(
    "content",
    [
        b"PK\x03\x04 no archive",
        workbook({1: '<c r="A1" t="s"><v>7</v></c>'}),
        workbook({1: '<c r="A1"><v>seven</v></c>'}),
        workbook({1: '<c r="7A"><v>7</v></c>'}),
        workbook({1: '<c r="XFD1"><v>7</v></c>'}),
        workbook({1: '<c r="B1"><v>7</v></c><c r="A1"><v>7</v></c>'}),
        workbook({1: '<c r="A1" s="1"><v>99999999999</v></c>'}),
        workbook({}, **{"xl/workbook.xml": "<workbook>"}),
    ],
    ids=["no archive", "no such string", "no number", "no place", "too wide", "order", "no date", "no xml"],
)
def test_what_cannot_be_read_is_bad_input(content: bytes) -> None:
    with pytest.raises(BadInput) as caught:
        workbook_text(content, "prices.xlsx")
    assert "prices.xlsx: the workbook cannot be read" in str(caught.value)
    assert "expected a workbook (XLSX) with one sheet" in str(caught.value)


def test_an_empty_sheet_is_bad_input() -> None:
    with pytest.raises(BadInput, match="the sheet is empty"):
        workbook_text(workbook({}), "prices.xlsx")
