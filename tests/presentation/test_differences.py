"""Differences in words: what comes, goes or is met otherwise, and why."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import cache

import pytest

from tappetry.jobs.reader import read_job
from tappetry.presentation.differences import Teller, choice, grouped, margin_gained
from tappetry.records.verdict import Proof, Verdict
from tappetry.services.differences import Changed, Difference, difference
from tappetry.services.sides import packages, plans
from tappetry.services.what_if import what_if
from tests.kitting.support import demo

pytestmark = pytest.mark.slow

TELLER = Teller(demo().knowledge, demo().catalogue.suppliers)


@cache
def between(job: str, *changes: str) -> Difference:
    """From the plan of a job to the same with changes."""
    shop = demo()
    stated = read_job(shop.jobs / f"{job}.yaml", shop.knowledge)
    other = what_if(stated, changes, shop.knowledge, "test")
    old, new = plans(shop, [(job, stated), ("other", other)])
    found = difference(shop.knowledge, old, new)
    assert found is not None
    return found


@cache
def package_steps(job: str) -> tuple[Difference, ...]:
    shop = demo()
    least, standard, best = packages(shop, read_job(shop.jobs / f"{job}.yaml", shop.knowledge))
    steps = (difference(shop.knowledge, least, standard), difference(shop.knowledge, standard, best))
    assert None not in steps
    return tuple(step for step in steps if step is not None)


def said(found: Difference) -> Mapping[str, str]:
    """Every change in words, by the first need that it is for."""
    return {change.needs[0]: TELLER.change(change) for change in found.changes}


@pytest.mark.parametrize(
    ("need", "sentence"),
    [
        (
            "cam-gear",
            "camshaft gear: adds Cam sprocket, three-bolt, 3-window front target, because chain and both "
            "sprockets are one wear set",
        ),
        ("cam-phaser", "Cam phaser PH-A, 30 deg, 3-window target goes, because the phaser is removed"),
        (
            "camshaft",
            "camshaft: B2 Lamplight cam, three-bolt nose, rear target in place of B2 Lamplight cam, "
            "single-bolt nose, because the phaser is removed",
        ),
        (
            "oil-pump",
            "Oil pump standard volume, relief 400 kPa in place of Oil pump +12 % volume, because pump volume "
            "the plan needs: 112 % becomes 100 %",
        ),
        (
            "front-cover",
            "adds Front cover FC-2 (front sensor, no phaser) in place of the old one, because the type "
            "changes when the phaser and its magnet go",
        ),
        ("phaser-solenoid", "phaser magnet: not needed, because the phaser is removed"),
    ],
)
def test_a_change_is_one_sentence_with_its_reason(need: str, sentence: str) -> None:
    assert said(between("J1", "phaser=remove"))[need] == sentence


def test_the_way_back_has_reasons_of_its_own() -> None:
    back = said(between("J1", "phaser=remove").turned())
    assert back["phaser-bolt-valve"] == (
        "phaser centre bolt with oil valve: adds Phaser bolt-valve M16x1.5x90, era 2, because single use, "
        "tightened by angle"
    )
    assert back["front-cover"] == (
        "Front cover FC-2 (front sensor, no phaser) goes, the old one stays in the engine, because the same "
        "type, flat and whole"
    )


def test_a_package_says_what_it_prefers_or_asks_for() -> None:
    up, further = package_steps("J3")
    assert said(up)["timing-chain"] == (
        "adds Timing chain 9.525 mm, 64 links in place of the old one, because the front is apart: a small "
        "part against hours of labour"
    )
    assert said(further)["crank-bolt"] == (
        "crankshaft bolt: Crank bolt M16x2.0x105 reusable, 12-point in place of Crank bolt M16x2.0x105 "
        "torque-to-yield, because no compromise: reusable bolt"
    )
    assert said(further)["spark-plugs"] == (
        "spark plugs: adds 2 x Spark plug, fine wire, box of 4 in place of the old one, because no "
        "compromise asks for it"
    )


def test_changes_are_grouped_by_what_they_hang_on() -> None:
    groups = {
        TELLER.origin(cause): [change.needs[0] for change in changes]
        for cause, changes in grouped(between("J3", "cam=B2").changes).items()
    }
    assert groups == {
        "the cam is B2": ["camshaft"],
        "camshaft is another": ["timing-chain", "pushrods", "rocker-bearing-kit", "torque-converter"],
    }


def test_work_checks_and_gates_are_told() -> None:
    found = between("J3", "cam=B2")
    assert list(TELLER.operations(found)) == [
        ("work added: Pushrod length measurement", Decimal("0.6")),
        ("work added: Rocker bearing kit", Decimal("1.6")),
    ]
    proofs = list(TELLER.proofs(found))
    assert proofs[0] == "spring does not surge: noted (−0.015 in) becomes passes (+0.029 in)"
    assert "less margin: intake valve clears the piston, +0.044 in becomes +0.014 in" in proofs
    (gate,) = TELLER.findings(found)
    assert gate.startswith("the cam wants a converter that stalls higher")
    assert gate.endswith(": passes becomes noted")


def test_money_hours_and_days_in_one_phrase() -> None:
    found = between("J3", "cam=B2")
    assert TELLER.money(found) == "608.16 more, 2.2 hours more, the same day"
    assert TELLER.money(found.turned()) == "608.16 less, 2.2 hours less, the same day"
    assert TELLER.money(between("J3", "use=daily")) == "the same total, the same hours, the same day"


def test_a_choice_is_a_clause() -> None:
    knowledge = demo().knowledge
    assert choice("phaser", "remove", knowledge) == "the phaser is removed"
    assert choice("package", "best", knowledge) == "the package is no compromise"
    assert choice("cam", "B1", knowledge) == "the cam is B1"


def test_the_noise_of_doubles_is_no_margin() -> None:
    old = Proof("p", "p", Verdict.PASS, "mm", margin=0.1)
    assert margin_gained(Changed(old, Proof("p", "p", Verdict.PASS, "mm", margin=0.1 + 1e-15))) == 0.0
    assert margin_gained(Changed(old, Proof("p", "p", Verdict.PASS, "mm", margin=0.3))) == 0.2
    assert margin_gained(Changed(old, Proof("p", "p", Verdict.UNKNOWN, "mm"))) is None
