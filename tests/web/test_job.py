"""A job's page: facts, plan, kit, proof and papers, each from what the shop worked out."""

from __future__ import annotations

import html
import re

import pytest

from tappetry.presentation.differences import Teller, grouped
from tappetry.presentation.why_not import outcome
from tappetry.presentation.words import amount
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow

MARK = '<span class="mark mark-doubt">passes, in doubt</span>'
PARTS = ("facts", "ask", "plan", "kit", "proof", "papers", "history")


@pytest.mark.parametrize("part", PARTS)
def test_every_part_of_every_job_is_shown(browser: Browser, part: str) -> None:
    for name in ("J1", "J3", "J5"):
        browser.open(name)
        assert f"{name} · " in browser.get(f"/jobs/{name}/{part}") or part == "ask"


def total(browser: Browser, name: str = "J3") -> str:
    totals = browser.ledger.kit(browser.ledger.job(name).job).kit.totals
    assert totals is not None
    return amount(totals.total)


def test_facts_say_value_grade_and_source(browser: Browser) -> None:
    page = browser.get(f"/jobs/{browser.open('J3')}/facts")
    assert "9ZZT1L4A34H014820" in page
    assert "dash plate" in page
    assert "92000 km" in page


def test_the_question_is_answered_where_it_is_asked(browser: Browser) -> None:
    browser.open("J1")
    asked = browser.ledger.ask(browser.ledger.job("J1").job).next_question
    assert asked is not None
    page = browser.get("/jobs/J1/ask", **{"HX-Request": "true"})
    assert html.escape(asked.question) in page
    assert f'name="attribute" value="{asked.attribute}"' in page
    assert asked.known is not None
    browser.post(
        "/jobs/J1/facts",
        version=1,
        attribute=asked.attribute,
        value=asked.known.value,
        grade="seen",
        source="I",
    )
    then = browser.ledger.ask(browser.ledger.job("J1").job).next_question
    assert then is None or then.attribute != asked.attribute


def test_a_value_that_cannot_be_read_is_refused_and_not_kept(browser: Browser) -> None:
    browser.open("J3")
    page = browser.post("/jobs/J3/facts", 400, version=1, attribute="mileage", value="far", grade="seen").text
    assert "mileage" in page
    assert browser.ledger.job("J3").kept.versions["facts"] == 1


def test_a_choice_shows_what_it_changes_and_why_before_it_is_taken(browser: Browser) -> None:
    browser.open("J3")
    page = browser.get("/jobs/J3/plan/try?package=best&cam=B1", **{"HX-Request": "true"})
    now, then, difference = browser.ledger.tried(browser.ledger.job("J3"), ["package=best"])
    assert difference is not None
    assert then.kit is not None
    assert then.kit.totals is not None
    assert amount(then.kit.totals.total) in page
    assert f"{amount(difference.total)} more" in page
    teller = Teller(browser.ledger.shop.knowledge, browser.ledger.shop.catalogue.suppliers)
    said = html.unescape(page)
    assert difference.changes
    assert all(teller.change(change) in said for change in difference.changes)
    assert all(f"Because {teller.origin(cause)}" in said for cause in grouped(difference.changes))
    assert browser.ledger.job("J3").kept.versions["plan"] == 1, "looking changes nothing"
    assert now.kit is not None


def test_packages_stand_side_by_side(browser: Browser) -> None:
    browser.open("J3")
    page = browser.get("/jobs/J3/plan")
    for side in browser.ledger.packages(browser.ledger.job("J3").job):
        assert side.kit is not None
        assert side.kit.totals is not None
        assert amount(side.kit.totals.total) in page
        assert side.title in page


def test_a_conflict_is_told_with_ways_out_of_one_click_each(browser: Browser) -> None:
    browser.open("J3")
    page = browser.get("/jobs/J3/plan/try?need_by=2026-03-03")
    assert "There is no kit for this" in page
    form = re.search(r'<form method="post" action="/jobs/J3/way-out">(.*?)</form>', page, re.DOTALL)
    assert form is not None
    fields = {
        name: html.unescape(value)
        for name, value in re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form[1])
    }
    assert fields["first"] == "need_by=2026-03-03"
    del fields["token"]
    browser.post("/jobs/J3/way-out", **fields)
    plan = browser.ledger.job("J3").job.plan
    assert plan.need_by is not None
    assert plan.need_by.isoformat() == "2026-03-16"
    assert total(browser) in browser.get("/jobs/J3/kit")


