"""What if the plan said something else: changes of a plan as a person types them."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from decimal import Decimal

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.job import Job
from tappetry.records.plan import OwnPart, Plan
from tappetry.records.problems import BadInput
from tappetry.services.what_if import what_if
from tests.kitting.support import demo


def job() -> Job:
    return read_job(demo().jobs / "J1.yaml", demo().knowledge)


def changed(*changes: str) -> Plan:
    return what_if(job(), changes, demo().knowledge, "--with").plan


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (["phaser=remove", "heads=on"], {"phaser": "remove", "heads": "on"}),
        (["cam=B1", "use=tow", "package=best"], {"cam": "B1", "use": "tow", "package": "best"}),
        (["rpm=6800"], {"rpm": 6800.0}),
        (["budget=8000", "need_by=2026-03-20"], {"budget": Decimal(8000), "need_by": date(2026, 3, 20)}),
        (["pins=9144207, LX-5518"], {"pins": ("9144207", "LX-5518")}),
        (["refusals=LX-5518"], {"refused_parts": ("LX-5518",)}),
        (["declined={oil-pump: street use}"], {"declined": {"oil-pump": "street use"}}),
        (
            ["own_parts=[{need: calibration, description: own file}]"],
            {"own_parts": (OwnPart("calibration", "own file"),)},
        ),
    ],
)
def test_only_what_is_named_changes(changes: list[str], expected: dict[str, object]) -> None:
    plan = changed(*changes)
    assert {field.name: getattr(plan, field.name) for field in fields(plan)} == {
        **{field.name: getattr(job().plan, field.name) for field in fields(plan)},
        **expected,
    }


def test_nothing_after_the_sign_takes_a_name_out_of_the_plan() -> None:
    shop = demo()
    stated = replace(job(), plan=replace(job().plan, pins=("LX-5518",), rpm=6000.0))
    plan = what_if(stated, ["pins=", "rpm="], shop.knowledge, "--with").plan
    assert (plan.pins, plan.rpm) == ((), None)
    assert plan == job().plan


def test_the_rest_of_the_job_stays() -> None:
    assert what_if(job(), ["cam=B1"], demo().knowledge, "--with").facts == job().facts


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("phaser", "--with: a change cannot be read (read: phaser); expected name=value"),
        ("packag=best", "--with: a plan says nothing of this; did you mean package? (read: packag)"),
        (
            "cam=",
            "--with, plan: none of cam, work is stated (read: {}); expected only one of cam, work: cam ",
        ),
        ("work=spring", "--with, plan.work[0]: there is no such work (read: spring); did you mean"),
        ("phaser=romove", "expected one of none, keep-full, keep-limited, remove"),
        ("rpm=fast", '--with, plan.rpm: "fast" is not of type "number"'),
        ("package=finest", "--with, plan.package: there is no such package (read: finest); expected one of"),
        ("budget=-3", "--with, plan.budget: the amount cannot be read (read: -3)"),
        (
            "declined={oil-pmp: street use}",
            "there is no such need (read: oil-pmp); did you mean oil-pump?",
        ),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(change: str, said: str) -> None:
    with pytest.raises(BadInput) as told:
        changed(change)
    assert said in str(told.value)


def test_a_camshaft_and_work_take_each_others_place() -> None:
    plan = changed("work=springs, front-reseal")
    assert (plan.cam, plan.work, plan.heads) == ("", ("springs", "front-reseal"), job().plan.heads)
    stated = replace(job(), plan=plan)
    assert what_if(stated, ["cam=B1"], demo().knowledge, "--with").plan == replace(job().plan, cam="B1")
    assert what_if(stated, ["use=tow"], demo().knowledge, "--with").plan.work == plan.work
    with pytest.raises(BadInput) as told:
        changed("cam=B1", "work=springs")
    assert "--with, plan: more than one of cam, work is stated" in str(told.value)


def test_all_that_cannot_be_read_is_told_at_once() -> None:
    with pytest.raises(BadInput) as told:
        changed("phaser", "packag=best", "cam=B1")
    assert [complaint.value for complaint in told.value.complaints] == ["phaser", "packag"]
