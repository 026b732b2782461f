"""Facts that nobody knows: each becomes an open place that names it, or a refusal that does."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import combinations

import pytest

from tappetry.jobs.reader import read_job
from tappetry.kitting.kit import KitBuilder
from tappetry.kitting.resolve import attempt
from tappetry.records.evidence import Facts
from tappetry.records.job import Job
from tappetry.records.kit import Kit, Line
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tappetry.services.kits import identify_job, kit_for_engine, kit_for_job, must_be_complete, request_of
from tests.effort import some
from tests.kitting.support import bought, demo, state_of
from tests.kitting.unstated import shop_that_does_not_say, shop_with_a_match

pytestmark = pytest.mark.slow

JOBS = ("J1", "J3", "J5")


@cache
def job_of(name: str) -> Job:
    return read_job(demo().jobs / f"{name}.yaml", demo().knowledge)


def line_for(kit: Kit, need: str) -> Line:
    """The one line that fills a need."""
    (line,) = [line for line in kit.lines if any(filled.need == need for filled in line.needs)]
    return line


def hangs_on(kit: Kit, attribute: str) -> tuple[str, ...]:
    """What hangs on a fact that is not known."""
    return next((unknown.hangs_on_it for unknown in kit.unknowns if unknown.attribute == attribute), ())


# ---- whose the missing value is ---------------------------------------------------------------------------


def test_a_part_is_not_blamed_for_what_a_missing_fact_would_settle() -> None:
    """Head bolts of an engine with plain holes state no length class, and need none."""
    kit = kit_for_job(shop_that_does_not_say("head-bolt-class"), job_of("J5")).kit
    assert state_of(kit, "head-bolts-main") == "open"
    assert "head-bolts-main" in hangs_on(kit, "head-bolt-class")


def test_a_part_is_blamed_when_no_fact_is_missing() -> None:
    shop = shop_with_a_match("oil-filter", "oil_filter.bypass == 'yes'")
    kit = kit_for_job(shop, job_of("J3")).kit
    assert "WDW-FLT7" not in bought(kit)
    assert state_of(kit, "oil-filter") == "shop stock"


def test_a_rule_that_may_not_apply_rules_nobody_out() -> None:
    """Whether the rule speaks of this job hangs on a fact; until it is known, the place is open."""
    shop = shop_with_a_match("oil-filter", "false", when="engine.exhaust == 'headers'")
    kit = kit_for_job(shop, job_of("J3")).kit
    assert state_of(kit, "oil-filter") == "open"
    assert hangs_on(kit, "exhaust") == ("oil-filter",)


# ---- what cannot be counted --------------------------------------------------------------------------------


def test_what_stays_in_the_engine_is_open_where_its_number_is_not_known() -> None:
    """One rail to a bank, one gasket to a bank: how many banks nobody says."""
    kit = kit_for_job(shop_that_does_not_say("banks"), job_of("J3")).kit
    assert state_of(kit, "rocker-pedestal") == "open"
    assert {"rocker-pedestal", "rocker-cover-gaskets"} <= set(hangs_on(kit, "banks"))


def test_neither_papers_nor_application_still_make_a_kit() -> None:
    """Which camshaft fits hangs on the fuel pump; what all the cores have alike is known all the same."""
    job = job_of("J1")
    bare = replace(job, facts=tuple(f for f in job.facts if f.attribute not in {"vin", "application"}))
    kit = kit_for_job(demo(), bare).kit
    assert state_of(kit, "camshaft") == "open"
    assert "camshaft" in hangs_on(kit, "fuel-pump-drive")
    assert line_for(kit, "engine-oil-service").quantity, "every core has rollers, so the fills are known"


# ---- what fits hangs on a fact -----------------------------------------------------------------------------


def test_a_part_that_is_not_known_to_fit_its_neighbours_is_not_bought() -> None:
    """Which ring closes the gap hangs on the groove of the tube."""
    kit = kit_for_job(shop_that_does_not_say("pickup-groove"), job_of("J1")).kit
    assert state_of(kit, "pickup-oring") == "open"
    assert hangs_on(kit, "pickup-groove") == ("pickup-oring",)


def test_a_part_that_is_known_to_fit_is_bought_and_the_question_is_named() -> None:
    """Rods made to length have the ends that are asked for; of the stock rods nobody knows."""
    kit = kit_for_job(shop_that_does_not_say("pushrod-ends"), job_of("J1")).kit
    assert bought(kit)["BT-9CUST"] == 16
    assert hangs_on(kit, "pushrod-ends") == ("pushrods",)


def test_a_new_part_is_no_reason_for_itself_while_a_fact_is_missing() -> None:
    """Locks with another offset would change the offset; whether the old ones stay hangs on the angle."""
    kit = kit_for_job(shop_that_does_not_say("lock-angle"), job_of("J3")).kit
    assert state_of(kit, "valve-locks") == "open"
    assert "valve-locks" in hangs_on(kit, "lock-angle")


def test_parts_that_a_fact_lets_in_are_open_not_missing() -> None:
    """A price list that is for one family: where the family is not known there is a question, no refusal."""
    request = request_of(demo(), job_of("J3"), identify_job(demo(), job_of("J3")))
    engine = {name: value for name, value in request.fixed["engine"].items() if name != "family"}
    problem, solution, _ = attempt(replace(request, fixed={**request.fixed, "engine": engine}))
    assert solution is not None
    assert solution.chosen["timing_chain"].state == "open"
    kit = KitBuilder(problem, solution, {}, {}).build()
    assert "timing-chain" in hangs_on(kit, "family")


def test_no_paper_while_a_rule_cannot_be_judged() -> None:
    """Whether the towers are sealed already decides whether they are sealed exactly once."""
    shop = shop_that_does_not_say("towers-sealed")
    result = kit_for_job(shop, job_of("J1"))
    assert hangs_on(result.kit, "towers-sealed") == ("tower-seal",)
    with pytest.raises(Refusal) as refused:
        must_be_complete(shop, result)
    (ground,) = refused.value.grounds
    assert ground.owner == "rule tower-seal"
    assert ground.text.startswith("exactly one seal on every oil tower")
    assert ground.text.endswith("not known whether that holds")


# ---- what all answers have alike ---------------------------------------------------------------------------


def test_what_all_answers_have_alike_is_known() -> None:
    """The old phaser or a new one: both are of one type, so that limiter and bolt are known."""
    job = job_of("J1")
    known = kit_for_job(demo(), job).kit
    kit = kit_for_job(demo(), replace(job, facts=tuple(f for f in job.facts if f.attribute != "mileage"))).kit
    assert state_of(kit, "cam-phaser") == "open"
    for need in ("phaser-limiter", "phaser-bolt-valve"):
        assert line_for(kit, need).part == line_for(known, need).part
    assert (
        line_for(kit, "phaser-limiter").use_from_box == line_for(known, "phaser-limiter").use_from_box != ""
    )


def test_what_all_answers_have_alike_is_proved() -> None:
    """How many bolts hold a head nobody says; how long they are is known of each that may be bought."""
    kit = kit_for_job(shop_that_does_not_say("head-bolts-per-head"), job_of("J1")).kit
    assert state_of(kit, "head-bolts-main") == "open"
    (proof,) = [proof for proof in kit.proofs if proof.id == "bolt-bottom-upper"]
    assert proof.verdict is Verdict.PASS
    (length,) = [item for item in proof.inputs if item.name == "head_bolts_main.upper_length_mm"]
    assert (length.value, length.provenance) == (140.0, "alike in all that may stand there")


def test_what_the_answers_do_not_have_alike_is_open() -> None:
    """Where the type of the phaser is not known, neither limiter nor bolt is."""
    kit = kit_for_job(shop_that_does_not_say("phaser-hardware"), job_of("J1")).kit
    assert {state_of(kit, need) for need in ("cam-phaser", "phaser-limiter", "phaser-bolt-valve")} == {"open"}


def test_whether_something_is_stated_is_not_known_of_an_open_place() -> None:
    """Single springs or dual: whether a locator is wanted is a question, and no quiet no."""
    kit = kit_for_job(shop_that_does_not_say("guide-od"), job_of("J3")).kit
    assert state_of(kit, "valve-springs") == "open"
    assert state_of(kit, "spring-seats") == "open"


# ---- every fact in turn ------------------------------------------------------------------------------------

#: Facts that the shop's text itself asks for with `has()`: not to be stated counts as no.
ASKED_FOR = {"age", "converter-stall"}


def what_is_done(kit: Kit) -> tuple[object, ...]:
    """What a shop does by a kit."""
    lines = {(line.part, line.quantity, line.use_from_box) for line in kit.lines}
    kept = {(kept.need, kept.slot, kept.state) for kept in kit.kept}
    return lines, kept, [operation.code for operation in kit.operations], kit.totals


def named_or_of_no_account(kit: Kit, full: Kit, missing: set[str]) -> None:
    """Every open place names a fact that nobody stated; a fact that is not named changes nothing."""
    hanging = {name for unknown in kit.unknowns for name in unknown.hangs_on_it}
    assert {kept.need for kept in kit.kept if kept.state == "open"} <= hanging
    attributes = demo().knowledge.attributes
    assert all(unknown.attribute in attributes for unknown in kit.unknowns)
    if not missing & ({unknown.attribute for unknown in kit.unknowns} | ASKED_FOR):
        assert what_is_done(kit) == what_is_done(full), f"without {missing} another kit, and no question"


def kit_or_question(job: Job, missing: set[str], full: Kit) -> None:
    """The kit of a job without some stated facts, or a refusal that says which question to ask."""
    fewer = replace(job, facts=tuple(f for f in job.facts if f.attribute not in missing))
    if not identify_job(demo(), fewer).engine_as_found.family:
        with pytest.raises(Refusal, match="the engine family is not known") as refused:
            kit_for_job(demo(), fewer)
        assert refused.value.ways_out
        return
    kit = kit_for_job(demo(), fewer).kit
    hanging = {name for unknown in kit.unknowns for name in unknown.hangs_on_it}
    assert {kept.need for kept in kit.kept if kept.state == "open"} <= hanging
    assert kit.unknowns or missing & ASKED_FOR or what_is_done(kit) == what_is_done(full)


@pytest.mark.parametrize("name", JOBS)
def test_every_stated_fact_and_every_pair_may_be_missing(name: str) -> None:
    job = job_of(name)
    full = kit_for_job(demo(), job).kit
    stated = list(dict.fromkeys(fact.attribute for fact in job.facts))
    for missing in [*combinations(stated, 1), *some(combinations(stated, 2), 40)]:
        kit_or_question(job, set(missing), full)


@pytest.mark.parametrize("name", JOBS)
def test_every_fact_about_the_engine_may_be_missing(name: str) -> None:
    """Also what only tables tell: no fact is so sure that the program breaks without it."""
    job = job_of(name)
    found = identify_job(demo(), job)
    full = kit_for_engine(demo(), job, found).kit
    facts = found.engine_as_found.facts
    pairs = random.Random(7).sample(list(combinations(facts, 2)), 20)
    for missing in some([*combinations(facts, 1), *pairs], 60):
        known = Facts({name: fact for name, fact in facts.items() if name not in missing})
        less = replace(found, engine_as_found=replace(found.engine_as_found, facts=known))
        kit = kit_for_engine(demo(), job, less).kit
        if "family" not in missing:
            named_or_of_no_account(kit, full, set(missing))


# ---- what would mend a proof -------------------------------------------------------------------------------


def test_a_remedy_that_changes_what_nobody_knows_is_not_tried() -> None:
    """Pistons with less volume than nobody knows: there is nothing to reckon with."""
    kit = kit_for_job(shop_that_does_not_say("piston-dish"), job_of("J5")).kit
    proof = next(proof for proof in kit.proofs if proof.id == "effective-compression-lazy")
    assert proof.value is None
    assert "pistons-with-less-volume" not in {remedy.id for remedy in proof.remedies}
    assert "advance-2-deg" in {remedy.id for remedy in proof.remedies}
