"""A customer's data: all of it is given out, and after a deletion none of his words stands anywhere."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from tappetry.presentation.customer_data import as_text, removed_pdf
from tappetry.presentation.shops_side import without_shops_side
from tappetry.records.problems import BadInput
from tappetry.services import agreements, customer_pages, invoices, people, privacy
from tappetry.services.agreements import DECLINED, IN_PERSON, Signed
from tappetry.services.books import move
from tappetry.services.ledger import Ledger
from tappetry.store import books
from tappetry.store.books import Moved
from tappetry.store.database import Database
from tappetry.store.dump import lines
from tappetry.store.models import Base
from tappetry.store.problems import NotKept
from tappetry.store.tasks import Wanted, ask
from tests.services.office import NOON, ledger_at_noon, quoted

pytestmark = pytest.mark.slow

PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x20\0\0\0\x10" + b"only this one" * 9
#: Words of the customer, each said in another place.
WORDS = (
    "A. Pellow",
    "Pellow",
    "+1 555 0142",
    "pellow@example.org",
    "comes on Sundays alone",
    "MC 12-34",
    "read by his daughter Idony",
    "his brother's garage in Elmet",
    "towed once to the coast and back",
    "Idony signs for him",
    "the cover under his tarpaulin",
    "deposit of the lady next door",
    "because he moves house in May",
)


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """A shop in which one customer left his words everywhere, beside another one."""
    made = ledger_at_noon(database, monkeypatch)
    made.new_job((made.shop.jobs / "J3.yaml").read_text(encoding="utf-8"), "Wren")
    number = quoted(made, "J1")
    customer, vehicle = people.of_job(made, number)
    assert customer is not None
    assert vehicle is not None
    people.change_customer(made, customer.id, customer.name, WORDS[2:4], WORDS[4], "Wren")
    people.change_vehicle(made, vehicle.id, WORDS[5], "Wren")
    made.state_fact(number, "vehicle", "van", "told", WORDS[6], 1, "Wren")
    made.change_plan(number, [f"wishes={WORDS[7]}"], 1, "Wren", WORDS[8])
    options = agreements.options_of(made.quotes(number)[0].document)
    answers = {place: DECLINED for place, option in enumerate(options) if option.open}
    signed = Signed("A. Pellow", IN_PERSON, answers, read=True, note=WORDS[9])
    agreements.accept_quote(made, number, 1, signed, "Wren")
    link = customer_pages.send_link(
        made, number, "Wren", paper=False, questions=["fuel-octane"], photos=[WORDS[10]], days=9
    )
    customer_pages.answer(made, link, "fuel-octane", "93, says Pellow")
    customer_pages.send_photo(made, link, 0, PNG)
    with database.writing() as session:
        moved = Moved("deposit", NOON.date(), WORDS[11], "")
        legs = [("cash", Decimal("5.00")), ("deposits", Decimal("-5.00"))]
        books.keep_posting(session, number, moved, lambda *_: legs, made.act("Wren", "took a deposit"))
        task = {"job": {"job": number, "customer": WORDS[0]}}
        ask(session, Wanted("a" * 64, "search", "camshafts", task), "Wren", NOON)
    invoices.write_invoice(made, number, "2026-03-20", "2026-03-02", "Wren")
    made.sign(number, "some-check", WORDS[12], made.job(number).kept.versions["sheet"], "Wren")
    return made


def whole(ledger: Ledger) -> str:
    return b"".join(lines(ledger.database)).decode()


def delete(ledger: Ledger) -> privacy.Deleted:
    customer = people.of_job(ledger, "J1")[0]
    assert customer is not None
    stand_in = removed_pdf(ledger.shop, privacy.mark_of(customer.id), NOON.date())
    return privacy.delete(ledger, customer.id, "delete A. Pellow", stand_in, "Wren")


def kits_of(ledger: Ledger, customer: int) -> list[dict[str, Any]]:
    """The kits of a customer's jobs as they are kept."""
    found: list[dict[str, Any]] = privacy.data_of(ledger, customer)["tables"]["kits"]
    return found


def test_everything_is_given_out_and_nothing_that_the_shop_buys(ledger: Ledger) -> None:
    customer = people.of_job(ledger, "J1")[0]
    assert customer is not None
    agreements.send_orders(ledger, "J1", "Wren")
    data = without_shops_side(privacy.data_of(ledger, customer.id))
    told = json.dumps(data, ensure_ascii=False)
    for words in WORDS:
        assert words in told, words
        assert words in as_text(data), words
    assert not {"orders", "order_lines", "accounts"} & set(data["tables"])
    assert "unit_cost" not in told
    assert "landed" not in told
    assert "markup_percent" not in told
    costs = [f"{row['document']['landed_cost'].replace('.', '')}" for row in kits_of(ledger, customer.id)]
    assert costs
    assert not [cost for cost in costs if re.search(rf"\b{cost}\b", told)]
    assert "M. Tresk" not in told, "another customer is his own"
    assert all("mark" not in row for row in data["tables"]["links"]), "nobody makes a link of it"
    assert "a file of" in as_text(data)


