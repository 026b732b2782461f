"""Where there is no shop: the page that begins one, and the shop's app after it, on either database."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx import Response
from starlette.types import ASGIApp

from tappetry.presentation.kept import papers
from tappetry.records.problems import BadInput
from tappetry.services.begin import ENTRIES, WANTED, template, templates
from tappetry.services.ledger import Ledger
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.web.app import make_app
from tappetry.web.first_run import FirstRun
from tappetry.web.security import LARGEST
from tests.services.test_begin import SAID, inside

pytestmark = pytest.mark.slow


class First:
    """A person at a browser who opens an empty folder."""

    def __init__(self, place: Path, open_shop: Callable[[Shop], ASGIApp]) -> None:
        self.place = place
        self.client = TestClient(FirstRun(place, open_shop), base_url="http://127.0.0.1")

    def page(self) -> str:
        """The first page, as it is read."""
        return html.unescape(self.client.get("/").text)

    def token(self) -> str:
        """The token of its forms."""
        found = re.search(r'name="token" value="(\w+)"', self.page())
        assert found is not None
        return found[1]

    def begin(self, files: list[tuple[str, tuple[str, bytes]]] | None = None, **said: str) -> Response:
        """Send the form; a field without a file is sent as a browser does."""
        sent = files or [("family.yaml", ("", b"")), ("parts.csv", ("", b"")), ("more", ("", b""))]
        return self.client.post("/begin", data={"token": self.token(), **SAID, **said}, files=sent)


@pytest.fixture
def first(tmp_path: Path, database: Database) -> First:
    """A browser at an empty folder; its shop is kept in either database."""
    return First(tmp_path / "own", lambda shop: make_app(Ledger(shop, database, papers())))


def test_the_page_offers_both_and_asks_for_the_whole_book(first: First) -> None:
    page = first.page()
    assert "Look around the invented shop" in page
    assert f"{first.place}-demo" in page
    for each in ENTRIES:
        assert each.title in page
        assert f'name="{each.name}"' in page
    assert len(re.findall(r"<input[^>]* required", page)) == len(WANTED)
    assert not first.place.exists()


def test_every_field_has_its_label_and_no_script_or_style_stands_in_the_page(first: First) -> None:
    page = first.page()
    outside = re.sub(r"<label.*?</label>", "", page, flags=re.DOTALL)
    assert re.findall(r'<(?:input(?! type="hidden")|select)[^>]*>', outside) == []
    assert "<script" not in page
    assert "style=" not in page
    assert "script-src 'self'" in first.client.get("/").headers["content-security-policy"]


def test_every_template_can_be_loaded_down(first: First) -> None:
    for name in templates():
        answer = first.client.get(f"/begin/{name}")
        assert answer.content == template(name)
        assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'
        assert f'href="/begin/{name}"' in first.page()
    assert first.client.get("/begin/shop.yaml").status_code == 404


def test_a_shop_begins_and_is_open_without_a_restart(first: First) -> None:
    answer = first.begin()
    assert answer.status_code == 200
    assert "The shop has begun" in answer.text
    assert "What the audit says" not in answer.text
    page = first.client.get("/shop").text
    assert SAID["name"] in page
    assert str(first.place) in page
    assert "T1" in first.client.get("/jobs/new").text
    assert "Fescue inline four" in first.client.get("/families").text
    assert first.client.get("/begin/parts.csv").status_code == 404


def test_a_job_of_the_new_shop_has_a_kit(first: First) -> None:
    first.begin()
    found = re.search(r'name="token" value="(\w+)"', first.client.get("/jobs/new").text)
    assert found is not None
    job = {"number": "Q-1", "cam": "T1", "place": SAID["place"]}
    assert first.client.post("/jobs", data={"token": found[1], **job}).status_code == 200
    assert "the engine family is not known" in first.client.get("/jobs/Q-1/kit").text
    stated = {
        "attribute": "application",
        "value": "FE-V",
        "grade": "decoded",
        "source": "papers",
        "version": "1",
    }
    assert first.client.post("/jobs/Q-1/facts", data={"token": found[1], **stated}).status_code == 200
    page = first.client.get("/jobs/Q-1/kit").text
    assert "TN-C1" in page
    assert "TN-S44" in page


def test_files_that_were_changed_are_taken(first: First) -> None:
    family = template("family.yaml").replace(b"Fescue inline four", b"Fescue four, ours")
    needs = template("needs.yaml").replace(b"title: camshaft", b"title: the camshaft")
    files = [("family.yaml", ("my family.yaml", family)), ("more", ("needs.yaml", needs))]
    assert first.begin(files).status_code == 200
    page = first.client.get("/families").text
    assert "Fescue four, ours" in page


def test_a_failed_start_tells_what_is_wrong_keeps_the_answers_and_writes_nothing(first: First) -> None:
    parts = template("parts.csv").replace(b"TN-C1,TNV", b"TN-C1,TNW")
    answer = first.begin([("parts.csv", ("mine.csv", parts))], name='<Quill> & "Sons"')
    assert answer.status_code == 400
    page = html.unescape(answer.text)
    assert "parts.csv:2, supplier: there is no such supplier (read: TNW); did you mean TNV?" in page
    assert "No shop was begun, and nothing was written" in page
    assert 'value="&lt;Quill&gt; &amp; &#34;Sons&#34;"' in answer.text
    assert not first.place.exists()
    assert first.begin().status_code == 200


def test_a_missing_answer_is_told(first: First) -> None:
    answer = first.begin(labour_rate="")
    assert answer.status_code == 400
    assert "labour_rate: the answer is missing; expected Price of one hour" in answer.text
    assert not first.place.exists()


def test_what_is_worth_a_look_is_told_when_it_begins(first: First) -> None:
    parts = b"".join(
        line for line in template("parts.csv").splitlines(keepends=True) if not line.startswith(b"TN-G2")
    )
    page = first.begin([("parts.csv", ("parts.csv", parts))]).text
    assert "What the audit says" in page
    assert "no-part: needs/needs.yaml" in page


def test_the_invented_shop_opens_beside_and_the_folder_stays_empty(first: First) -> None:
    answer = first.client.post("/begin/demo", data={"token": first.token()})
    assert answer.status_code == 200
    assert "No job yet" in answer.text
    assert "Brindle" in first.client.get("/families").text
    assert not first.place.exists()
    assert (first.place.parent / "own-demo" / "shop.yaml").is_file()


def test_where_something_else_lies_beside_the_invented_shop_is_not_put_over_it(first: First) -> None:
    beside = first.place.parent / "own-demo"
    beside.mkdir()
    (beside / "letters.txt").write_text("dear", encoding="utf-8")
    answer = first.client.post("/begin/demo", data={"token": first.token()})
    assert answer.status_code == 400
    assert "the folder holds something else; it is left alone (read: letters.txt)" in answer.text
    assert inside(first.place.parent) == {"own-demo/letters.txt": b"dear"}


@pytest.mark.parametrize("address", ["/begin", "/begin/demo"])
def test_a_form_from_elsewhere_begins_nothing(first: First, address: str) -> None:
    answer = first.client.post(address, data={"token": "forged", **SAID})
    assert answer.status_code == 403
    assert "This form is too old or came from elsewhere" in answer.text
    assert list(first.place.parent.glob("own*")) == []


def test_files_that_are_too_large_are_told_on_a_page_and_begin_nothing(first: First) -> None:
    answer = first.client.post("/begin", content=b"x" * (LARGEST + 1))
    assert answer.status_code == 413
    assert f"<p>What was sent has {LARGEST + 1} bytes, and no more than {LARGEST} are read" in answer.text
    assert not first.place.exists()


def test_by_any_other_name_than_this_machine_nobody_is_answered(first: First) -> None:
    answer = first.client.get("/", headers={"host": "shop.test"})
    assert (answer.status_code, answer.text) == (421, "This server answers to this machine alone.")


def test_there_is_no_other_page_yet(first: First) -> None:
    answer = first.client.get("/jobs")
    assert answer.status_code == 404
    assert "there is no shop yet" in answer.text


def test_a_folder_that_holds_something_else_gets_no_first_page(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(BadInput, match="the folder holds something else; it is left alone"):
        First(tmp_path, lambda shop: make_app(Ledger(shop, Database("sqlite://"), papers())))
