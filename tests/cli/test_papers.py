"""Quotes and orders as files: whole, the same to the byte, and without the shop's side on the quote."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from tappetry.presentation import papers
from tappetry.presentation.papers import file_name, tax_note
from tappetry.pricing.policy import read_policy
from tappetry.records.problems import BadInput
from tappetry.services import kits
from tappetry.services.files import save
from tappetry.services.kits import KitResult
from tappetry.services.shop import Shop
from tests.cli.calling import call, refused

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def result(shop: Shop, job: Path) -> KitResult:
    return kits.kit_for_file(shop, job)


def test_a_quote_is_a_pdf_and_a_json_file(shop: Shop, job: Path, tmp_path: Path) -> None:
    data = call("quote", job, "--out", tmp_path / "papers", "--json").data
    pdf, text = map(Path, data["files"])
    assert (pdf.name, text.name) == ("J1-quote.pdf", "J1-quote.json")
    assert sorted(pdf.parent.iterdir()) == sorted([pdf, text])
    assert pdf.read_bytes().startswith(b"%PDF-")
    quoted = json.loads(text.read_text(encoding="utf-8"))
    assert quoted["totals"]["total"].replace(",", "") == data["totals"]["total"]
    assert (quoted["date"], quoted["valid_until"]) == ("2 March 2026", "16 March 2026")


def test_a_quote_is_the_same_to_the_byte(shop: Shop, job: Path, tmp_path: Path) -> None:
    first, second, again = tmp_path / "a", tmp_path / "b", tmp_path / job.name
    said = call("quote", job, "--out", first)
    assert said.out.splitlines() == [str(first / "J1-quote.pdf"), str(first / "J1-quote.json")]
    shutil.copy(job, again)  # solved and worked out again, not remembered
    call("quote", again, "--out", second)
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes()


def test_a_quote_says_it_in_the_shops_words(shop: Shop, result: KitResult) -> None:
    quote = papers.quote_of(shop, result, result.job.date)
    assert quote.shop.data() == {
        "name": "Sorrel Bench Engine Conversions",
        "lines": ["Mill Yard 4, Upper Mardle"],
    }
    assert quote.titles["valve-springs"] == "valve springs"
    assert next(iter(quote.need_groups.values())) == "Camshaft and drive"
    assert quote.tax_note == "7.25 % on parts; none on labour, services, supplies"
    assert [text for text, _ in quote.deposit] == [
        "parts that cannot be returned, 100 %",
        "stock parts, 30 %",
        "our work, 20 %",
    ]
    assert result.kit.totals is not None
    assert sum(amount for _, amount in quote.deposit) == result.kit.totals.deposit


def test_a_quote_shows_no_supplier_and_no_cost(shop: Shop, job: Path, tmp_path: Path) -> None:
    call("quote", job, "--out", tmp_path)
    text = (tmp_path / "J1-quote.json").read_text(encoding="utf-8")
    assert not [supplier.name for supplier in shop.catalogue.suppliers.values() if supplier.name in text]
    assert "margin_percent" not in text
    assert "cost" not in json.loads(text)["totals"]


def test_one_order_for_each_supplier(shop: Shop, job: Path, result: KitResult, tmp_path: Path) -> None:
    files = [Path(name) for name in call("order", job, "--out", tmp_path, "--json").data["files"]]
    suppliers = dict.fromkeys(line.supplier for line in result.kit.lines)
    assert [path.name for path in files] == [
        f"J1-order-{code}.{ending}" for code in suppliers for ending in ("pdf", "json")
    ]
    ordered = [json.loads(path.read_text(encoding="utf-8")) for path in files if path.suffix == ".json"]
    assert [each["supplier"]["code"] for each in ordered] == list(suppliers)
    numbers = {line["part"] for each in ordered for line in each["lines"]}
    assert numbers == {line.part for line in result.kit.lines}


def test_a_file_is_written_whole_or_not_at_all(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    file = save(tmp_path / "new" / "paper.pdf", b"old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(BadInput) as refusal:
        save(file, b"new")
    assert str(refusal.value) == (
        f"{file}: the file cannot be written: No space left on device (read: {file.parent}); "
        "expected a folder that may be written to"
    )
    assert file.read_bytes() == b"old"
    assert list(file.parent.iterdir()) == [file]


@pytest.mark.parametrize("words", [("quote", "J1.yaml"), ("order", "J1.yaml"), ("demo",)])
def test_a_folder_that_is_a_file_is_told_before_any_work(
    shop: Shop, tmp_path: Path, words: tuple[str, ...]
) -> None:
    out = tmp_path / "out"
    out.write_text("in the way")
    command, *jobs = words
    said = call(command, *(shop.jobs / each for each in jobs), "--out", out)
    assert said.code == 3
    assert said.err.splitlines() == [
        f"{out}: the folder cannot be written to: Not a directory (read: out); expected a folder that may be "
        "written to"
    ]


@pytest.mark.parametrize(
    ("identifier", "name"),
    [("J1", "J1"), ("a/../b c", "a-..-b-c"), ("../../x", "x"), ("///", "unnamed"), ("Ü-7.5", "7.5")],
)
def test_an_id_is_no_path(identifier: str, name: str) -> None:
    assert file_name(identifier) == name


def test_the_tax_note_of_a_place_without_tax(shop: Shop) -> None:
    money = dict(shop.knowledge.book.money) | {
        "tax": {"parts": "0", "services": "0", "labour": "0", "supplies": "0"}
    }
    assert tax_note(read_policy(money)) == "none on labour, parts, services, supplies"


def test_no_paper_while_a_fact_that_decides_hours_is_missing(job: Path, tmp_path: Path) -> None:
    """A pan under a front axle takes other hours: who has not looked gets a question, not a price."""
    told = job.read_text(encoding="utf-8").splitlines(keepends=True)
    unseen = tmp_path / "unseen.yaml"
    unseen.write_text("".join(line for line in told if "four-wheel-drive" not in line), encoding="utf-8")
    code, error = refused("quote", unseen, "--out", tmp_path / "papers")
    assert code == 2
    assert "Is it four-wheel drive? (look under the front)" in json.dumps(error)
    assert not (tmp_path / "papers").exists()
    (unknown,) = call("kit", unseen, "--json").data["unknowns"]
    assert (unknown["attribute"], unknown["hangs_on_it"]) == ("four-wheel-drive", ["OP80", "OP81"])
    asked = call("kit", unseen).out.partition("hangs on it")[2].partition("Left over")[0]
    assert "Oil pan, pickup ring" in asked
    assert "OP8" not in asked
