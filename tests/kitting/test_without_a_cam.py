"""Jobs whose camshaft stays: what they buy, what they leave alone, on which camshaft they are proved.

What a failed lifter means for its lobe, and that flat lobes take no new lifters, is common practice without
a source; the rest is arithmetic on the invented shop.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import chain, combinations
from typing import Any

import pytest

from tappetry.jobs.reader import read_job, read_job_data
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tappetry.services.kits import KitResult, kit_for_file, kit_for_job
from tests.kitting.finished import Finished, finished, planned
from tests.kitting.support import CASTINGS, DEACT, PHASER, Ask, bought, demo, state_of

KEPT = {
    application: {
        "phaser": "keep-full" if application in PHASER else "none",
        "deact": "keep" if application in DEACT else "none",
    }
    for application in (*CASTINGS, "OS-E", "OS-L", "ML-E", "ML-L")
}


@cache
def worked(name: str) -> KitResult:
    return kit_for_file(demo(), demo().jobs / f"{name}.yaml")


def job_of(name: str) -> Job:
    return read_job(demo().jobs / f"{name}.yaml", demo().knowledge)


def asked(application: str, *work: str, heads: str = "on", **more: Any) -> KitResult:
    """The kit for work on an application whose camshaft was looked at."""
    facts = {"failed-lobe": "sound", **more.pop("facts", {})}
    plan = {"work": list(work), **more.pop("plan", {})}
    ask = Ask(application, "", **KEPT[application], heads=heads, facts=facts, plan=plan, **more)
    data = ask.as_data()
    del data["plan"]["cam"]
    job = read_job_data({**data, "job": application}, demo().knowledge, "job")
    return kit_for_job(demo(), job)


def refused(name: str, changed: Job | None = None) -> Refusal:
    with pytest.raises(Refusal) as told:
        kit_for_job(demo(), changed or job_of(name))
    return told.value


def own_needs_of_a_conversion() -> set[str]:
    """The needs that open with a new camshaft and with nothing else."""
    needs = demo().knowledge.needs.values()
    alone = {need.id for need in needs if need.when.text.startswith("plan.conversion &&")}
    return alone | {need.id for need in needs if need.when.text == "plan.conversion"}


def spoken(kit: Kit) -> set[str]:
    return {filled.need for line in kit.lines for filled in line.needs} | {kept.need for kept in kit.kept}


# ---- the two jobs of the demo ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["J7", "J8"])
def test_nothing_of_a_conversion_stands_in_the_kit(name: str) -> None:
    kit = worked(name).kit
    assert len(own_needs_of_a_conversion()) > 20
    assert not spoken(kit) & own_needs_of_a_conversion()
    assert state_of(kit, "camshaft") == "reuse"
    assert not {"OP10", "OP20", "OP70", "OP75", "OP130", "OP145"} & {each.code for each in kit.operations}
    assert kit.notes == ()
    assert {each.id for each in kit.findings} >= {"legal-note", "camshaft-looked-at"}
    assert "camshaft stays" in kit.legal_note
    assert not re.search("modification|tamper|emission|declare", kit.legal_note)
    assert not any("dynamometer" in each for each in kit.cautions)
    shown = {proof.id for proof in kit.proofs}
    assert not shown & {"core-envelope", "thrust-control", "pv-intake", "effective-compression-lazy"}
    assert kit.unknowns == ()


def test_springs_alone_bring_what_must_match_them() -> None:
    kit = worked("J7").kit
    new = {filled.need for line in kit.lines for filled in line.needs}
    assert {"valve-springs", "valve-locks", "valve-stem-seals", "spring-shims", "rocker-cover-gaskets"} <= new
    assert new <= {
        "valve-springs", "valve-locks", "valve-stem-seals", "spring-shims", "rocker-cover-gaskets",
        "rocker-cover-grommets", "spark-plugs", "cleaner",
    }  # fmt: skip
    (retainers,) = [kept for kept in kit.kept if kept.need == "spring-retainers"]
    assert (retainers.state, retainers.text) == (
        "reuse",
        "springs of the same designation: the retainers go back",
    )
    other = planned("J7", wishes=("QS-362.16",), pins=("QS-362.16",)).kit
    assert "spring-retainers" in {filled.need for line in other.lines for filled in line.needs}


def test_springs_are_proved_on_the_camshaft_that_stays() -> None:
    """F56: 0.299 in at the exhaust lobe, times 1.65. S1: 1.800 in high, solid 1.235, 100 lb, 345 lb/in."""
    proofs = {proof.id: proof for proof in worked("J7").kit.proofs}
    lift = 0.299 * 1.65
    assert proofs["spring-not-solid"].value == pytest.approx(1.800 - 1.235 - lift, abs=1e-9)
    assert proofs["open-load"].value == pytest.approx(100 + 345 * lift, abs=1e-6)
    assert all(proof.verdict is Verdict.PASS for proof in proofs.values())


def test_a_camshaft_that_was_put_in_before_takes_the_place_of_the_factorys() -> None:
    """B2 lifts 0.345 in: the production spring is then 0.004 in short of solid, and another has to go in."""
    facts = tuple(
        replace(fact, value="B2") if fact.attribute == "cam-grind" else fact for fact in job_of("J7").facts
    )
    kit = kit_for_job(demo(), replace(job_of("J7"), facts=facts)).kit
    assert "QS-110.16" not in bought(kit)
    proofs = {proof.id: proof for proof in kit.proofs}
    solid = {line.part: line for line in kit.lines}
    assert "QS-362.16" in solid
    assert proofs["spring-not-solid"].value == pytest.approx(1.800 - 1.110 - 0.345 * 1.65, abs=1e-9)


def test_springs_under_another_camshaft_are_not_taken_to_be_the_factorys() -> None:
    facts = tuple(
        replace(fact, value="B2") if fact.attribute == "cam-grind" else fact for fact in job_of("J8").facts
    )
    kit = kit_for_job(demo(), replace(job_of("J8"), facts=facts)).kit
    assert {proof.id: proof.verdict for proof in kit.proofs}["spring-not-solid"] is Verdict.UNKNOWN
    asked_for = {unknown.attribute for unknown in kit.unknowns}
    assert any(name.startswith("valve_springs.") for name in asked_for), asked_for


def test_a_camshaft_that_nobody_knows_is_asked_for() -> None:
    facts = tuple(
        replace(fact, value="unheard of") if fact.attribute == "cam-grind" else fact
        for fact in job_of("J7").facts
    )
    refusal = refused("J7", replace(job_of("J7"), facts=facts))
    assert [ground.owner for ground in refusal.grounds] == ["gate camshaft-known"]
    assert "it is not known which one stands in the engine" in refusal.grounds[0].text
    assert any("state the fact cam-grind" in way for way in refusal.ways_out)


def test_a_camshaft_that_nobody_looked_at_is_signed_for() -> None:
    facts = tuple(fact for fact in job_of("J7").facts if fact.attribute != "cam-grind")
    kit = kit_for_job(demo(), replace(job_of("J7"), facts=facts)).kit
    (found,) = [each for each in kit.findings if each.id == "camshaft-looked-at"]
    assert (found.verdict, found.said) == (Verdict.SIGN, "F56, decoded")


# ---- a failed lifter ---------------------------------------------------------------------------------------


def test_a_failed_lifter_drags_along_what_lies_over_it() -> None:
    new = {filled.need for line in worked("J8").kit.lines for filled in line.needs}
    assert {"lifters-standard", "lifter-guides", "lifter-guide-bolts", "pushrods"} <= new
    assert {"head-gaskets", "head-bolts-main", "intake-manifold-gaskets", "valley-cover-gasket"} <= new
    assert {"OP30", "OP41", "OP50", "OP60", "OP100"} <= {each.code for each in worked("J8").kit.operations}


def lobe(value: str) -> Job:
    job = job_of("J8")
    facts = tuple(fact for fact in job.facts if fact.attribute != "failed-lobe")
    if value:
        (known,) = [fact for fact in job.facts if fact.attribute == "failed-lobe"]
        facts += (replace(known, value=value),)
    return replace(job, facts=facts)


@pytest.mark.parametrize(
    ("value", "gate", "said"),
    [
        ("damaged", "lobe-damaged", "the camshaft is no longer a choice"),
        ("", "lobe-judged", "nobody has judged the lobe that the failed lifter ran on"),
    ],
)
def test_a_lobe_that_is_damaged_or_not_judged_ends_the_camshaft(value: str, gate: str, said: str) -> None:
    refusal = refused("J8", lobe(value))
    assert [ground.owner for ground in refusal.grounds] == [f"gate {gate}"]
    assert said in refusal.grounds[0].text
    assert "new camshaft" in refusal.ways_out[-1]
    texts = [way.text for way in refusal.tried]
    assert texts == ["a new camshaft, grind B1", "a new camshaft, grind B2", "a new camshaft, grind B4"]
    for way in refusal.tried:
        assert way.change["plan.work"] == []
        plan = replace(job_of("J8").plan, cam=way.change["plan.cam"], work=())
        kit = kit_for_job(demo(), replace(lobe(value), plan=plan)).kit
        assert kit.totals is not None
        assert (kit.totals.total, kit.proved_optimal) == (way.total, True)


def test_lifters_are_not_reached_with_the_heads_on() -> None:
    job = job_of("J8")
    refusal = refused("J8", replace(job, plan=replace(job.plan, heads="on")))
    assert [ground.owner for ground in refusal.grounds] == ["gate lifters-need-heads-off"]
    assert refusal.tried[0].text == "take the heads off"
    assert refusal.tried[0].total == worked("J8").kit.totals.total  # type: ignore[union-attr]


@pytest.mark.parametrize("application", ["OS-E", "ML-E"])
def test_flat_lobes_take_no_new_lifters(application: str) -> None:
    with pytest.raises(Refusal) as told:
        asked(application, "lifter-repair", heads="off")
    assert "gate flat-lobes" in [ground.owner for ground in told.value.grounds]


def test_springs_that_nobody_measured_are_not_taken_as_good() -> None:
    facts = tuple(fact for fact in job_of("J8").facts if fact.attribute != "spring-load")
    kit = kit_for_job(demo(), replace(job_of("J8"), facts=facts)).kit
    verdicts = {proof.id: proof.verdict for proof in kit.proofs}
    assert verdicts["seat-load"] is Verdict.UNKNOWN
    assert verdicts["float-speed"] is Verdict.UNKNOWN
    assert "spring-load" in {unknown.attribute for unknown in kit.unknowns}
    (springs,) = [kept for kept in kit.kept if kept.need == "valve-springs"]
    assert springs.text.endswith("open until inspected: load of each at its installed height")
    assert springs.allowance is not None


def test_springs_that_measure_soft_are_renewed_with_the_lifters() -> None:
    facts = tuple(
        replace(fact, value=88.0) if fact.attribute == "spring-load" else fact for fact in job_of("J8").facts
    )
    kit = kit_for_job(demo(), replace(job_of("J8"), facts=facts)).kit
    assert "valve-springs" in {filled.need for line in kit.lines for filled in line.needs}


# ---- every engine, every work ------------------------------------------------------------------------------


@pytest.mark.parametrize("application", sorted(KEPT))
def test_springs_alone_on_every_engine(application: str) -> None:
    kit = asked(application, "springs").kit
    assert kit.proved_optimal
    assert not spoken(kit) & own_needs_of_a_conversion()
    assert "valve-springs" in {filled.need for line in kit.lines for filled in line.needs}
    assert state_of(kit, "camshaft") == "reuse"
    assert not [kept.need for kept in kit.kept if kept.state == "open"]


@pytest.mark.slow
@pytest.mark.parametrize("package", ["least", "standard", "best"])
@pytest.mark.parametrize("work", ["front-reseal", "valley-reseal", "lifter-repair"])
@pytest.mark.parametrize("application", sorted(KEPT))
def test_other_work_on_every_engine(application: str, work: str, package: str) -> None:
    heads = "off" if work == "lifter-repair" else "on"
    if work != "front-reseal" and application not in CASTINGS:  # flat tappets, and no valley cover
        with pytest.raises(Refusal):
            asked(application, work, heads=heads, package=package)
        return
    kit = asked(application, work, heads=heads, package=package).kit
    assert kit.proved_optimal
    assert not spoken(kit) & own_needs_of_a_conversion()
    assert not {"OP70", "OP75", "OP130"} & {each.code for each in kit.operations}


@pytest.mark.slow
@pytest.mark.parametrize("heads", ["on", "off"])
@pytest.mark.parametrize("application", ["A01", "A06", "A11", "OS-L", "ML-E"])
def test_work_asked_for_together(application: str, heads: str) -> None:
    """A kit that the checker passes, or a gate says why not; what is open waits for the load of springs."""
    known = tuple(demo().knowledge.book.work)
    for work in chain.from_iterable(combinations(known, count) for count in range(2, len(known) + 1)):
        lifters = "lifter-repair" in work
        flat, heads_on = application not in CASTINGS, heads == "on"
        if (lifters and (flat or heads_on)) or ("valley-reseal" in work and flat):
            with pytest.raises(Refusal) as told:
                asked(application, *work, heads=heads)
            assert {ground.owner.partition(" ")[0] for ground in told.value.grounds} == {"gate"}
            continue
        kit = asked(application, *work, heads=heads).kit
        assert kit.proved_optimal
        assert not spoken(kit) & own_needs_of_a_conversion()
        hanging = [each.hangs_on_it for each in kit.unknowns if each.attribute == "spring-load"]
        assert {kept.need for kept in kit.kept if kept.state == "open"} <= {*chain(*hanging)}


def test_lifters_of_deactivated_cylinders_are_renewed_with_the_others() -> None:
    """The factory's lobes have one base circle: 7.430 in gives 0.080 in of preload; the list has 7.425."""
    kit = asked("A06", "lifter-repair", heads="off", facts={"spring-load": "97 %"}).kit
    given = {(each.need, each.slot): each.given for line in kit.lines for each in line.needs}
    assert (given["lifters-standard", ""], given["lifters-deact", ""]) == (8, 8)
    assert not [kept.need for kept in kit.kept if kept.state == "open"]
    proofs = {proof.id: proof for proof in kit.proofs}
    assert proofs["preload-window-deact"].value == pytest.approx(0.080 - (7.430 - 7.425))