def test_from_whom_the_shop_buys_is_left_out_and_numbers_of_parts_stay(ledger: Ledger) -> None:
    customer = people.of_job(ledger, "J1")[0]
    assert customer is not None
    agreements.send_orders(ledger, "J1", "Wren")
    suppliers = ledger.shop.catalogue.suppliers
    move(ledger, "J1", "bill", "7714.20", "", next(iter(suppliers)), "B-77", "Wren")
    data = privacy.data_of(ledger, customer.id)
    told = json.dumps(data, ensure_ascii=False)
    kit = ledger.quotes("J1")[0].kit.document["lines"]
    assert {"LOX", "WDW"} <= {line["supplier"] for line in kit}
    for word in (*suppliers, *(each.name for each in suppliers.values())):
        assert not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", told), word
    assert '"supplier"' not in told
    assert "7714.20" not in told
    (given,) = data["tables"]["kits"]
    assert [line["part"] for line in given["document"]["lines"]] == [line["part"] for line in kit]
    assert {row["part"] for row in data["tables"]["kit_lines"]} == {line["part"] for line in kit}
    (quote,) = data["tables"]["quotes"]
    assert quote["document"] == ledger.quotes("J1")[0].document, "what he read stays to the word"
    done = [row["what"] for row in data["tables"]["entries"]]
    assert {"sent a quote", "took a deposit", "signed some-check"} <= set(done)
    assert not [each for each in done if "order" in each or "supplier" in each]


def test_none_of_his_words_stands_anywhere_after_it(ledger: Ledger) -> None:
    before = whole(ledger)
    vin = ledger.job("J1").kept.document["facts"]["vin"]["value"]
    for words in (*WORDS, vin):
        assert words in before, words
    others = [line for line in before.splitlines() if "Tresk" in line or '"J3"' in line]
    customer = people.of_job(ledger, "J1")[0]
    assert customer is not None
    with pytest.raises(BadInput, match="this does not confirm it"):
        privacy.delete(ledger, customer.id, "delete a. pellow", b"", "Wren")
    quoted_total = ledger.quotes("J1")[0].total
    paper = ledger.quote_paper("J1", 1)
    (invoice,) = invoices.papers(ledger, "J1")
    assert "A. Pellow" in str(invoice.document)
    deleted = delete(ledger)
    assert deleted.gone[0].startswith("his name, ways to reach him and notes"), deleted.gone
    after = whole(ledger)
    for words in (*WORDS, vin, "Idony", "says Pellow"):
        assert words.casefold() not in after.casefold(), words
    if ledger.database.is_sqlite:
        files = [ledger.database.url.database or "", f"{ledger.database.url.database}-wal"]
        for file in files:
            with open(file, "rb") as opened:
                content = opened.read()
            assert b"Pellow" not in content, file
            assert PNG[40:] not in content, file
            assert paper[200:300] not in content, file
    assert all(line in after for line in others), "another customer's rows stay as they were"
    (still,) = invoices.papers(ledger, "J1")
    kept = (still.kind, still.number, still.day, still.due, still.total, still.currency)
    assert kept == (
        invoice.kind,
        invoice.number,
        invoice.day,
        invoice.due,
        invoice.total,
        invoice.currency,
    )
    assert still.document["total"] == invoice.document["total"]
    assert deleted.mark in str(still.document)
    assert ledger.quotes("J1")[0].total == quoted_total
    assert ledger.quote_paper("J1", 1).startswith(b"%PDF-")
    assert ledger.quote_paper("J1", 1) != paper
    assert ledger.job("J1").job.customer == deleted.mark
    assert agreements.in_force(ledger, "J1").customer == deleted.mark
    assert agreements.agreed_kit(agreements.in_force(ledger, "J1").kit).lines
    assert [act.who for act in ledger.history("J1")].count("Wren") >= 6
    assert {act.why for act in ledger.history("J1")} == {""}
    assert people.find(ledger, "pellow") == []
    assert ledger.find("pellow") == []
    assert [row.number for row in ledger.find("J1")] == ["J1"]
    assert f"deleted the data of customer {customer.id}" in [act.what for act in ledger.trail()]
    assert "the job file J1.yaml in the shop's folder of jobs: take it away" in deleted.by_hand
    assert any("1 quotes with their sums" in each for each in deleted.kept)
    with pytest.raises(NotKept, match="were deleted already"):
        privacy.delete(ledger, customer.id, f"delete {deleted.mark}", b"", "Wren")


def test_the_guards_stand_again_after_it(ledger: Ledger) -> None:
    delete(ledger)
    with (
        pytest.raises(IntegrityError, match="what is kept is never changed"),
        ledger.database.writing() as session,
    ):
        session.execute(text("UPDATE entries SET why = 'other'"))


def test_a_deletion_that_fails_half_way_changes_nothing(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = whole(ledger)

    def fail(*_: object) -> int:
        raise RuntimeError("the plug was pulled")

    monkeypatch.setattr("tappetry.store.erasure._end_tasks", fail)
    with pytest.raises(RuntimeError, match="the plug was pulled"):
        delete(ledger)
    assert whole(ledger) == before
    with pytest.raises(IntegrityError), ledger.database.writing() as session:
        session.execute(text("DELETE FROM entries"))


def test_every_table_is_reached_from_a_customer_or_is_none_of_his() -> None:
    apart = {"accounts", "sessions", "failed_logins", "program_tokens", "tasks", "text_files", "text_drafts"}
    reached = {"customers"}
    for table in Base.metadata.sorted_tables:
        if {key.column.table.name for key in table.foreign_keys} & reached:
            reached.add(table.name)
    assert set(Base.metadata.tables) - reached == apart
