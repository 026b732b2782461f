"""`tappetry prices`: a list looked at and taken from the command line."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.catalogue.price_columns import price_columns_text
from tappetry.presentation.kept import papers
from tappetry.services.begin import begin
from tappetry.services.ledger import ledger_of
from tappetry.services.shop import open_shop
from tests.cli.calling import call, refused
from tests.services.test_begin import SAID, first_job
from tests.services.test_prices import HOW, LIST, price_of


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a new shop, a price list, and how it is read."""
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path / "shop"))
    begin(tmp_path / "shop", SAID, {})
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    (tmp_path / "reading.yaml").write_text(price_columns_text(HOW), encoding="utf-8")
    return tmp_path


def test_a_list_is_shown_and_nothing_is_taken_unasked(place: Path) -> None:
    before = (place / "shop" / "parts.csv").read_bytes()
    words = ["prices", place / "list.csv", "--supplier", "TNV"]
    code, error = refused(*words)
    assert code == 3
    assert "nobody has said yet how the lists of TNV are read" in error["message"]
    said = call(*words, "--reading", place / "reading.yaml")
    assert said.code == 0
    assert "price 239.00 becomes 244.00 (+2.1 %)" in said.words
    assert "Cannot be taken" in said.words
    assert "TN-O1" in said.words
    assert "nothing was taken; --take all takes the 2 without doubts" in said.words
    data = call(*words, "--json").data
    assert (data["undoubted"], data["gone"], data["taken"]) == ([2, 6], ["TN-O1"], None)
    assert (place / "shop" / "parts.csv").read_bytes() == before


def test_a_row_that_cannot_be_read_is_told_as_it_stands(place: Path) -> None:
    words = ["prices", place / "list.csv", "--supplier", "TNV", "--reading", place / "reading.yaml"]
    text = (place / "list.csv").read_text(encoding="utf-8")
    (place / "list.csv").write_text(text + "TN-G3,Seal,9,80,6.20,3\n", encoding="utf-8")
    said = call(*words)
    assert "2 cannot be taken" in said.words
    assert "the row has 6 cells" in said.words
    assert "TN-G3, Seal, 9, 80, 6.20, 3" in said.words
    (told,) = call(*words, "--json").data["unreadable"]
    assert (told["line"], told["cells"]) == (11, ["TN-G3", "Seal", "9", "80", "6.20", "3"])
    code, error = refused(*words, "--take", "2,11")
    assert (code, error["message"]) == (2, "1 of the chosen rows of list.csv cannot be read.")


def test_rows_and_the_whole_are_taken(place: Path) -> None:
    words = ["prices", place / "list.csv", "--supplier", "TNV", "--reading", place / "reading.yaml"]
    taken = call(*words, "--take", "2,10", "--gone", "TN-O1", "--json").data["taken"]
    assert (taken["new"], taken["changed"], taken["gone"]) == (1, 1, 1)
    assert taken["text"] == 2
    shop = open_shop(place / "shop")
    assert taken["catalogue"] == shop.catalogue.version
    assert str(price_of(shop, "TN-C1")) == "244.00"
    said = call(*words, "--take", "all")
    assert "taken: 0 new, 1 changed, 0 sold no longer" in said.words
    assert str(price_of(open_shop(place / "shop"), "TN-D1")) == "33.00"


def test_what_it_changes_in_kits_is_said_without_and_before_taking(place: Path) -> None:
    words = ["prices", place / "list.csv", "--supplier", "TNV", "--reading", place / "reading.yaml"]
    ledger = ledger_of(open_shop(place / "shop"), papers(), "")
    ledger.new_job(json.dumps(first_job()), "Wren")
    ledger.database.close()
    assert call(*words, "--json").data["kits"] is None
    said = call(*words, "--look")
    assert "1 looked at, 1 would change" in said.words
    assert "nothing was taken" in said.words
    data = call(*words, "--look", "--take", "2,6", "--gone", "TN-O1", "--json").data
    assert data["taken"] is None
    (effect,) = data["kits"]["effects"]
    assert (effect["job"], effect["new"]) == ("Q-1", None)
    assert (data["kits"]["looked_at"], data["kits"]["left"]) == (["Q-1"], 0)
    data = call(*words, "--take", "2", "--json").data
    (effect,) = data["kits"]["effects"]
    assert Decimal(effect["new"]) - Decimal(effect["old"]) == Decimal("5.95"), "5.00 and 19 % of tax"
    assert data["taken"]["changed"] == 1


def test_a_list_that_changes_nothing_may_be_written_down_to_stand(place: Path) -> None:
    words = [
        "prices",
        place / "list.csv",
        "--supplier",
        "TNV",
        "--reading",
        place / "reading.yaml",
        "--stand",
    ]
    code, error = refused(*words)
    assert (code, error["message"]) == (
        2,
        "Not all in list.csv is as it is listed. Nothing was written down.",
    )
    parts = [each for each in open_shop(place / "shop").catalogue.parts if each.supplier == "TNV"]
    rows = [f"{each.number},,{each.price},{each.cost},1" for each in parts]
    (place / "list.csv").write_text("\n".join(["NO,WHAT,LIST,NET,PAGE", *rows]), encoding="utf-8")
    before = (place / "shop" / "parts.csv").read_bytes()
    said = call(*words)
    assert f"written down: {len(parts)} prices stand as of today" in said.words
    assert (place / "shop" / "parts.csv").read_bytes() == before
    told = ledger_of(open_shop(place / "shop"), papers(), "").trail()[0]
    assert told.what == "the price list list.csv of TNV says what is listed"


def test_what_is_no_line_and_what_is_no_file_is_bad_input(place: Path) -> None:
    words = ["--supplier", "TNV", "--reading", place / "reading.yaml"]
    code, error = refused("prices", place / "list.csv", *words, "--take", "2,x")
    assert (code, "this is no line (read: x)" in error["message"]) == (3, True)
    code, error = refused("prices", place / "none.csv", *words)
    assert (code, "the file cannot be read: No such file" in error["message"]) == (3, True)
    code, error = refused("prices", place / "list.csv", "--supplier", "TNW")
    assert (code, "there is no such supplier (read: TNW)" in error["message"]) == (3, True)
