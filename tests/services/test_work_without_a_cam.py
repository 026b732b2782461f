"""Work where the camshaft stays, through the shop: asked about, agreed on, ordered, turned midway."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tappetry.jobs.reader import read_job
from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_data
from tappetry.records.problems import Refusal
from tappetry.services import agreements
from tappetry.services.ask import ask
from tappetry.services.cams import job_shelf
from tappetry.services.choices import choices
from tappetry.services.drag import drag_lists
from tappetry.services.kits import identify_job, kit_for_file
from tappetry.services.ledger import Ledger
from tappetry.services.search import job_variant
from tappetry.services.train_sources import source_of_job
from tappetry.services.trains import describe_trains
from tappetry.store.database import Database
from tests.kitting.support import demo
from tests.services.office import YES, ledger_at_noon, quoted

#: Words that only a new camshaft brings onto paper.
OF_A_CONVERSION = re.compile(
    r"calibration file|dynamometer|degree the|tamper|emission|modification|800 km|cam card|new camshaft goes",
    re.IGNORECASE,
)


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """The ledger of the invented shop, empty."""
    return ledger_at_noon(database, monkeypatch)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["J7", "J8"])
def test_the_quote_speaks_of_the_work_and_of_no_conversion(name: str) -> None:
    result = kit_for_file(demo(), demo().jobs / f"{name}.yaml")
    data = quote_data(quote_of(demo(), result, result.job.date))
    work = read_job(demo().jobs / f"{name}.yaml", demo().knowledge).plan.work
    says = [demo().knowledge.book.work[each].says for each in work]
    assert data["plan"][: len(says) + 1] == [*says, "The camshaft stays as it was found."]
    said = str({key: value for key, value in data.items() if key != "shop"})
    assert not OF_A_CONVERSION.search(said), OF_A_CONVERSION.search(said)
    assert data["notes"] == []
    assert [each["title"] for each in data["drawings"]] == ["Spring load over lift"]


def test_a_lobe_that_nobody_has_judged_is_what_to_ask_first() -> None:
    job = read_job(demo().jobs / "J8.yaml", demo().knowledge)
    unjudged = replace(job, facts=tuple(fact for fact in job.facts if fact.attribute != "failed-lobe"))
    asked = ask(demo(), unjudged)
    assert asked.next_question is not None
    assert asked.next_question.attribute == "failed-lobe"
    assert "lamp and mirror" in asked.next_question.see


def test_what_a_choice_drags_along_where_the_camshaft_stays() -> None:
    job = read_job(demo().jobs / "J7.yaml", demo().knowledge)
    found = {choice.field: choice for choice in choices(demo(), job, identify_job(demo(), job))}
    assert found["cam"].now == ""
    assert found["cam"].others == ("B1", "B2", "B3", "B4")
    assert found["work"].now == "springs"
    assert found["work"].others == (
        "springs, lifter-repair",
        "springs, front-reseal",
        "springs, valley-reseal",
    )
    (drag,) = drag_lists(demo(), job, "work=springs, valley-reseal").drags
    assert drag.dragged.there is not None
    needs = {need for change in drag.dragged.there.changes for need in change.needs}
    assert {"valley-cover-gasket", "intake-manifold-gaskets"} <= needs
    assert not needs & {"camshaft", "timing-chain", "calibration"}
    (drag,) = drag_lists(demo(), job, "cam=B2").drags
    assert drag.dragged.side.job.plan.work == ()


def test_a_conversion_is_offered_no_work() -> None:
    job = read_job(demo().jobs / "J3.yaml", demo().knowledge)
    assert "work" not in {choice.field for choice in choices(demo(), job, identify_job(demo(), job))}


def test_what_looks_for_another_camshaft_refuses(ledger: Ledger) -> None:
    job = read_job(demo().jobs / "J7.yaml", demo().knowledge)
    with pytest.raises(Refusal) as told:
        job_variant(identify_job(demo(), job), job)
    assert "Job J7 cannot be searched for: its camshaft stays as it was found." in str(told.value)
    assert "the plan asks for springs and names no camshaft" in str(told.value)
    with pytest.raises(Refusal, match="The camshaft of job J7 stays as it was found"):
        job_shelf(ledger, job)


def test_its_valve_train_turns_with_the_camshaft_that_stays() -> None:
    result = kit_for_file(demo(), demo().jobs / "J7.yaml")
    trains = describe_trains(source_of_job(demo(), result), ("S1",))
    assert (trains.cam, trains.candidates[0].spring, trains.candidates[0].part) == ("F56", "S1", "QS-110.16")


@pytest.mark.slow
def test_a_lobe_found_damaged_in_the_middle_of_the_work_is_a_change_order(ledger: Ledger) -> None:
    """The heads are off and the lobe is looked at once more: the camshaft goes, by a yes of its own."""
    number = quoted(ledger, "J8")
    agreements.accept_quote(ledger, number, 1, YES, "Wren")
    agreements.send_orders(ledger, number, "Wren")
    agreed = agreements.in_force(ledger, number).kit
    ledger.state_fact(number, "failed-lobe", "damaged", "measured", "lamp, by daylight", 1, "Wren")
    with pytest.raises(Refusal, match="the camshaft is no longer a choice") as told:
        ledger.kit(ledger.job(number).job)
    way = told.value.tried[0]
    versions = ledger.job(number).kept.versions
    taken = {name: versions[name] for name in ("plan", "sheet")}
    ledger.take_way_out(number, way.change, taken, "Wren", way.text)
    plan = ledger.job(number).kept.document["plan"]
    assert (plan["cam"], "work" in plan) == ("B1", False)
    with pytest.raises(Refusal, match="emission papers: open until a fact is known"):
        agreements.send_change(ledger, number, "the lobe is pitted", "Wren")  # a repair did not ask for them
    ledger.state_fact(number, "emission-papers-wanted", "no", "told", "registration office", 2, "Wren")
    change = agreements.send_change(ledger, number, "the lobe is pitted", "Wren")
    assert change.total == way.total - agreed.total  # type: ignore[operator]
    agreements.accept_change(ledger, number, 1, YES, "Wren")
    due = {each.line.part for each in agreements.due(ledger, number)}
    assert "HV-2041-3N" in due
    assert "BT-7350-16" not in due, "the lifters are on order already"
