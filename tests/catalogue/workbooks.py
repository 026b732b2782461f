"""Workbooks for tests, written from the standard by hand: no library of ours reads or writes them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Mapping
from xml.sax.saxutils import escape

MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
BOOK = (
    f'<workbook {MAIN} xmlns:r="{OFFICE}">{{properties}}<sheets>'
    '<sheet name="Prices" sheetId="1" r:id="rId7"/><sheet name="Notes" sheetId="2" r:id="rId8"/>'
    "</sheets></workbook>"
)
LINKS = (
    f'<Relationships xmlns="{PACKAGE}">'
    f'<Relationship Id="rId8" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
    f'<Relationship Id="rId7" Type="{OFFICE}/worksheet" Target="worksheets/sheet2.xml"/>'
    "</Relationships>"
)
#: Style 1 is a date by its number, style 2 one that a person made, style 3 an amount with "d" in quotes only.
STYLES = (
    f'<styleSheet {MAIN}><numFmts count="2"><numFmt numFmtId="164" formatCode="dd/mm/yyyy"/>'
    '<numFmt numFmtId="165" formatCode="0.00&quot; dollars and&quot;"/></numFmts>'
    '<cellXfs count="4"><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="164"/><xf numFmtId="165"/>'
    "</cellXfs></styleSheet>"
)
OTHER = (
    f'<worksheet {MAIN}><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>no</t></is></c></row>'
    "</sheetData></worksheet>"
)


def text_cell(place: str, text: str) -> str:
    """A cell with its text inside."""
    return f'<c r="{place}" t="inlineStr"><is><t>{escape(text)}</t></is></c>'


def workbook(rows: Mapping[int, str], shared: Iterable[str] = (), properties: str = "", **more: str) -> bytes:
    """A workbook whose first sheet has these rows of cells; the second sheet stands first in the archive."""
    sheet = "".join(f'<row r="{number}">{cells}</row>' for number, cells in rows.items())
    strings = "".join(f"<si>{each}</si>" for each in shared)
    files = {
        "[Content_Types].xml": "<Types/>",
        "xl/workbook.xml": BOOK.format(properties=properties),
        "xl/_rels/workbook.xml.rels": LINKS,
        "xl/worksheets/sheet1.xml": OTHER,
        "xl/worksheets/sheet2.xml": f"<worksheet {MAIN}><sheetData>{sheet}</sheetData></worksheet>",
        "xl/sharedStrings.xml": f"<sst {MAIN}>{strings}</sst>",
        "xl/styles.xml": STYLES,
        **more,
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return packed.getvalue()


def table_workbook(rows: Iterable[Iterable[str]]) -> bytes:
    """A workbook of plain texts."""
    return workbook(
        {
            number: "".join(text_cell(f"{chr(65 + place)}{number}", text) for place, text in enumerate(row))
            for number, row in enumerate(rows, 1)
        }
    )
