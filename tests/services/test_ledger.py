"""Acts on jobs that are kept: each one transaction with one line in the trail, on either database."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.jobs.reader import read_job
from tappetry.presentation.kept import papers
from tappetry.quantities.calendar import moment
from tappetry.records.evidence import Grade
from tappetry.records.problems import BadInput, Refusal
from tappetry.services.kits import kit_for_job
from tappetry.services.ledger import Ledger, from_plain, ledger_of, plain
from tappetry.services.shop import Shop, make_demo_shop
from tappetry.services.text_check import open_jobs
from tappetry.store import jobs, quotes
from tappetry.store.database import Database
from tappetry.store.models import FACTS, PLAN, SHEET
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tests.kitting.support import demo
from tests.worked_out import papers_once, share

pytestmark = pytest.mark.slow

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
Trail = Callable[[], list[tuple[str, str, str]]]


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    return share(Ledger(demo(), database, papers_once(), lambda: NOON), monkeypatch)


@pytest.fixture
def trail(ledger: Ledger) -> Trail:
    return lambda: [(each.who, each.what, each.why) for each in ledger.read(jobs.trail)]


def open_job(ledger: Ledger, name: str = "J3") -> str:
    return ledger.new_job((demo().jobs / f"{name}.yaml").read_text(encoding="utf-8"), "Wren").number


@pytest.mark.parametrize("file", sorted(demo().jobs.glob("*.yaml")), ids=lambda file: file.stem)
def test_a_kept_job_is_the_job_of_its_file(ledger: Ledger, trail: Trail, file: Path) -> None:
    number = open_job(ledger, file.stem)
    assert replace(ledger.job(number).job, file="") == replace(read_job(file, demo().knowledge), file="")
    assert trail() == [("Wren", "opened the job", "")]


def test_a_text_that_is_no_job_is_refused_with_its_lines(ledger: Ledger, trail: Trail) -> None:
    with pytest.raises(BadInput, match=r"the job:3, facts.milage: there is no such attribute"):
        ledger.new_job("job: J-9\ndate: '2026-03-02'\nfacts: {milage: unknown}\nplan: {cam: B2}\n", "Wren")
    assert trail() == []


def test_names_that_would_fill_a_page_are_refused_with_their_length(ledger: Ledger, trail: Trail) -> None:
    stated = {"job": "J-9", "date": "2026-03-02", "facts": {}, "plan": {"cam": "B2"}}
    names = {name: name[0] * 201 for name in ("title", "customer", "place")}
    with pytest.raises(BadInput) as told:
        ledger.new_job(json.dumps({**stated, **names}), "Wren")
    assert [str(each) for each in told.value.complaints] == [
        f"the job, {name}: 201 signs are too many (read: {name[0] * 40} ...); expected up to 200 signs"
        for name in names
    ]
    assert trail() == []
    ledger.new_job(json.dumps({**stated, **{name: said[1:] for name, said in names.items()}}), "Wren")
    assert ledger.job("J-9").job.customer == "c" * 200


def test_a_choice_is_tried_without_being_kept(ledger: Ledger) -> None:
    opened = ledger.job(open_job(ledger))
    now, then, difference = ledger.tried(opened, ["package=best"])
    assert (now.job.plan.package, then.job.plan.package) == ("standard", "best")
    assert difference is not None
    assert now.kit is not None
    assert then.kit is not None
    assert now.kit.totals is not None
    assert then.kit.totals is not None
    assert difference.total == then.kit.totals.total - now.kit.totals.total > 0
    assert ledger.job("J3").kept.versions[PLAN] == 1


def test_a_plan_is_changed_and_its_kit_is_that_of_the_changed_job(ledger: Ledger, trail: Trail) -> None:
    number = open_job(ledger)
    ledger.change_plan(number, ["package=best", "rpm=5200"], 1, "Rook", "the owner wants it once")
    opened = ledger.job(number)
    assert (opened.job.plan.package, opened.job.plan.rpm) == ("best", 5200.0)
    assert ledger.kit(opened.job).kit.totals == kit_for_job(demo(), opened.job).kit.totals
    assert trail()[0] == ("Rook", "changed the plan: package=best, rpm=5200", "the owner wants it once")
    ledger.change_plan(number, ["rpm="], 2, "Rook")
    assert ledger.job(number).job.plan.rpm is None


def test_two_at_one_plan_lose_nothing(ledger: Ledger) -> None:
    number = open_job(ledger)
    ledger.change_plan(number, ["use=daily"], 1, "Rook")
    with pytest.raises(ChangedMeanwhile, match=rf"by Rook at {moment(NOON)}.*use: tow became daily"):
        ledger.change_plan(number, ["package=best"], 1, "Wren")
    assert ledger.job(number).job.plan.package == "standard"


def test_one_at_the_facts_and_one_at_the_plan_both_count(ledger: Ledger) -> None:
    number = open_job(ledger)
    ledger.change_plan(number, ["package=best"], 1, "Rook")
    ledger.state_fact(number, "mileage", "93000 km", "seen", "odometer", 1, "Wren")
    opened = ledger.job(number)
    assert opened.job.plan.package == "best"
    assert opened.kept.versions == {SHEET: 1, FACTS: 2, PLAN: 2}


def test_a_fact_stands_beside_what_was_said_before(ledger: Ledger, trail: Trail) -> None:
    number = open_job(ledger)
    ledger.state_fact(number, "mileage", "93000 km", "measured", "control unit", 1, "Wren")
    said = [(fact.show(), fact.grade) for fact in ledger.job(number).job.facts if fact.attribute == "mileage"]
    assert said == [("93000 km", Grade.measured), ("92000 km", Grade.seen)]
    title = demo().knowledge.attributes["mileage"].title
    assert trail()[0] == ("Wren", f"stated {title}: 93000 km (measured)", "control unit")


def test_that_nobody_knows_is_said_and_is_no_value(ledger: Ledger) -> None:
    number = open_job(ledger)
    ledger.state_fact(number, "boost", "", "", "", 1, "Wren")
    assert "boost" in ledger.job(number).job.unknown


@pytest.mark.parametrize(
    ("attribute", "value", "grade", "said"),
    [
        ("mileage", "far", "seen", "mileage"),
        ("mileage", "9 km", "guessed", "there is no such grade"),
        ("milage", "9 km", "seen", "there is no such attribute"),
    ],
)
def test_a_fact_that_cannot_be_read_is_refused(
    ledger: Ledger, attribute: str, value: str, grade: str, said: str
) -> None:
    number = open_job(ledger)
    with pytest.raises(BadInput, match=said):
        ledger.state_fact(number, attribute, value, grade, "x", 1, "Wren")
    assert ledger.job(number).kept.versions[FACTS] == 1


def test_a_way_out_is_taken_as_it_was_offered(ledger: Ledger, trail: Trail) -> None:
    number = open_job(ledger)
    ledger.change_plan(number, ["need_by=2026-03-03"], 1, "Wren")
    with pytest.raises(Refusal) as refused:
        ledger.kit(ledger.job(number).job)
    way = refused.value.tried[0]
    ledger.take_way_out(number, from_plain(plain(way.change)), {PLAN: 2}, "Wren", way.text)
    totals = ledger.kit(ledger.job(number).job).kit.totals
    assert totals is not None
    assert totals.total == way.total
    assert trail()[0] == ("Wren", f"took a way out: {way.text}", "")


@pytest.mark.parametrize("text", ["no", "[]", '{"facts": {}}', '{"job": "J2"}'])
def test_what_is_no_way_out_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="this is no way out"):
        from_plain(text)


def test_a_reason_is_signed(ledger: Ledger, trail: Trail) -> None:
    number = open_job(ledger)
    ledger.sign(number, "oil-metal", "owner knows", 1, "Wren")
    assert ledger.job(number).job.signatures["oil-metal"] == "owner knows"
    assert trail()[0] == ("Wren", "signed oil-metal", "owner knows")


def test_a_quote_is_kept_with_its_kit_and_its_paper(ledger: Ledger, trail: Trail) -> None:
    number = open_job(ledger)
    ledger.send_quote(number, "Wren", "asked for by telephone")
    ((sent, pdf),) = ledger.read(
        lambda session: [(each, each.pdf) for each in quotes.quotes_of(session, number)]
    )
    totals = ledger.kit(ledger.job(number).job).kit.totals
    assert totals is not None
    assert (sent.number, sent.total, sent.currency) == (1, totals.total, totals.currency)
    assert sent.kit.knowledge_version == demo().knowledge.version
    assert sent.kit.catalogue_version == demo().catalogue.version
    assert pdf.startswith(b"%PDF-")
    assert (sent.last_day.isoformat(), ledger.job(number).kept.state) == ("2026-03-16", "quoted")
    assert [each[1] for each in trail()[:2]] == ["sent a quote", "kept the kit of a quote"]


def test_a_job_whose_quote_was_left_behind_elsewhere_is_told_in_words(ledger: Ledger) -> None:
    number = open_job(ledger)
    with ledger.database.writing() as session:
        jobs.row_of(session, number, to_change=True).state = jobs.ACCEPTED
    for ask in (lambda: ledger.job(number), lambda: open_jobs(ledger)):
        with pytest.raises(NotKept) as told:
            ask()
        assert str(told.value) == (
            "Job J3 is accepted, and this database holds no quote of it: not all was brought here from where "
            "it came. Restore a backup of that database, or import all that `tappetry export` writes of it."
        )


def test_what_changed_from_kit_to_kit_is_told(ledger: Ledger) -> None:
    number = open_job(ledger)
    first = ledger.keep_kit(number, "Wren")
    ledger.change_plan(number, ["package=best"], 1, "Wren")
    second = ledger.keep_kit(number, "Wren")
    (change,) = ledger.kit_changes(number)
    assert (change.old, change.new, change.total) == (1, 2, second.total - first.total)
    assert sum((line.difference for line in change.lines), Decimal(0)) > 0


def test_the_ledger_of_a_shop_lies_in_its_folder_and_is_found_again(tmp_path: Path) -> None:
    shop: Shop = make_demo_shop(tmp_path / "shop")
    first = ledger_of(shop, papers())
    open_job(first)
    first.database.close()
    again = ledger_of(shop, papers())
    assert again.job("J3").kept.number == "J3"
    with pytest.raises(NotKept, match="There is no job J1"):
        again.job("J1")
    again.database.close()
    assert (shop.folder / "shop.db").is_file()