@pytest.mark.parametrize("name", ["J7", "J8"])
def test_the_checker_has_an_eye_on_work_as_well(name: str) -> None:
    case: Finished = finished(name)
    assert case.judged() == ()
    first = case.kit.lines[0]
    less = replace(case.kit, lines=case.kit.lines[1:])
    assert any(first.needs[0].need in each.text for each in case.judged(less))
    unsaid = replace(case.kit, kept=tuple(kept for kept in case.kit.kept if kept.need != "camshaft"))
    assert any("camshaft" in each.text for each in case.judged(unsaid))


def test_removing_is_no_work_without_a_camshaft() -> None:
    job = job_of("J7")
    refusal = refused("J7", replace(job, plan=replace(job.plan, phaser="remove")))
    assert "gate work-leaves-the-design" in [ground.owner for ground in refusal.grounds]
    refusal = refused("J7", replace(job, plan=replace(job.plan, phaser="keep-limited")))
    assert [ground.owner for ground in refusal.grounds] == ["gate phaser-limited-before"]
    assert refusal.tried[0].text == "keep the phaser's full range"


def test_a_phaser_that_was_left_out_of_the_plan_is_kept_by_one_change() -> None:
    job = job_of("J7")
    refusal = refused("J7", replace(job, plan=replace(job.plan, phaser="none")))
    assert [way.text for way in refusal.tried] == ["keep the phaser's full range"]
