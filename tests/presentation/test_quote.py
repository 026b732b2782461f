"""The quote: complete, exact, free of the shop's own side, and the same bytes every time."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from decimal import Decimal

import pypdfium2
import pytest

from tappetry.presentation.quote import WHO_APPROVES, quote_data, quote_pdf
from tappetry.records.evidence import Fact, Grade
from tappetry.records.problems import BadInput
from tests.presentation.sample import SAMPLE, SHOP, kit, quote


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_bounded() for page in document)


def closed_up(text: str) -> str:
    """The text without spaces and hyphens, so that it does not matter where its lines were broken."""
    return re.sub(r"[^\w.,+]", "", text)


@pytest.fixture(scope="module")
def paper() -> bytes:
    return quote_pdf(quote())


@pytest.fixture(scope="module")
def words_on_paper(paper: bytes) -> str:
    return text_of(paper).replace("\r\n", " ").replace("\n", " ")


def test_the_same_quote_is_the_same_file(paper: bytes) -> None:
    assert quote_pdf(quote()) == paper


def test_the_date_in_the_file_is_the_date_of_the_quote(paper: bytes) -> None:
    made = pypdfium2.PdfDocument(paper).get_metadata_dict()
    assert made["CreationDate"].startswith("D:20260302")
    assert made["Title"] == "Quote J1, Sorrel Bench Engine Conversions"
    assert made["Author"] == SHOP.name


def test_another_day_is_another_file(paper: bytes) -> None:
    later = replace(quote(), on=quote().valid_until)
    assert quote_pdf(later) != paper


@pytest.mark.parametrize(("size", "points"), [("A4", (595.28, 841.89)), ("Letter", (612.0, 792.0))])
def test_both_papers_are_cut_to_size(size: str, points: tuple[float, float]) -> None:
    # A4 is 210 x 297 mm (ISO 216), US Letter 8.5 x 11 in (ANSI/ASME Y14.1); one point is 1/72 in.
    document = pypdfium2.PdfDocument(quote_pdf(quote(replace(SHOP, paper=size))))
    assert [page.get_size() for page in document] == [pytest.approx(points, abs=0.02)] * len(document)


def test_a_paper_that_nobody_sells_is_refused() -> None:
    with pytest.raises(BadInput) as told:
        quote_pdf(quote(replace(SHOP, paper="B7")))
    assert str(told.value) == "shop.paper: no such paper (read: B7); expected A4 or Letter"


def test_every_page_says_which_of_how_many(paper: bytes) -> None:
    document = pypdfium2.PdfDocument(paper)
    for number, page in enumerate(document, 1):
        assert f"page {number} of {len(document)}" in page.get_textpage().get_text_bounded()


def test_only_the_fonts_inside_the_typesetter_are_used(paper: bytes) -> None:
    names = set(re.findall(rb"/FontName/[A-Z]{6}\+([\w-]+)", paper.replace(b"/FontName /", b"/FontName/")))
    assert {name.split(b"-")[0] for name in names} == {b"LibertinusSerif"}


def test_the_head_of_the_table_is_repeated(paper: bytes) -> None:
    document = pypdfium2.PdfDocument(paper)
    heads = [page.get_textpage().get_text_bounded().replace("\r\n", " ") for page in document]
    assert "quantity for what each line" in heads[0]
    assert "quantity for what each line" in heads[1]


@pytest.mark.parametrize(
    "must",
    [
        "K. Ashdown (invented)",
        "2 March 2026",
        "16 March 2026",
        "8,439.31",
        "3,240.20",
        "4,059.20",
        "234.91",
        "34.4",
        "block casting",
        "stays in the engine",
        "our advice",
        "Has this engine ever been overheated?",
        "not to be fitted before the length is measured",
        "Core deposits, paid apart",
        "use the amber 2.50 ring",
        "≥ 0.100 in",
        "≤ 400 lb",
        "+0.043 in",
        "to watch",
        "not known yet",
        "Carbon monoxide",
        "note of 12 January 2026",
        WHO_APPROVES,
        "knowledge 2026.03-4f1c9a",
        "catalogue 2026-02-27",
        "customer",
    ],
)
def test_the_paper_holds_what_the_customer_is_owed(words_on_paper: str, must: str) -> None:
    assert must in words_on_paper


def test_every_line_and_its_total_are_on_the_paper(words_on_paper: str) -> None:
    for line in kit().lines:
        assert closed_up(line.description) in closed_up(words_on_paper)
        assert f"{line.line_total:,.2f}" in words_on_paper


def test_the_rooms_add_up_to_the_parts() -> None:
    data = quote_data(quote())
    rooms = [Decimal(room["total"].replace(",", "")) for room in data["rooms"]]
    assert sum(rooms) == Decimal(data["totals"]["parts"].replace(",", "")) == Decimal("3240.20")
    shares = [Decimal(part["amount"].replace(",", "")) for part in data["deposit"]]
    assert sum(shares) == Decimal(data["totals"]["deposit"].replace(",", ""))


def test_rooms_come_in_the_order_of_the_engine_and_the_rest_last() -> None:
    short = {need: room for need, room in SAMPLE["groups"].items() if room != "Fasteners"}
    rooms = [room["room"] for room in quote_data(replace(quote(), need_groups=short))["rooms"]]
    assert rooms[0] == "Camshaft and drive"
    assert rooms[-1] == "Other"


def test_no_cost_margin_or_supplier_on_the_customers_paper(words_on_paper: str) -> None:
    priced = kit()
    data = json.dumps(quote_data(quote()), ensure_ascii=False)
    assert priced.totals is not None
    secrets = {
        f"{priced.totals.parts_cost:,.2f}",
        f"{priced.totals.margin_percent} %",
        f"{priced.totals.markup_percent} %",
        f"{priced.landed_cost:,.2f}",
        *(line.supplier for line in priced.lines),
        *(line.part for line in priced.lines),
    }
    for secret in secrets:
        assert not re.search(rf"(?<![\w.,]){re.escape(secret)}(?![\w.,])", words_on_paper), secret
        assert not re.search(rf"(?<![\w.,]){re.escape(secret)}(?![\w.,])", data), secret


def test_no_line_runs_over_the_edge_of_the_page(paper: bytes) -> None:
    margin = 56.0  # 20 mm less the width of a hair
    for page in pypdfium2.PdfDocument(paper):
        width, _height = page.get_size()
        text = page.get_textpage()
        for index in range(text.count_rects()):
            left, _bottom, right, _top = text.get_rect(index)
            assert margin <= left <= right <= width - margin


def test_a_better_fact_of_the_same_attribute_is_shown() -> None:
    facts = (
        Fact("head-type", "S", Grade.told, "customer"),
        Fact("head-type", "L", Grade.seen, "port photo"),
        Fact("head-type", "R", Grade.assumed, "year"),
    )
    data = quote_data(replace(quote(), job=replace(quote().job, facts=facts)))
    assert data["vehicle"] == [{"what": "cylinder heads", "value": "L", "grade": "seen"}]


def test_a_proof_that_does_not_pass_is_never_left_out() -> None:
    shown = quote_data(replace(quote(), proofs_shown=("bind",)))["proofs"]
    assert [(proof["title"], proof["verdict"]) for proof in shown] == [
        ("Spring travel left before the coils touch", "pass"),
        ("Quench gap, wider than we like", "WARN"),
        ("Oil groove of the lifter in its bore", "UNKNOWN"),
    ]


def test_a_quote_needs_a_priced_kit_of_its_own_job() -> None:
    with pytest.raises(BadInput) as unpriced:
        quote_data(replace(quote(), kit=replace(kit(), totals=None)))
    assert str(unpriced.value) == "kit.totals: a quote is made of a kit that is not priced (read: J1)"
    with pytest.raises(BadInput) as other:
        quote_data(replace(quote(), kit=replace(kit(), job="J9")))
    assert str(other.value) == "kit.job: the kit is of another job (read: J9); expected J1"


def test_markup_in_the_data_is_printed_and_not_obeyed() -> None:
    odd = "#panic() *bold* $x$ <script> \\ \" ' @ref"
    odd_job = replace(quote().job, customer=odd)
    printed = text_of(quote_pdf(replace(quote(), job=odd_job)))
    assert odd in printed.replace("’", "'").replace("‘", "'").replace("”", '"').replace("“", '"')


def test_the_code_on_the_paper_is_drawn_from_job_and_total() -> None:
    import segno

    drawn = quote_data(quote())["qr"]
    again = segno.make_qr("J1 8439.31 USD", error="m")
    path = re.search(r'\bd="([^"]+)"', again.svg_inline(border=0, omitsize=True))
    assert path is not None
    assert path.group(1) in drawn