def test_a_refused_plan_shows_its_grounds_on_kit_proof_and_papers(browser: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/plan", version=1, need_by="2026-03-03")
    job = browser.ledger.job("J3").job
    with pytest.raises(Refusal) as refused:
        browser.ledger.kit(job)
    for part in ("plan", "kit", "proof", "papers"):
        page = html.unescape(browser.get(f"/jobs/J3/{part}"))
        assert refused.value.grounds[0].text in page
        assert "Take this way" in page


def test_the_kit_has_every_line_with_its_price(browser: Browser) -> None:
    browser.open("J3")
    page = html.unescape(browser.get("/jobs/J3/kit"))
    kit = browser.ledger.kit(browser.ledger.job("J3").job).kit
    assert total(browser) in page
    for line in kit.lines:
        assert line.part in page
        assert amount(line.line_total) in page
    titles = browser.ledger.shop.knowledge.titles()
    for operation in kit.operations:
        assert f"<li>{operation.what} <span" in page
        assert operation.why == "true" or operation.why not in page, "a condition of the shop's text"
        assert all(titles[need] in page for need in operation.needs)


def test_a_part_is_pinned_and_refused_from_its_line(browser: Browser) -> None:
    browser.open("J3")
    line = browser.ledger.kit(browser.ledger.job("J3").job).kit.lines[0]
    browser.post("/jobs/J3/plan", version=1, pins=line.part)
    assert browser.ledger.job("J3").job.plan.pins == (line.part,)
    assert "pinned" in browser.get("/jobs/J3/kit")


def test_why_no_other_part_is_told(browser: Browser) -> None:
    browser.open("J3")
    job = browser.ledger.job("J3").job
    needs = [line.needs[0].need for line in browser.ledger.kit(job).kit.lines]
    need = next(each for each in needs if browser.ledger.why_not(job, each)[0].runners_up)
    page = html.unescape(browser.get(f"/jobs/J3/kit/why/{need}"))
    for each in browser.ledger.why_not(job, need)[0].runners_up:
        assert f">{each.part}<" in page
        assert outcome(each) in page


def test_a_kept_kit_is_listed_with_what_it_was_made_from(browser: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/kit", why="before the telephone call")
    browser.post("/jobs/J3/plan", version=1, package="best")
    page = browser.post("/jobs/J3/kit").text
    assert "before the telephone call" in page
    assert f"knowledge {browser.ledger.shop.knowledge.version}" in page
    assert "From kit 1 to kit 2: +" in page


def test_every_proof_has_its_verdict_and_opens_to_its_inputs(browser: Browser) -> None:
    browser.open("J1")
    page = html.unescape(browser.get("/jobs/J1/proof"))
    kit = browser.ledger.kit(browser.ledger.job("J1").job).kit
    for proof in kit.proofs:
        assert proof.title in page
        assert f'id="{proof.id}"' in page
        assert all(used.provenance in page for used in proof.inputs)
    assert page.count("<svg") == sum(
        proof.margin is not None and proof.limit is not None for proof in kit.proofs
    )


def test_what_passes_in_doubt_stands_before_what_passes_and_is_not_told_in_green(browser: Browser) -> None:
    browser.open("J1")
    page = html.unescape(browser.get("/jobs/J1/proof"))
    kit = browser.ledger.kit(browser.ledger.job("J1").job).kit
    passing = [each for each in kit.proofs if each.verdict is Verdict.PASS]
    doubtful = [each for each in passing if (each.chance_of_failing or 0.0) > 0.05]
    assert doubtful, "the valve seals of this job stand near their retainers"
    assert f"<span>{MARK} {len(doubtful)}</span>" in page
    for proof in doubtful:
        assert f"{MARK} {proof.title}" in page
        assert page.index(f'id="{proof.id}"') < page.index(
            '<span class="check-title"><span class="mark mark-pass'
        )
    assert "Passes, in doubt: more than 1 in 20 such engines would miss the limit." in page


def test_a_reason_is_signed_where_the_check_stands(browser: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/sign", check="some-check", reason="the owner knows", sheet=1)
    assert browser.ledger.job("J3").job.signatures == {"some-check": "the owner knows"}
    browser.post("/jobs/J3/sign", 400, check="some-check", reason="", sheet=2)


def test_a_sent_quote_stays_when_the_plan_changes(browser: Browser) -> None:
    browser.open("J3")
    assert browser.client.get("/jobs/J3/papers/quote.pdf").content.startswith(b"%PDF-")
    page = browser.post("/jobs/J3/quotes").text
    assert "Quote 1" in page
    first = browser.client.get("/jobs/J3/papers/quote-1.pdf").content
    browser.post("/jobs/J3/plan", version=1, package="best")
    browser.post("/jobs/J3/quotes")
    assert browser.client.get("/jobs/J3/papers/quote-1.pdf").content == first
    assert browser.client.get("/jobs/J3/papers/quote-2.pdf").content != first
    browser.get("/jobs/J3/papers/quote-3.pdf", 404)


def test_an_order_is_written_to_each_supplier(browser: Browser) -> None:
    browser.open("J3")
    addresses = re.findall(r'href="(/jobs/J3/papers/order-[^"]+\.pdf)"', browser.get("/jobs/J3/papers"))
    kit = browser.ledger.kit(browser.ledger.job("J3").job).kit
    assert len(addresses) == len({line.supplier for line in kit.lines})
    answer = browser.client.get(addresses[0])
    assert answer.content.startswith(b"%PDF-")
    assert answer.headers["content-type"] == "application/pdf"
    browser.get("/jobs/J3/papers/order-nobody.pdf", 404)
