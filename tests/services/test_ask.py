"""What to ask next about jobs of the invented shop of which facts are dropped."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Verdict
from tappetry.services.ask import ask
from tappetry.services.ask_cases import Cases, Trying
from tappetry.services.ask_records import Asked, Question
from tappetry.services.kits import identify_job, kit_for_job
from tappetry.services.shop import Shop
from tests.kitting.support import Ask, demo
from tests.kitting.unstated import shop_that_does_not_say

pytestmark = pytest.mark.slow

FAMILY = Fact("family", "BR", Grade.seen, "casting")
MANY = ("mileage", "age", "four-wheel-drive")


def job_of(name: str, *dropped: str, facts: Iterable[Fact] = (), **plan: object) -> Job:
    """A job of the invented shop without some facts, with others, and with another plan."""
    job = read_job(demo().jobs / f"{name}.yaml", demo().knowledge)
    kept = tuple(fact for fact in job.facts if fact.attribute not in dropped)
    return replace(job, facts=(*kept, *facts), plan=replace(job.plan, **plan))


@cache
def asked_of(name: str, *dropped: str) -> Asked:
    return ask(demo(), job_of(name, *dropped))


def about(asked: Asked, attribute: str) -> Question:
    return next(question for question in asked.questions if question.attribute == attribute)


def attributes(asked: Asked, *kinds: str) -> list[str]:
    return [question.attribute for question in asked.questions if not kinds or question.kind in kinds]


def order_now(asked: Asked) -> dict[str, int]:
    return {piece.part: piece.units for piece in asked.order_now}


def waits(asked: Asked) -> dict[str, tuple[set[str], dict[str, Grade]]]:
    return {each.piece.part: (set(each.for_answers), dict(each.for_evidence)) for each in asked.waiting}


# ---- every case is the kit that would be made --------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "dropped", "facts"),
    [
        ("J1", MANY, ()),
        ("J1", ("leak-down", "oil-metal"), ()),
        ("J1", ("application", "vin", "block-casting"), (FAMILY,)),
        ("J3", ("mileage", "four-wheel-drive"), ()),
        ("J5", ("application", "leak-down"), ()),
    ],
)
def test_every_case_is_the_kit_that_the_answers_would_make(
    name: str, dropped: tuple[str, ...], facts: tuple[Fact, ...]
) -> None:
    job = job_of(name, *dropped, facts=facts)
    trying, found = tried(demo(), job)
    assert len(found.cases) > 3
    assert found.exhausted
    for way, case in zip(found.ways.ways, found.cases, strict=True):
        outcome = case.outcome
        assert outcome is not None
        try:
            kit = kit_for_job(demo(), replace(job, facts=(*trying.firm, *way.taken.values()))).kit
        except Refusal:
            assert outcome.refused, way.taken
            continue
        assert not outcome.refused, (outcome.refused, way.taken)
        assert {part: bought.quantity for part, bought in outcome.lines.items()} == {
            (line.supplier, line.part): line.quantity for line in kit.lines
        }
        assert kit.totals is not None
        hours = sum((operation.hours for operation in kit.operations), Decimal(0))
        assert (outcome.total, outcome.landed, outcome.hours) == (kit.totals.total, kit.landed_cost, hours)
        assert outcome.days == max(line.lead_days for line in kit.lines)
        assert outcome.checks == not_passed(kit)
        held = {(line.supplier, line.part) for line in kit.lines if line.holds}
        lacking = {
            part
            for part, bought in outcome.lines.items()
            if any(case.grades[name] < least for name, least in bought.demands.items())
        }
        assert lacking == held


def tried(shop: Shop, job: Job) -> tuple[Trying, Cases]:
    trying = Trying(shop, job, identify_job(shop, job))
    return trying, trying.run()


def not_passed(kit: Kit) -> dict[str, str]:
    """The verdict of each gate and proof that is not passed."""
    gates = {gate.id for gate in demo().knowledge.gates}
    checks = [*kit.proofs, *(finding for finding in kit.findings if finding.id in gates)]
    return {each.id: each.verdict.value for each in checks if each.verdict is not Verdict.PASS}


# ---- the questions ---------------------------------------------------------------------------------------


def test_the_question_that_settles_most_comes_first() -> None:
    asked = asked_of("J1", *MANY)
    first = asked.next_question
    assert first is not None
    assert (first.attribute, first.kind) == ("mileage", "unknown")
    worths = [question.worth.lines for question in asked.questions]
    assert worths == sorted(worths, reverse=True)
    assert first.worth.lines > 0
    assert first.worth.money > 0


def test_answers_between_which_nothing_differs_are_one() -> None:
    answers = about(asked_of("J1", *MANY), "mileage").answers
    assert [answer.words for answer in answers] == [
        "under 120000 km",
        "120000 to 160000 km",
        "over 160000 km",
    ]
    assert sum(answer.share for answer in answers) == 1
    low, middle, high = answers
    assert [piece.part for piece in low.gone] == ["LX-3150", "MO-9120666"]
    assert [piece.part for piece in middle.certain] == ["LX-3150"]
    assert [(piece.part, piece.units) for piece in high.certain] == [("LX-3150", 1), ("MO-9120666", 2)]


def test_a_fact_that_changes_hours_alone_is_asked_for_the_money() -> None:
    question = about(asked_of("J1", *MANY), "four-wheel-drive")
    assert question.worth.lines == 0
    yes, no = question.answers
    assert yes.sums.hours is not None
    assert no.sums.hours is not None
    assert yes.sums.hours.least - no.sums.hours.least == Decimal("2.5")
    assert question.worth.money == 295


def test_a_fact_that_changes_nothing_no_longer_matters() -> None:
    assert "age" in asked_of("J1", *MANY).settled
    assert "mileage" in asked_of("J5").settled
    assert asked_of("J5").cases > 1


def test_a_fact_that_may_stop_the_job_is_asked_first() -> None:
    asked = asked_of("J1", "mileage", "oil-metal")
    first = asked.next_question
    assert first is not None
    assert first.attribute == "oil-metal"
    refused, sound = first.answers
    assert (refused.words, refused.refused, refused.reasons) == ("yes", 1, ("bright metal in filter or pan",))
    assert sound.refused == 0
    assert asked.order_now == ()
    assert asked.refused == refused.share


@pytest.mark.parametrize("dropped", [MANY, ("leak-down", "oil-metal"), ("mileage", "compression-spread")])
def test_kit_and_ask_agree_on_what_is_unknown(dropped: tuple[str, ...]) -> None:
    unknowns = kit_for_job(demo(), job_of("J1", *dropped)).kit.unknowns
    asked = asked_of("J1", *dropped)
    assert unknowns
    for unknown in unknowns:
        question = about(asked, unknown.attribute)
        assert (question.question, question.see) == (unknown.question, unknown.see)
        assert question.hangs_on_it == unknown.hangs_on_it


def test_a_question_says_how_to_answer_it() -> None:
    question = about(asked_of("J1", *MANY), "mileage")
    assert question.photo == "the odometer"
    assert question.grade is Grade.told
    assert about(asked_of("J1"), "pickup-groove").tool == "caliper"


def test_questions_that_one_photo_answers_are_told_together() -> None:
    asked = asked_of("J1")
    target = about(asked, "cam-target")
    assert set(target.also_shown) == {"cam-sensor-pos", "phaser-hardware"}
    assert target.worth.lines == 0
    assert target.photo_worth.lines == 1  # phaser and target together release the phaser


# ---- what may be ordered, what waits -----------------------------------------------------------------------


def test_what_is_the_same_in_every_case_and_well_known_may_be_ordered() -> None:
    asked = asked_of("J1", *MANY)
    now, waiting = order_now(asked), waits(asked)
    assert now["PG-101-130"] == 2
    assert not now.keys() & waiting.keys()
    assert waiting["LX-3150"] == ({"mileage"}, {"phaser-hardware": Grade.seen, "cam-target": Grade.seen})
    assert waiting["MO-9120666"] == ({"mileage"}, {})
    assert waiting["LX-5518"] == (set(), {"oil-pump-volume": Grade.seen})


@pytest.mark.parametrize("name", ["J1", "J3", "J5"])
def test_of_a_job_without_unknown_facts_waits_what_the_kit_holds(name: str) -> None:
    kit = kit_for_job(demo(), job_of(name)).kit
    asked = asked_of(name)
    assert {each.piece.part for each in asked.waiting} == {line.part for line in kit.lines if line.holds}
    assert order_now(asked) == {line.part: line.quantity for line in kit.lines if not line.holds}


def test_a_fact_that_is_seen_releases_what_waits_for_it() -> None:
    seen = Fact("oil-pump-volume", 127.0, Grade.seen, "photo")
    before, after = asked_of("J1"), ask(demo(), job_of("J1", facts=[seen]))
    assert about(before, "oil-pump-volume").worth.lines == 1
    assert order_now(after).keys() - order_now(before).keys() == {"LX-5518"}
    assert "oil-pump-volume" not in attributes(after)


def test_a_block_with_oil_towers_asks_how_they_are_sealed() -> None:
    """Once they are sealed, by whatever it is, they need no plugs; else they do."""
    seen = {"block-casting": "5128-D", "deact-hardware": False, "valley-cover": "plain"}
    facts = {name: {"value": value, "grade": "seen", "source": "photo"} for name, value in seen.items()}
    asked = ask(demo(), Ask("A07", "B2", "remove", facts=facts).job())
    sealed, unsealed = about(asked, "towers-sealed").answers
    assert (sealed.words, unsealed.words) == ("by plugs or by cover", "no")
    assert [piece.part for piece in sealed.gone] == [piece.part for piece in unsealed.certain] == ["IF-OT8"]
    assert waits(asked)["IF-OT8"] == ({"towers-sealed"}, {})


def test_a_fact_that_is_told_alone_is_tried_otherwise_too() -> None:
    """The casting that the customer reads out decides the head bolts: both of the pickup are tried."""
    plan = {"heads": "off"}
    facts = [
        Fact("application", "A02", Grade.decoded, "papers"),
        Fact("block-casting", "4417-A", Grade.told, "customer"),
        Fact("detonation-history", False, Grade.seen, "plugs"),
    ]
    dropped = ("vin", "application", "block-casting")
    asked = ask(demo(), job_of("J3", *dropped, facts=facts, **plan))
    question = about(asked, "block-casting")
    assert {value for answer in question.answers for value in answer.values} >= {"4417-A", "4417-B"}
    assert question.known is not None
    assert question.known.value == "4417-A"
    bolts = {part: for_ for part, for_ in waits(asked).items() if part.startswith("IF-12H")}
    assert len(bolts) == 2
    assert all("block-casting" in answers for answers, _ in bolts.values())
    seen = [replace(fact, grade=Grade.seen) for fact in facts]
    sure = ask(demo(), job_of("J3", *dropped, facts=seen, **plan))
    assert "block-casting" not in attributes(sure)
    assert [part for part in order_now(sure) if part.startswith("IF-12H")] == ["IF-12HA-E"]


def test_what_only_other_work_reads_is_not_asked() -> None:
    """Springs of a conversion are chosen by its camshaft: what load the old ones have holds up no order."""
    asked = ask(demo(), job_of("J1", "application", "vin", "mileage", facts=(FAMILY,)))
    assert "spring-load" not in attributes(asked)
    assert "application" in attributes(asked)


# ---- as answers come in ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "dropped", "facts", "chance"),
    [
        ("J1", MANY, (), 1),
        ("J1", ("application", "vin", "mileage"), (FAMILY,), 2),
        ("J3", ("mileage", "four-wheel-drive", "leak-down"), (), 3),
        ("J5", ("application", "four-wheel-drive"), (), 4),
    ],
)
def test_answering_in_the_order_asked_ends_with_none_and_unsettles_nothing(
    name: str, dropped: tuple[str, ...], facts: tuple[Fact, ...], chance: int
) -> None:
    job = job_of(name, *dropped, facts=facts)
    shop = demo()
    trying, found = tried(shop, job)
    kits = [case for case in found.cases if case.outcome is not None and not case.outcome.refused]
    truth = random.Random(chance).choice(kits).values
    safe: dict[str, int] = {}
    for _ in range(40):
        asked = ask(shop, job)
        assert {part: order_now(asked).get(part) for part in safe} == safe
        safe = order_now(asked)
        question = asked.next_question
        if question is None:
            break
        job = answered(trying, job, question, truth)
    assert question is None
    assert safe
    assert not asked.waiting
    assert not asked.open


def answered(trying: Trying, job: Job, question: Question, truth: Mapping[str, Value]) -> Job:
    """The job once a question is answered truly, and well enough."""
    fact = trying.world.fact(question.attribute, truth[question.attribute], question.grade, "answer")
    return replace(job, facts=(fact, *(f for f in job.facts if f.attribute != fact.attribute)))


# ---- how far it was tried ----------------------------------------------------------------------------------


def test_a_cap_on_kits_is_told_and_settles_nothing() -> None:
    asked = ask(demo(), job_of("J1", *MANY), most_kits=4)
    assert not asked.exhausted
    assert asked.solved == 4
    assert 0 < asked.untried < 1
    assert asked.order_now == ()


def test_a_cap_on_ways_leaves_out_what_matters_least() -> None:
    """What is left out stays unknown: all that it may reach waits for it."""
    asked = ask(demo(), job_of("J1", "mileage", "age", "block-casting"), most_ways=4)
    assert asked.left_out == ("mileage",)
    assert not asked.exhausted
    assert attributes(asked, "open") == ["mileage"]
    assert "cam-phaser" in asked.open
    assert about(asked, "mileage").worth.lines > 0
    assert waits(asked)["PG-101-130"][0] == {"mileage"}  # a phaser that stays bounds the gasket's thickness
    assert "IF-1620" in order_now(asked)


def test_a_told_application_is_doubted_within_its_family() -> None:
    told = Fact("application", "ML-E", Grade.told, "customer")
    asked = ask(demo(), job_of("J5", "application", "family", facts=[told]))
    assert {value for answer in about(asked, "application").answers for value in answer.values} == {
        "ML-E",
        "ML-L",
    }


def test_without_a_family_only_it_is_asked_for() -> None:
    asked = ask(demo(), job_of("J3", "vin", "application", "block-casting"))
    assert attributes(asked) == ["vin"]
    assert (asked.cases, asked.order_now, asked.waiting) == (0, (), ())


def test_a_number_that_cannot_be_listed_has_to_be_found_out() -> None:
    shop = shop_that_does_not_say("oil-capacity")
    asked = ask(shop, job_of("J3"))
    question = about(asked, "oil-capacity")
    assert question.kind == "open"
    assert question.answers == ()
    assert asked.listless == ("oil-capacity",)
    assert not any(piece.part.startswith("WDW-OIL") for piece in asked.order_now)
    assert question.worth.lines > 0


def test_a_value_that_fits_nothing_is_told() -> None:
    """Of an engine of era 3 the pan port cannot be that of era 2, whichever transmission it has."""
    facts = [Fact("application", "A11", Grade.decoded, "papers")]
    asked = ask(demo(), job_of("J1", "vin", "application", "block-casting", facts=facts))
    assert "transmission" in asked.at_odds


def test_a_plan_that_no_answer_mends_is_refused() -> None:
    with pytest.raises(Refusal) as refusal:
        ask(demo(), replace(job_of("J1", *MANY), place=""))
    assert "cannot be quoted" in str(refusal.value)
    with pytest.raises(Refusal) as refusal:
        ask(demo(), job_of("J1", *MANY, phaser="none"))
    assert "No answer mends that; these are the grounds in the first of 20 cases." in str(refusal.value)
    assert "the plan must say what happens to the phaser" in refusal.value.grounds[0].text


def test_wishes_and_budget_hold_in_every_case() -> None:
    wished = ask(demo(), job_of("J1", "mileage", wishes=("LX-3150",)))
    assert waits(wished)["LX-3150"][0] == set()
    cheap = ask(demo(), job_of("J1", "mileage", budget=Decimal("8300")))
    mileage = about(cheap, "mileage")
    assert [answer.refused for answer in mileage.answers] == [0, 1, 1] or mileage.answers[0].refused == 0
    assert any("budget" in reason for answer in mileage.answers for reason in answer.reasons)


def test_the_same_job_gives_the_same_answer() -> None:
    facts = job_of("J1", *MANY).facts
    shuffled = random.Random(7).sample(facts, len(facts))
    assert ask(demo(), replace(job_of("J1", *MANY), facts=tuple(shuffled))) == asked_of("J1", *MANY)
