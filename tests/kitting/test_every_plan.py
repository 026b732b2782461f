"""Every sensible plan on every engine of the invented shop: a complete kit, or a refusal that says why.

Which plans must be refused is worked out here from the tables of the demo, apart from the shop's rules:
the cores that each grind is ground on, and the calculated piston-to-valve clearances. They are invented
like the engines; that lifters cannot be reached with the heads on, and that a deactivating lifter wants a
lobe made for it, is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest

from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tappetry.services.kits import KitResult, identify_job, kit_for_engine
from tests.kitting.support import APPLICATIONS, Ask, demo, every_plan

pytestmark = pytest.mark.slow

VARIANT = {
    "A01": "B51", "A02": "B51", "A03": "B56", "A04": "B51", "A05": "B56", "A06": "B56", "A07": "B56",
    "A08": "B63L", "A09": "B63L", "A10": "B56", "A11": "B63R", "A12": "B67", "A13": "B67", "A14": "B63L",
}  # fmt: skip
#: Intake valve clearance with the largest grind at home, in inches; .080 is the least.
LARGEST_GRIND_CLEARANCE = {"B51": 0.054, "B56": 0.065, "B63L": 0.106, "B63R": 0.091}
DIRECT = {"A11", "A12", "A13"}
#: Grinds by what their cores are made with; each phaser sits on the single-bolt nose.
SINGLE_BOLT = {"B1", "B2", "B4"}
DEACTIVATION_LOBES = {"B1"}
FUEL_LOBE = {"B2", "B3", "B4"}

FEW = [
    Ask("A01", "B1", heads="on"),
    Ask("A01", "B3"),
    Ask("A05", "B1", deact="keep"),
    Ask("A06", "B2", phaser="keep-full", deact="remove"),
    Ask("A06", "B4", phaser="remove", deact="remove"),
    Ask("A11", "B3", phaser="remove", deact="remove"),
    Ask("A12", "B2", phaser="keep-limited"),
    Ask("A13", "B1", phaser="keep-limited", deact="keep"),
    Ask("OS-E", "O1"),
    Ask("OS-L", "O1", heads="on"),
    Ask("ML-L", "M1"),
    Ask("ML-E", "M1", heads="on"),
]
ALL = [ask for application in APPLICATIONS for ask in every_plan(application)]
OTHERS = [ask for ask in ALL if ask not in FEW]
USES = ("tow", "daily", "street-strip", "track", "boosted")
PACKAGES = ("least", "standard", "best")
ONE_EACH = {
    "A01": {"cam": "B1"},
    "A04": {"cam": "B2", "heads": "on"},
    "A05": {"cam": "B1", "deact": "keep"},
    "A06": {"cam": "B2", "phaser": "keep-limited", "deact": "remove"},
    "A09": {"cam": "B3", "phaser": "remove", "deact": "remove"},
    "A12": {"cam": "B3", "phaser": "remove"},
    "A13": {"cam": "B4", "phaser": "keep-limited", "deact": "remove"},
    "OS-E": {"cam": "O1"},
    "ML-E": {"cam": "M1"},
}


def why_refused(ask: Ask) -> set[str]:
    """Why the shop must refuse a plan, any of it; nothing when it must find a kit."""
    reasons = set()
    if ask.heads == "on" and (ask.deact == "remove" or ask.cam == "M1"):
        reasons.add("lifters must be renewed and cannot be reached with the heads on")
    if ask.application not in VARIANT:
        return reasons
    if ask.deact == "keep" and ask.cam not in DEACTIVATION_LOBES:
        reasons.add("deactivating lifters run on lobes made for them")
    if ask.application in DIRECT and ask.cam not in FUEL_LOBE:
        reasons.add("count and lift of the fuel-pump lobe must match the pump")
    if ask.phaser.startswith("keep") and ask.cam not in SINGLE_BOLT:
        reasons.add("a kept phaser sits on the nose it was made for")
    if ask.phaser == "keep-full":  # every grind: the exhaust valve at full retard
        reasons.add("a valve that touches the piston ends the engine")
    if ask.cam == "B3" and LARGEST_GRIND_CLEARANCE.get(VARIANT[ask.application], 1) < 0.080:
        reasons.add("a valve that touches the piston ends the engine")
    return reasons


@pytest.mark.parametrize("ask", FEW, ids=str)
def test_a_kit_or_a_refusal_that_says_why(ask: Ask) -> None:
    kit_or_refusal(ask)


@pytest.mark.parametrize("ask", OTHERS, ids=str)
def test_every_other_plan_gives_a_kit_or_a_refusal_that_says_why(ask: Ask) -> None:
    """Ways out of a refusal are looked for with the few plans before, and not again with each of these."""
    kit_or_refusal(ask, at_once)


@pytest.mark.parametrize("package", PACKAGES)
@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("application", ONE_EACH)
def test_every_use_and_package(application: str, use: str, package: str) -> None:
    kit_or_refusal(Ask(application, use=use, package=package, **ONE_EACH[application]))


@pytest.mark.parametrize("application", ONE_EACH)
def test_nothing_is_known_but_the_application(application: str) -> None:
    """With next to nothing known there is still a kit, and it says what has to be found out."""
    unseen = ("mileage", "age", "four-wheel-drive", "block-casting", "transmission")
    facts = {name: {"value": None} for name in unseen}
    kit = Ask(application, facts=facts, **ONE_EACH[application]).kit().kit
    hanging = {need for unknown in kit.unknowns for need in unknown.hangs_on_it}
    assert {kept.need for kept in kit.kept if kept.state == "open"} <= hanging
    assert all(unknown.question for unknown in kit.unknowns)
    assert bool(kit.unknowns) == (application not in {"OS-E", "ML-E"}), "nothing on these hangs on the facts"
    sound(kit)


def at_once(ask: Ask) -> KitResult:
    """The kit, or its refusal without ways out."""
    job = ask.job()
    return kit_for_engine(demo(), job, identify_job(demo(), job))


def kit_or_refusal(ask: Ask, make: Callable[[Ask], KitResult] = Ask.kit) -> None:
    reasons = why_refused(ask)
    if not reasons:
        sound(make(ask).kit)
        return
    with pytest.raises(Refusal) as refused:
        make(ask)
    grounds = "\n".join(ground.text for ground in refused.value.grounds)
    assert any(reason in grounds for reason in reasons), f"{ask}: {grounds}"
    assert all(ground.owner for ground in refused.value.grounds)


def sound(kit: Kit) -> None:
    """Proved the best, nothing against a STOP, every line with its reason; the checker has passed it."""
    assert kit.lines
    assert kit.proved_optimal
    stopped = [f"{proof.id} {proof.value}" for proof in kit.proofs if proof.verdict is Verdict.STOP]
    assert not stopped
    assert all(line.why for line in kit.lines)
    assert kit.totals is not None
    assert kit.totals.total > kit.totals.parts > 0
    doubled = [need for need, count in filled(kit).items() if count > 1]
    assert not doubled


def filled(kit: Kit) -> dict[tuple[str, str], int]:
    """In how many ways each slot is met: by lines of one kind together, or by one disposition."""
    kept = [(entry.need, entry.slot) for entry in kit.kept]
    lines = {(filled_.need, filled_.slot) for line in kit.lines for filled_ in line.needs}
    return {place: kept.count(place) + (place in lines) for place in {*kept, *lines}}


def test_uses_and_packages_are_all_tried() -> None:
    assert len(ALL) > 300
    assert len({str(ask) for ask in ALL}) == len(ALL)
    assert len(list(product(ONE_EACH, USES, PACKAGES))) == 135
