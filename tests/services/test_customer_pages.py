"""The page behind a customer's link: who may see it, for how long, and what becomes of what he says."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from tappetry.records.evidence import Grade
from tappetry.records.problems import BadInput
from tappetry.services import agreements, customer_pages
from tappetry.services.agreements import Signed
from tappetry.services.ledger import Ledger
from tappetry.services.links import mark_of, new_token
from tappetry.store.database import Database
from tappetry.store.links import MOST_ANSWERS
from tappetry.store.links_models import LinkRow
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tests.services.office import NOON, ledger_at_noon, quoted

pytestmark = pytest.mark.slow

JPEG = b"\xff\xd8\xff\xc0\x00\x0b\x08\x00\x10\x00\x20" + bytes(100)
NOWHERE = "does not lead anywhere, or not any more"


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    return ledger_at_noon(database, monkeypatch)


def linked(ledger: Ledger, **changed: object) -> str:
    """A token of a job with a quote, one question and one photo that is asked for."""
    asked = {"paper": True, "questions": ["fuel-octane"], "photos": ["the plate on the door"], "days": 14}
    return customer_pages.send_link(ledger, quoted(ledger), "Wren", **{**asked, **changed})  # type: ignore[arg-type]


def test_a_token_is_long_new_and_kept_only_as_a_mark(ledger: Ledger) -> None:
    token = linked(ledger)
    assert len(token) >= 43
    assert len({new_token() for _ in range(100)}) == 100
    kept = ledger.read(lambda session: session.scalars(select(LinkRow.mark)).all())
    assert kept == [mark_of(token)]
    assert token not in str(kept)
    assert "Wren" in str(ledger.history("J3")[0])
    assert token not in str(ledger.history("J3"))


def test_a_link_ends_with_its_day_or_when_it_is_taken_back(ledger: Ledger) -> None:
    token = linked(ledger)
    other = customer_pages.send_link(ledger, "J3", "Wren", paper=True, questions=[], photos=[], days=20)
    assert customer_pages.page_of(ledger, token).number == "J3"
    with pytest.raises(NotKept, match=NOWHERE):
        customer_pages.page_of(ledger, token[:-1])
    ledger.now = lambda: NOON + timedelta(days=14, seconds=1)
    for act in (
        lambda: customer_pages.page_of(ledger, token),
        lambda: customer_pages.answer(ledger, token, "fuel-octane", "91"),
    ):
        with pytest.raises(NotKept, match=NOWHERE):
            act()
    assert customer_pages.page_of(ledger, other).number == "J3"
    customer_pages.end_link(ledger, "J3", customer_pages.links_of(ledger, "J3")[0].id, "Rook")
    with pytest.raises(NotKept, match=NOWHERE):
        customer_pages.page_of(ledger, other)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"days": 0}, "1 to 90"),
        ({"days": 91}, "1 to 90"),
        ({"questions": ["nothing-known"]}, "there is no such attribute"),
        ({"paper": False, "questions": [], "photos": [" "]}, "would show and ask nothing"),
    ],
)
def test_a_link_without_sense_is_refused(ledger: Ledger, changed: dict[str, object], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        linked(ledger, **changed)


def test_the_customer_accepts_by_his_page_what_he_read(ledger: Ledger) -> None:
    token = linked(ledger)
    page = customer_pages.page_of(ledger, token)
    assert page.waiting == "quote 1"
    assert customer_pages.paper_of(ledger, page) == ledger.quote_paper("J3", 1)
    ledger.send_quote("J3", "Wren")
    signed = Signed("M. Tresk", "letter", {}, read=False)
    with pytest.raises(NotKept, match="quote 2 takes the place of quote 1"):
        customer_pages.accept(ledger, token, "quote 1", signed)
    kept = customer_pages.accept(ledger, token, "quote 2", signed)
    assert (kept.customer, kept.how, kept.entry.who) == ("M. Tresk", "page", customer_pages.CUSTOMER)
    page = customer_pages.page_of(ledger, token)
    assert page.paper is None
    assert customer_pages.paper_of(ledger, page) == ledger.quote_paper("J3", 2)
    with pytest.raises(NotKept, match="Nothing waits"):
        customer_pages.accept(ledger, token, "quote 2", signed)


def test_a_link_without_the_paper_does_not_show_it(ledger: Ledger) -> None:
    token = linked(ledger, paper=False)
    page = customer_pages.page_of(ledger, token)
    assert page.paper is None
    with pytest.raises(NotKept, match="no paper to read"):
        customer_pages.paper_of(ledger, page)
    with pytest.raises(NotKept, match="Nothing waits"):
        customer_pages.accept(ledger, token, "quote 1", Signed("M", "page", {}, read=True))
    assert agreements.acceptances(ledger, "J3") == []


def test_an_answer_is_a_fact_only_when_somebody_takes_it(ledger: Ledger) -> None:
    token = linked(ledger)
    with pytest.raises(NotKept, match="does not ask that"):
        customer_pages.answer(ledger, token, "mileage", "1 km")
    with pytest.raises(BadInput, match="1 to 500 signs"):
        customer_pages.answer(ledger, token, "fuel-octane", " ")
    customer_pages.answer(ledger, token, "fuel-octane", "the good one, 93")
    assert ledger.job("J3").kept.versions["facts"] == 1
    (said,) = customer_pages.answers_of(ledger, "J3")
    with pytest.raises(BadInput, match="fuel-octane"):
        customer_pages.take(ledger, "J3", said.id, "", 1, "Wren")
    customer_pages.take(ledger, "J3", said.id, "93", 1, "Wren")
    found = [each for each in ledger.job("J3").job.facts if each.attribute == "fuel-octane"]
    assert (found[0].show(), found[0].grade) == ("93", Grade.told)
    assert "customer said by the page on 2026-03-02: the good one, 93" in found[0].source
    with pytest.raises(NotKept, match="no answer"):
        customer_pages.take(ledger, "J3", said.id, "93", 2, "Rook")


def test_an_answer_taken_on_old_facts_waits_on(ledger: Ledger) -> None:
    token = linked(ledger)
    customer_pages.answer(ledger, token, "fuel-octane", "93")
    (said,) = customer_pages.answers_of(ledger, "J3")
    ledger.state_fact("J3", "mileage", "93000 km", "seen", "odometer", 1, "Rook")
    with pytest.raises(ChangedMeanwhile):
        customer_pages.take(ledger, "J3", said.id, "93", 1, "Wren")
    customer_pages.leave(ledger, "J3", said.id, "Wren")
    (said,) = customer_pages.answers_of(ledger, "J3")
    assert said.seen is not None
    assert not said.seen.taken


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"<svg xmlns='x'/>", "the photo is none that is taken here"),
        (b"MZ\x90\x00", "the photo is none that is taken here"),
        (b"PK\x03\x04" + JPEG, "the photo is none that is taken here"),
        (b"", "the photo is none that is taken here"),
        (JPEG + bytes(customer_pages.LARGEST_PHOTO), "too large"),
    ],
)
def test_a_file_that_is_no_photo_is_refused(ledger: Ledger, content: bytes, said: str) -> None:
    token = linked(ledger)
    with pytest.raises(BadInput, match=said):
        customer_pages.send_photo(ledger, token, 0, content)
    assert customer_pages.answers_of(ledger, "J3") == []


def test_a_photo_is_kept_as_it_came(ledger: Ledger) -> None:
    token = linked(ledger)
    customer_pages.send_photo(ledger, token, 0, JPEG)
    (said,) = customer_pages.answers_of(ledger, "J3")
    assert said.about == "the plate on the door"
    assert customer_pages.photo(ledger, "J3", said.id) == (JPEG, "image/jpeg")
    with pytest.raises(NotKept, match="does not ask for that photo"):
        customer_pages.send_photo(ledger, token, 1, JPEG)
    assert customer_pages.page_of(ledger, token).answered == {"the plate on the door": 1}


def test_one_link_takes_in_only_so_much(ledger: Ledger) -> None:
    token = linked(ledger)
    for _ in range(MOST_ANSWERS):
        customer_pages.answer(ledger, token, "fuel-octane", "91")
    with pytest.raises(NotKept, match=f"has taken in {MOST_ANSWERS} answers"):
        customer_pages.answer(ledger, token, "fuel-octane", "91")
